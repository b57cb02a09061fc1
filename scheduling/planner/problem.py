"""What the planner is given: frozen, keyword-only, checked when made.

Times are whole minutes from one origin that the caller chooses (midnight before the first day);
a course of three days therefore runs from 0 to 4320. Identifiers are short strings that the
caller can turn back into rows ("hog2:scald", "a14"). Names are for sentences that people read.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from scheduling.planner.errors import BadProblem

MINUTES_PER_DAY = 24 * 60
HEIGHTS_CM = (50, 250)  # wider than any person: only a wrong unit is caught


def _unique(kind: str, ids: Iterable[str]) -> None:
    twice = sorted(name for name, count in Counter(ids).items() if count > 1)
    if twice:
        raise BadProblem(f"{kind} {twice[0]!r} is listed twice; each needs its own identifier.")


def _known(kind: str, name: str, known: Iterable[str], user: str) -> None:
    if name not in known:
        raise BadProblem(f"{user} names {kind} {name!r}, which is not in the problem; add it.")


# --- when -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """A stretch of time, ``start`` <= t <= ``end``, in minutes."""

    start: int
    end: int

    def __post_init__(self) -> None:
        if self.start > self.end:
            raise BadProblem(f"A window starts at {self.start} after its end at {self.end}.")


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
        _unique("Station", (station.id for station in self.stations))
        _unique("Pool", (pool.id for pool in self.pools))
        _unique("Step", (step.id for step in self.steps))
        stations = {station.id for station in self.stations}
        pools = {pool.id for pool in self.pools}
        steps = {step.id for step in self.steps}
        for step in self.steps:
            _known("station", step.station, stations, f"Step {step.name}")
            for need in step.needs:
                _known("pool", need.pool, pools, f"Step {step.name}")
        for gap in self.gaps:
            _known("step", gap.before, steps, "A gap")
            _known("step", gap.after, steps, "A gap")


# --- who ------------------------------------------------------------------------------------


class Limit(StrEnum):
    """What a person must not or cannot do (design, section 2)."""

    NO_LIFTING = "no_lifting"
    NO_KNIVES = "no_knives"
    AWAY_FROM_KILL = "away_from_kill"
    NO_HOT_WATER = "no_hot_water"
    SEATED_ONLY = "seated_only"
    UNDER_18 = "under_18"


class FilledBy(StrEnum):
    """Who may take a duty."""

    ATTENDEES = "attendees"
    STAFF = "staff"
    LEAD = "lead"


class Part(StrEnum):
    """What a person is on this course."""

    ATTENDEE = "attendee"
    HELPER = "helper"
    LEAD = "lead"


@dataclass(frozen=True, slots=True, kw_only=True)
class DutySpec:
    """One job at a station: how many hands, and what they must be able to do.

    ``places`` names each hand's place where that matters (the four on the chains); it is then as
    long as ``most``. ``across`` are the pairs of places at the two ends of one chain, whose people
    should be of about one height. ``core`` duties are those that every attendee should come to do.
    """

    id: str
    name: str
    least: int
    most: int
    places: tuple[str, ...] = ()
    across: tuple[tuple[str, str], ...] = ()
    filled_by: FilledBy = FilledBy.ATTENDEES
    heavy: bool = False
    ruled_out_by: frozenset[Limit] = frozenset()
    knife_floor: int = 0
    lift_floor_kg: float = 0.0
    core: bool = True

    def __post_init__(self) -> None:
        if not 0 <= self.least <= self.most or self.most == 0:
            raise BadProblem(
                f"Duty {self.name} needs {self.least} to {self.most} hands; the first must be 0 "
                "or more, the second at least 1 and no smaller than the first."
            )
        if self.places and len(self.places) != self.most:
            raise BadProblem(
                f"Duty {self.name} names {len(self.places)} places for {self.most} hands; "
                "name one each."
            )
        _unique(f"A place of {self.name},", self.places)
        for one, other in self.across:
            for place in (one, other):
                _known("place", place, self.places, f"A chain of {self.name}")
            if one == other:
                raise BadProblem(f"A chain of {self.name} runs from {one!r} to itself.")

    @property
    def needed(self) -> int:
        """The hands it cannot do without: each named place, else ``least``."""
        return len(self.places) or self.least


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonSpec:
    """Someone who can be placed, with what they may do and when they are here.

    ``knife`` grows from 0 (never held one at this work) to 3. ``lift_kg`` is the comfortable
    lift, None where it is not known (then neither ``lift_floor_kg`` nor the load of a place rules
    anything out). ``height_cm`` is None where it is not known (then no chain is matched by it).
    """

    id: str
    name: str
    part: Part = Part.ATTENDEE
    household: str = ""
    limits: frozenset[Limit] = frozenset()
    knife: int = 0
    lift_kg: float | None = None
    height_cm: float | None = None
    present: tuple[Window, ...]

    def __post_init__(self) -> None:
        if self.height_cm is not None and not HEIGHTS_CM[0] <= self.height_cm <= HEIGHTS_CM[1]:
            raise BadProblem(
                f"{self.name} is given as {self.height_cm:g} cm tall; give {HEIGHTS_CM[0]} to "
                f"{HEIGHTS_CM[1]} cm, or leave it out."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceLoad:
    """What one hand bears at one place of a step; ``place`` is empty where none are named."""

    duty: str
    place: str
    kg: float

    def __post_init__(self) -> None:
        if not self.kg > 0:
            raise BadProblem(f"A load of {self.kg:g} kg on {self.duty}; it needs more than 0.")


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedStep:
    """A step whose time is known, and the duties it needs hands for.

    ``place_loads`` say what a hand bears at a place, where somebody has worked it out.
    """

    id: str
    name: str
    station: str
    start: int
    end: int
    duties: tuple[str, ...]
    place_loads: tuple[PlaceLoad, ...] = ()

    def __post_init__(self) -> None:
        if self.start >= self.end:
            raise BadProblem(f"Step {self.name} starts at {self.start} and ends at {self.end}.")
        _unique(f"A duty of step {self.name},", self.duties)
        _unique(
            f"The load of a place at {self.name},",
            (f"{load.duty} {load.place}".strip() for load in self.place_loads),
        )
        for load in self.place_loads:
            _known("duty", load.duty, self.duties, f"A load at {self.name}")

    def load_kg(self, duty: str, place: str) -> float:
        """What a hand bears at a place of a duty here; 0 where nobody has worked it out."""
        return next(
            (one.kg for one in self.place_loads if (one.duty, one.place) == (duty, place)), 0.0
        )


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Placed:
    """One person on one duty of one step; ``place`` is empty where places are not named."""

    step: str
    duty: str
    person: str
    place: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RotationProblem:
    """Everything needed to say who does what.

    ``locks`` must appear in the plan. ``posted`` is what people have already been told: the plan
    may differ, and the difference is counted. ``done`` are (person, duty) pairs already practised
    outside the steps given; they count toward coverage. With ``keep_posted`` the plan changes as
    little of ``posted`` as it can before it looks at any other goal.
    """

    people: tuple[PersonSpec, ...]
    duties: tuple[DutySpec, ...]
    steps: tuple[TimedStep, ...]
    locks: tuple[Placed, ...] = ()
    posted: tuple[Placed, ...] = ()
    done: frozenset[tuple[str, str]] = frozenset()
    rest_after_heavy_min: int = 30
    keep_posted: bool = False

    def __post_init__(self) -> None:
        if self.rest_after_heavy_min < 0:
            raise BadProblem(
                f"The rest after a heavy duty is {self.rest_after_heavy_min} min; 0 or more."
            )
        _unique("Person", (person.id for person in self.people))
        _unique("Duty", (duty.id for duty in self.duties))
        _unique("Step", (step.id for step in self.steps))
        people = {person.id for person in self.people}
        duties = {duty.id: duty for duty in self.duties}
        steps = {step.id: step for step in self.steps}
        for step in self.steps:
            for duty in step.duties:
                _known("duty", duty, duties, f"Step {step.name}")
            for load in step.place_loads:
                places = duties[load.duty].places or ("",)
                _known("place", load.place, places, f"A load at {step.name}")
        for lock in self.locks:
            _known("person", lock.person, people, "A lock")
            _known("step", lock.step, steps, "A lock")
            _known("duty", lock.duty, steps[lock.step].duties, f"A lock at {lock.step}")
            if lock.place and lock.place not in duties[lock.duty].places:
                raise BadProblem(
                    f"A lock names the place {lock.place!r}, which {lock.duty} has not."
                )
