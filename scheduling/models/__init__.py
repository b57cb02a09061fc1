"""Every model of the app, by subject."""

from scheduling.models.alarms import Alarm, AlarmKind
from scheduling.models.attendance import Attendance, TodayLimit, Turnout
from scheduling.models.clock import Actual, Mark
from scheduling.models.divisions import Division, DivisionLine, DivisionStatus, KindWish
from scheduling.models.log import TYPED_KINDS, AppendOnlyError, LogEntry, LogKind
from scheduling.models.overrides import Override
from scheduling.models.placements import Placement
from scheduling.models.postings import Heard, Notice, Posting
from scheduling.models.run_sheets import RunSheet, SheetStatus, Step
from scheduling.models.swaps import Swap, SwapKind, SwapState
from scheduling.models.wishes import Absence, DayWish, StationHours

__all__ = [
    "TYPED_KINDS",
    "Absence",
    "Actual",
    "Alarm",
    "AlarmKind",
    "AppendOnlyError",
    "Attendance",
    "DayWish",
    "Division",
    "DivisionLine",
    "DivisionStatus",
    "Heard",
    "KindWish",
    "LogEntry",
    "LogKind",
    "Mark",
    "Notice",
    "Override",
    "Placement",
    "Posting",
    "RunSheet",
    "SheetStatus",
    "StationHours",
    "Step",
    "Swap",
    "SwapKind",
    "SwapState",
    "TodayLimit",
    "Turnout",
]
