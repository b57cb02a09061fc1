"""What the planner is given: frozen, keyword-only, checked when made.

Times are whole minutes from one origin that the caller chooses (midnight before the first day);
a course of three days therefore runs from 0 to 4320. Identifiers are short strings that the
caller can turn back into rows ("hog2:scald", "a14"). Names are for sentences that people read.
Who does what is in ``rotation_problem.py``; its names are known here, too.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from scheduling.planner.basics import MINUTES_PER_DAY as MINUTES_PER_DAY
from scheduling.planner.basics import Window as Window
from scheduling.planner.basics import known, unique
from scheduling.planner.errors import BadProblem
from scheduling.planner.rotation_problem import DutySpec as DutySpec
from scheduling.planner.rotation_problem import FilledBy as FilledBy
from scheduling.planner.rotation_problem import Limit as Limit
from scheduling.planner.rotation_problem import Part as Part
from scheduling.planner.rotation_problem import PersonSpec as PersonSpec
from scheduling.planner.rotation_problem import Placed as Placed
from scheduling.planner.rotation_problem import PlaceLoad as PlaceLoad
from scheduling.planner.rotation_problem import RotationProblem as RotationProblem
from scheduling.planner.rotation_problem import TimedStep as TimedStep

# --- when -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class StationSpec:
    """A place of work and how many carcasses (or kitchen jobs) it holds at once.

    ``set_up_min`` is the time needed between two steps at the station when it holds one at a
    time: the re-heat of a trough between two hogs.
    """

    id: str
    name: str
    capacity: int = 1
    set_up_min: int = 0

    def __post_init__(self) -> None:
        if self.capacity < 1:
            raise BadProblem(
                f"Station {self.name} has capacity {self.capacity}; it needs 1 or more."
            )
        if self.set_up_min < 0:
            raise BadProblem(
                f"Station {self.name} has a set-up of {self.set_up_min} min; 0 or more."
            )
        if self.set_up_min and self.capacity > 1:
            raise BadProblem(
                f"Station {self.name} has a set-up and capacity {self.capacity}; a set-up between "
                "steps is planned only where one step at a time is held."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Pool:
    """Hands or things that steps share: instructors, people fit for the chains, knives."""

    id: str
    name: str
    capacity: int

    def __post_init__(self) -> None:
        if self.capacity < 0:
            raise BadProblem(f"Pool {self.name} has capacity {self.capacity}; it needs 0 or more.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """``amount`` units of a pool, held while the step runs and ``rest_min`` after it."""

    pool: str
    amount: int
    rest_min: int = 0

    def __post_init__(self) -> None:
        if self.amount < 1 or self.rest_min < 0:
            raise BadProblem(f"A need of {self.amount} from {self.pool} with rest {self.rest_min}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class StepSpec:
    """One stage of one hog's way, or one kitchen job.

    ``least_min`` <= ``expected_min`` <= ``most_min``; the plan gives a step its expected time. An
    attended step lies wholly inside one of ``windows`` and overlaps no break: nobody works
    through a meal, and a hot step is never cut. An ``unattended`` step (chilling overnight) need
    only start inside a window and runs on through breaks and nights. ``subject`` names the
    carcass, so that its waiting can be counted.
    """

    id: str
    name: str
    station: str
    expected_min: int
    least_min: int | None = None
    most_min: int | None = None
    windows: tuple[Window, ...]
    needs: tuple[Need, ...] = ()
    subject: str = ""
    unattended: bool = False
    pinned_start: int | None = None

    def __post_init__(self) -> None:
        least = self.expected_min if self.least_min is None else self.least_min
        most = self.expected_min if self.most_min is None else self.most_min
        if not 0 < least <= self.expected_min <= most:
            raise BadProblem(
                f"Step {self.name}: least {least}, expected {self.expected_min} and most {most} "
                "min must be above 0 and in this order."
            )
        if not self.windows:
            raise BadProblem(f"Step {self.name} has no window of time; give it at least one.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """From the end of ``before`` to the start of ``after``: at least, and at most, so long."""

    before: str
    after: str
    least_min: int = 0
    most_min: int | None = None
    carcass_waits: bool = True

    def __post_init__(self) -> None:
        if self.most_min is not None and self.most_min < self.least_min:
            raise BadProblem(
                f"Between {self.before} and {self.after}: at least {self.least_min} min exceeds "
                f"at most {self.most_min} min."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class TimetableProblem:
    """Everything needed to say when each step starts."""

    stations: tuple[StationSpec, ...]
    pools: tuple[Pool, ...] = ()
    steps: tuple[StepSpec, ...]
    gaps: tuple[Gap, ...] = ()
    breaks: tuple[Window, ...] = ()
    finish_by: Mapping[int, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        unique("Station", (station.id for station in self.stations))
        unique("Pool", (pool.id for pool in self.pools))
        unique("Step", (step.id for step in self.steps))
        stations = {station.id for station in self.stations}
        pools = {pool.id for pool in self.pools}
        steps = {step.id for step in self.steps}
        for step in self.steps:
            known("station", step.station, stations, f"Step {step.name}")
            for need in step.needs:
                known("pool", need.pool, pools, f"Step {step.name}")
        for gap in self.gaps:
            known("step", gap.before, steps, "A gap")
            known("step", gap.after, steps, "A gap")
