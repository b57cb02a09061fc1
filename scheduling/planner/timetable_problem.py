"""What the timetable is given: frozen, keyword-only, checked when made.

Times are whole minutes from one origin that the caller chooses (midnight before the first day);
a course of three days therefore runs from 0 to 4320. Identifiers are short strings that the
caller can turn back into rows ("hog2:scald"). Names are for sentences that people read.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise

from scheduling.planner.basics import Window, known, unique
from scheduling.planner.errors import BadProblem


@dataclass(frozen=True, slots=True, kw_only=True)
class Meal:
    """A break that may move: it starts from ``earliest`` to ``latest``, wished at ``wished``.

    It lasts ``minutes`` and nobody works in it; work that starts later only stretches it. A hot
    step is never cut: the meal goes before or after it. A break at a fixed time is a plain
    ``Window`` in the problem's ``breaks``.
    """

    id: str
    name: str
    minutes: int
    earliest: int
    wished: int
    latest: int

    def __post_init__(self) -> None:
        if self.minutes < 1 or not self.earliest <= self.wished <= self.latest:
            raise BadProblem(
                f"{self.name} of {self.minutes} min from {self.earliest} to {self.latest}, wished "
                f"at {self.wished}; it needs 1 min or more and its wish inside its range."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class StationSpec:
    """A place of work and how many carcasses (or kitchen jobs) it holds at once.

    ``set_up_min`` is the time needed between two steps at the station when it holds one at a
    time: the re-heat of a trough between two hogs. ``set_up_between`` gives another time for an
    ordered pair of steps (the hog before, the hog after). ``windows`` are the hours in which it
    can be used (daylight, dry weather); empty means always. Stations of one ``track`` belong
    together: the steps of one hog that may go to several tracks all go to the same.
    """

    id: str
    name: str
    capacity: int = 1
    set_up_min: int = 0
    set_up_between: Mapping[tuple[str, str], int] = field(default_factory=dict)
    windows: tuple[Window, ...] = ()
    track: str = ""

    def __post_init__(self) -> None:
        if self.capacity < 1:
            raise BadProblem(
                f"Station {self.name} has capacity {self.capacity}; it needs 1 or more."
            )
        shortest = min((self.set_up_min, *self.set_up_between.values()))
        if shortest < 0:
            raise BadProblem(f"Station {self.name} has a set-up of {shortest} min; 0 or more.")
        longest = max((self.set_up_min, *self.set_up_between.values()))
        if longest and self.capacity > 1:
            raise BadProblem(
                f"Station {self.name} has a set-up and capacity {self.capacity}; a set-up between "
                "steps is planned only where one step at a time is held."
            )

    def set_up(self, before: str, after: str) -> int:
        """Minutes from the end of one step here to the start of the next."""
        return self.set_up_between.get((before, after), self.set_up_min)


@dataclass(frozen=True, slots=True, kw_only=True)
class Away:
    """``amount`` units of a pool are not there in ``window``: an appointment, people who left."""

    window: Window
    amount: int

    def __post_init__(self) -> None:
        if self.amount < 1:
            raise BadProblem(f"{self.amount} are away; 1 or more.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Pool:
    """Hands or things that steps share: instructors, people fit for the chains, knives.

    With ``smooth`` the plan also keeps the most that are busy at once as few as it can, after
    every other goal.
    """

    id: str
    name: str
    capacity: int
    away: tuple[Away, ...] = ()
    smooth: bool = False

    def __post_init__(self) -> None:
        if self.capacity < 0:
            raise BadProblem(f"Pool {self.name} has capacity {self.capacity}; it needs 0 or more.")
        for one in self.away:
            at_once = sum(
                other.amount
                for other in self.away
                if other.window.start <= one.window.start < other.window.end
            )
            if at_once > self.capacity:
                raise BadProblem(
                    f"From pool {self.name} {at_once} are away at {one.window.start}; it has "
                    f"{self.capacity}."
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """``amount`` units of a pool, held while the step runs and ``rest_min`` after it.

    With ``until`` they are held on to the end of that later step: a gambrel from hanging to the
    end of the chill.
    """

    pool: str
    amount: int
    rest_min: int = 0
    until: str = ""

    def __post_init__(self) -> None:
        if self.amount < 1 or self.rest_min < 0:
            raise BadProblem(f"A need of {self.amount} from {self.pool} with rest {self.rest_min}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class StepSpec:
    """One stage of one hog's way, or one kitchen job.

    ``least_min`` <= ``expected_min`` <= ``most_min``; the plan gives an attended step its expected
    time. It lies wholly inside one of ``windows`` and overlaps no break: nobody works through a
    meal, and a hot step is never cut. An ``unattended`` step (chilling overnight) need only start
    inside a window and runs on through breaks and nights; it lasts its expected time, and longer,
    up to ``most_min``, where the longest gap after it would break otherwise. ``or_at`` are other
    stations where it may be done as well. ``subject`` names the carcass, so that its waiting can
    be counted.
    """

    id: str
    name: str
    station: str
    or_at: tuple[str, ...] = ()
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
        unique(f"A station of step {self.name},", self.stations)

    @property
    def stations(self) -> tuple[str, ...]:
        """Every station where it may be done."""
        return (self.station, *self.or_at)

    @property
    def stretch_min(self) -> int:
        """By how much it may last longer than expected: only where nobody stands by."""
        most = self.most_min if self.unattended else None
        return 0 if most is None else most - self.expected_min


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """From the end of ``before`` to the start of ``after``: at least, and at most, so long.

    With ``keeps_place`` the carcass stays where it is until ``after`` starts: the bench is not
    free before the hoist has taken the carcass from it.
    """

    before: str
    after: str
    least_min: int = 0
    most_min: int | None = None
    carcass_waits: bool = True
    keeps_place: bool = False

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
    meals: tuple[Meal, ...] = ()
    finish_by: Mapping[int, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        unique("Station", (station.id for station in self.stations))
        unique("Pool", (pool.id for pool in self.pools))
        unique("Step", (step.id for step in self.steps))
        unique("Meal", [step.id for step in self.steps] + [meal.id for meal in self.meals])
        stations = {station.id for station in self.stations}
        pools = {pool.id for pool in self.pools}
        steps = {step.id for step in self.steps}
        for step in self.steps:
            for station in step.stations:
                known("station", station, stations, f"Step {step.name}")
            for need in step.needs:
                known("pool", need.pool, pools, f"Step {step.name}")
                if need.until:
                    known("step", need.until, steps, f"A need of step {step.name}")
        for gap in self.gaps:
            known("step", gap.before, steps, "A gap")
            known("step", gap.after, steps, "A gap")
        self._meals_apart()

    def _meals_apart(self) -> None:
        ranges = [(meal.earliest, meal.latest + meal.minutes, meal.name) for meal in self.meals]
        fixed = [(pause.start, pause.end, "a fixed break") for pause in self.breaks]
        for first, second in pairwise(sorted([*ranges, *fixed])):
            if first[1] > second[0] and (first in ranges or second in ranges):
                raise BadProblem(
                    f"{first[2]} may last until {first[1]} and {second[2]} may start at "
                    f"{second[0]}; keep the ranges of meals and breaks apart."
                )

    def choices(self, step: StepSpec) -> tuple[StationSpec, ...]:
        """The stations where a step may be done."""
        return tuple(station for station in self.stations if station.id in step.stations)
