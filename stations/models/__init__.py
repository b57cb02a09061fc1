"""Every model of the app, by subject."""

from stations.models.batches import RECIPES, KitchenBatch, NextTiming, PantryFood
from stations.models.chill import ChillMethod, ChillPlan, ChillReading, ProbedPart
from stations.models.cooking import FoodEntry, FoodLog, FoodMark, FoodRule
from stations.models.cures import CureAct, CureBatch, CuredProduct, CureEntry, TimesBy
from stations.models.dips import Dip, DipEntry, EntryKind, HairSlip, HogPart
from stations.models.equipment import Equipment, EquipmentKind
from stations.models.hazards import HazardNote, Signal
from stations.models.lifting import (
    ChainMark,
    ChainWire,
    HandlingSetup,
    HeldBy,
    Hoist,
    Lifting,
)
from stations.models.method import KitHold, Stage, StageGap, Subject, Trusted
from stations.models.noting import Noted
from stations.models.packages import Package, PackageKind, PackageState
from stations.models.places import Duty, FilledBy, Station, WritesDown
from stations.models.thermometers import Thermometer, ThermometerCheck
from stations.models.troughs import (
    FireFuel,
    HogCover,
    ScaldMethod,
    ScaldSeason,
    Trough,
    TroughWall,
)
from stations.models.weights import (
    Becomes,
    CarcassPart,
    CutLine,
    CutPlan,
    CutTableName,
    DressedAs,
    WeighIn,
    WeighStage,
)

__all__ = [
    "RECIPES",
    "Becomes",
    "CarcassPart",
    "ChainMark",
    "ChainWire",
    "ChillMethod",
    "ChillPlan",
    "ChillReading",
    "CureAct",
    "CureBatch",
    "CureEntry",
    "CuredProduct",
    "CutLine",
    "CutPlan",
    "CutTableName",
    "Dip",
    "DipEntry",
    "DressedAs",
    "Duty",
    "EntryKind",
    "Equipment",
    "EquipmentKind",
    "FilledBy",
    "FireFuel",
    "FoodEntry",
    "FoodLog",
    "FoodMark",
    "FoodRule",
    "HairSlip",
    "HandlingSetup",
    "HazardNote",
    "HeldBy",
    "HogCover",
    "HogPart",
    "Hoist",
    "KitHold",
    "KitchenBatch",
    "Lifting",
    "NextTiming",
    "Noted",
    "Package",
    "PackageKind",
    "PackageState",
    "PantryFood",
    "ProbedPart",
    "ScaldMethod",
    "ScaldSeason",
    "Signal",
    "Stage",
    "StageGap",
    "Station",
    "Subject",
    "Thermometer",
    "ThermometerCheck",
    "TimesBy",
    "Trough",
    "TroughWall",
    "Trusted",
    "WeighIn",
    "WeighStage",
    "WritesDown",
]
