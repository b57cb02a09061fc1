"""Every model of the app, by subject."""

from stations.models.equipment import Equipment, EquipmentKind
from stations.models.hazards import HazardNote, Signal
from stations.models.method import Stage, StageGap, Subject, Trusted
from stations.models.places import Duty, FilledBy, Station

__all__ = [
    "Duty",
    "Equipment",
    "EquipmentKind",
    "FilledBy",
    "HazardNote",
    "Signal",
    "Stage",
    "StageGap",
    "Station",
    "Subject",
    "Trusted",
]
