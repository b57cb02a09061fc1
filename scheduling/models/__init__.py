"""Every model of the app, by subject."""

from scheduling.models.attendance import Attendance, TodayLimit, Turnout
from scheduling.models.placements import Placement
from scheduling.models.postings import Posting
from scheduling.models.run_sheets import RunSheet, SheetStatus, Step

__all__ = [
    "Attendance",
    "Placement",
    "Posting",
    "RunSheet",
    "SheetStatus",
    "Step",
    "TodayLimit",
    "Turnout",
]
