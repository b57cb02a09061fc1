"""What the planner is given: frozen, keyword-only, checked when made.

When things happen is in ``timetable_problem.py``, who does them in ``rotation_problem.py``; both
are offered here, so that a caller learns one name. Times are whole minutes from one origin that
the caller chooses (midnight before the first day); a course of three days therefore runs from 0 to
4320. Identifiers are short strings that the caller can turn back into rows ("hog2:scald", "a14").
Names are for sentences that people read.
"""

from __future__ import annotations

from scheduling.planner.basics import MINUTES_PER_DAY, Window
from scheduling.planner.rotation_problem import (
    DutySpec,
    FilledBy,
    Limit,
    Part,
    PersonSpec,
    Placed,
    PlaceLoad,
    RotationProblem,
    TimedStep,
)
from scheduling.planner.timetable_problem import (
    Away,
    Gap,
    Meal,
    Need,
    Pool,
    StationSpec,
    StepSpec,
    TimetableProblem,
)

__all__ = [
    "MINUTES_PER_DAY",
    "Away",
    "DutySpec",
    "FilledBy",
    "Gap",
    "Limit",
    "Meal",
    "Need",
    "Part",
    "PersonSpec",
    "PlaceLoad",
    "Placed",
    "Pool",
    "RotationProblem",
    "StationSpec",
    "StepSpec",
    "TimedStep",
    "TimetableProblem",
    "Window",
]
