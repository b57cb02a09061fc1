"""Who: what the rotation is given. Frozen, keyword-only, checked when made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from scheduling.planner.basics import Window, known, unique
from scheduling.planner.errors import BadProblem
from scheduling.planner.rule import Rule

HEIGHTS_CM = (50, 250)  # wider than any person: only a wrong unit is caught


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


class Wish(StrEnum):
    """What an attendee has asked for about a duty; never a promise."""

    MUST_TRY = "must_try"
    RATHER_NOT = "rather_not"


class HouseholdWish(StrEnum):
    """How the members of a household have asked to be placed."""

    TOGETHER = "together"
    APART = "apart"


class Concern(StrEnum):
    """What the lead may put in another order; coverage comes before all of them."""

    WISHES = "wishes"
    EVENNESS = "evenness"
    MIXING = "mixing"
    STATIONS = "stations"


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
    A ``sharp`` duty is done with a knife or saw: a first-timer needs a mentor there. ``dirty`` work
    is shared out like heavy work.
    """

    id: str
    name: str
    least: int
    most: int
    places: tuple[str, ...] = ()
    across: tuple[tuple[str, str], ...] = ()
    filled_by: FilledBy = FilledBy.ATTENDEES
    heavy: bool = False
    sharp: bool = False
    dirty: bool = False
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
        unique(f"A place of {self.name},", self.places)
        for one, other in self.across:
            for place in (one, other):
                known("place", place, self.places, f"A chain of {self.name}")
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
    wishes: tuple[tuple[str, Wish], ...] = ()
    present: tuple[Window, ...]

    def __post_init__(self) -> None:
        unique(f"A wish of {self.name} for", (duty for duty, _ in self.wishes))
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

    ``place_loads`` say what a hand bears at a place, where somebody has worked it out. A
    ``supervised`` step needs the lead or a helper at its station from its start to its end.
    """

    id: str
    name: str
    station: str
    start: int
    end: int
    duties: tuple[str, ...]
    place_loads: tuple[PlaceLoad, ...] = ()
    supervised: bool = False

    def __post_init__(self) -> None:
        if self.start >= self.end:
            raise BadProblem(f"Step {self.name} starts at {self.start} and ends at {self.end}.")
        unique(f"A duty of step {self.name},", self.duties)
        unique(
            f"The load of a place at {self.name},",
            (f"{load.duty} {load.place}".strip() for load in self.place_loads),
        )
        for load in self.place_loads:
            known("duty", load.duty, self.duties, f"A load at {self.name}")

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
class Walk:
    """Minutes on foot from one station to another, the same both ways."""

    one: str
    other: str
    minutes: int

    def __post_init__(self) -> None:
        if self.minutes < 0 or self.one == self.other:
            raise BadProblem(
                f"A walk of {self.minutes} min from {self.one} to {self.other}; give 0 min or "
                "more between two stations."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Cap:
    """How long one person may be at some duties in a day: hot or wet work in a cold wind."""

    name: str
    duties: frozenset[str]
    most_min: int

    def __post_init__(self) -> None:
        if self.most_min < 0:
            raise BadProblem(f"The cap on {self.name} is {self.most_min} min; 0 or more.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Meal:
    """Everyone who is here from ``start`` to ``end`` has ``minutes`` free on end in between."""

    name: str
    start: int
    end: int
    minutes: int

    def __post_init__(self) -> None:
        if not 0 < self.minutes <= self.end - self.start:
            raise BadProblem(
                f"{self.name} gives {self.minutes} min between {self.start} and {self.end}; "
                "it needs more than 0 and no more than fits."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class RotationProblem:
    """Everything needed to say who does what.

    ``locks`` must appear in the plan. ``posted`` is what people have already been told: the plan
    may differ, and the difference is counted. ``done`` are (person, duty) pairs already practised
    outside the steps given; they count toward coverage. With ``keep_posted`` the plan changes as
    little of ``posted`` as it can before it looks at any other goal. Steps that started before
    ``now`` are past: who was ``posted`` there stays, whatever a rule says today, and counts.
    ``households`` are those who asked to be placed together or apart. Each of at most
    ``learners_per_mentor`` first-timers at a sharp duty has one mentor. ``off`` are the rules that
    the lead has switched off, and ``order`` is the lead's order of the goals after coverage.
    """

    people: tuple[PersonSpec, ...]
    duties: tuple[DutySpec, ...]
    steps: tuple[TimedStep, ...]
    locks: tuple[Placed, ...] = ()
    posted: tuple[Placed, ...] = ()
    done: frozenset[tuple[str, str]] = frozenset()
    rest_after_heavy_min: int = 30
    keep_posted: bool = False
    now: int | None = None
    walks: tuple[Walk, ...] = ()
    caps: tuple[Cap, ...] = ()
    meals: tuple[Meal, ...] = ()
    households: Mapping[str, HouseholdWish] = field(default_factory=dict)
    learners_per_mentor: int = 2  # common practice, no source
    off: frozenset[Rule] = frozenset()
    order: tuple[Concern, ...] = tuple(Concern)

    def __post_init__(self) -> None:
        unique("Person", (person.id for person in self.people))
        unique("Duty", (duty.id for duty in self.duties))
        unique("Step", (step.id for step in self.steps))
        duties = {duty.id: duty for duty in self.duties}
        for step in self.steps:
            self._check_step(step, duties)
        for person in self.people:
            for duty, _ in person.wishes:
                known("duty", duty, duties, f"A wish of {person.name}")
        for cap in self.caps:
            for duty in sorted(cap.duties):
                known("duty", duty, duties, f"The cap on {cap.name}")
        self._check_locks(duties)
        self._check_choices()

    def _check_step(self, step: TimedStep, duties: Mapping[str, DutySpec]) -> None:
        for duty in step.duties:
            known("duty", duty, duties, f"Step {step.name}")
        for load in step.place_loads:
            places = duties[load.duty].places or ("",)
            known("place", load.place, places, f"A load at {step.name}")

    def _check_locks(self, duties: Mapping[str, DutySpec]) -> None:
        people = {person.id: person for person in self.people}
        steps = {step.id: step for step in self.steps}
        for lock in self.locks:
            known("person", lock.person, people, "A lock")
            known("step", lock.step, steps, "A lock")
            known("duty", lock.duty, steps[lock.step].duties, f"A lock at {lock.step}")
            if lock.place and lock.place not in duties[lock.duty].places:
                raise BadProblem(
                    f"A lock names the place {lock.place!r}, which {lock.duty} has not."
                )

    def _check_choices(self) -> None:
        if self.rest_after_heavy_min < 0:
            raise BadProblem(
                f"The rest after a heavy duty is {self.rest_after_heavy_min} min; 0 or more."
            )
        fixed = sorted(rule for rule in self.off if not rule.may_be_switched_off)
        if fixed:
            raise BadProblem(f"The rule {fixed[0].value!r} cannot be switched off; leave it on.")
        if sorted(self.order) != sorted(Concern):
            named = ", ".join(self.order)
            raise BadProblem(
                f"The order of the goals is {named!r}; name each of {', '.join(Concern)} once."
            )
        if self.learners_per_mentor < 1:
            raise BadProblem(
                f"A mentor is beside {self.learners_per_mentor} first-timers; 1 or more."
            )

    def keeps(self, rule: Rule) -> bool:
        """Whether the rule is on."""
        return rule not in self.off

    def is_past(self, step: TimedStep) -> bool:
        """Whether the step had started when the plan was asked for."""
        return self.now is not None and step.start < self.now
