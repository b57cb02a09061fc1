"""Every model of the app, by subject."""

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
from stations.models.method import Stage, StageGap, Subject, Trusted
from stations.models.places import Duty, FilledBy, Station
from stations.models.thermometers import Thermometer, ThermometerCheck
from stations.models.troughs import (
    FireFuel,
    HogCover,
    ScaldMethod,
    ScaldSeason,
    Trough,
    TroughWall,
)

__all__ = [
    "ChainMark",
    "ChainWire",
    "Dip",
    "DipEntry",
    "Duty",
    "EntryKind",
    "Equipment",
    "EquipmentKind",
    "FilledBy",
    "FireFuel",
    "HairSlip",
    "HandlingSetup",
    "HazardNote",
    "HeldBy",
    "HogCover",
    "HogPart",
    "Hoist",
    "Lifting",
    "ScaldMethod",
    "ScaldSeason",
    "Signal",
    "Stage",
    "StageGap",
    "Station",
    "Subject",
    "Thermometer",
    "ThermometerCheck",
    "Trough",
    "TroughWall",
    "Trusted",
]
