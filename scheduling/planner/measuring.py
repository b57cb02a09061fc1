"""What a rotation is worth, counted from the plan itself and never from the solver.

Every goal of ``rotation.py`` has its measure here under the same name, so that a test can hold
the solver's figure against the plan's own.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from itertools import combinations
from math import ceil

from scheduling.planner.problem import (
    DutySpec,
    Part,
    PersonSpec,
    Placed,
    RotationProblem,
    TimedStep,
    Window,
)
from scheduling.planner.rotation_problem import Wish
from scheduling.planner.rules import answers, candidates, day_of, stays, watches_over


class ChangeKind(StrEnum):
    """How a person's part in a step differs from what was posted."""

    GAINED = "gained"
    LOST = "lost"
    MOVED = "moved"


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One thing to tell one person about one step."""

    person: str
    step: str
    kind: ChangeKind
    before: Placed | None
    after: Placed | None


def time_here(problem: RotationProblem) -> dict[str, int]:
    """Minutes in which some step is under way and the attendee is present, per attendee."""
    under_way = stays(Window(start=step.start, end=step.end) for step in problem.steps)
    return {
        person.id: sum(
            max(0, min(stay.end, work.end) - max(stay.start, work.start))
            for stay in stays(person.present)
            for work in under_way
        )
        for person in attendees(problem)
    }


def demands(problem: RotationProblem) -> list[tuple[TimedStep, DutySpec]]:
    """Every duty of every step, in the order of time."""
    duties = {duty.id: duty for duty in problem.duties}
    in_time = sorted(problem.steps, key=lambda step: (step.start, step.end, step.id))
    return [(step, duties[name]) for step in in_time for name in step.duties]


def locks_to_keep(problem: RotationProblem) -> tuple[Placed, ...]:
    """The locks at steps to come; the past is kept as it was, locked or not."""
    past = {step.id for step in problem.steps if problem.is_past(step)}
    return tuple(lock for lock in problem.locks if lock.step not in past)


def told_of_steps_to_come(problem: RotationProblem) -> dict[tuple[str, str], Placed]:
    """What was posted, by (person, step), without the steps that are past."""
    past = {step.id for step in problem.steps if problem.is_past(step)}
    return {(one.person, one.step): one for one in problem.posted if one.step not in past}


def attendees(problem: RotationProblem) -> list[PersonSpec]:
    """The people whose coverage and share of the work are counted."""
    return [person for person in problem.people if person.part is Part.ATTENDEE]


def compared(problem: RotationProblem, able: Iterable[str]) -> dict[str, int]:
    """Time here of the attendees among ``able``: those whose shares of work are compared."""
    wanted = set(able)
    return {name: here for name, here in time_here(problem).items() if name in wanted and here > 0}


def possible_pairs(problem: RotationProblem, able: Iterable[Placed]) -> set[tuple[str, str]]:
    """(attendee, core duty) pairs that can be covered: once possible in the plan, or done."""
    core = {duty.id for duty in problem.duties if duty.core}
    names = {person.id for person in attendees(problem)}
    pairs = {(one.person, one.duty) for one in able} | problem.done
    return {(person, duty) for person, duty in pairs if person in names and duty in core}


def spread(minutes: Mapping[str, int], here: Mapping[str, int]) -> int:
    """Busiest less idlest, in minutes, as if everyone were here as long as the longest.

    A share is ``minutes * longest / here``; the largest is rounded up, the smallest down.

    >>> spread({"ana": 60, "ben": 40}, {"ana": 200, "ben": 100})
    20
    """
    if not here:
        return 0
    longest = max(here.values())
    most = max(-(-minutes[name] * longest // here[name]) for name in here)
    least = min(minutes[name] * longest // here[name] for name in here)
    return most - least


def lift_share(person: PersonSpec, load_kg: float) -> int:
    """A load in per cent of the comfortable lift, rounded up; 0 where the lift is not known.

    >>> lift_share(PersonSpec(id="a", name="Ada", lift_kg=30.0, present=()), 20.0)
    67
    """
    return ceil(100 * load_kg / person.lift_kg) if person.lift_kg else 0


def height_apart(one: PersonSpec | None, other: PersonSpec | None) -> int:
    """Whole centimetres between two heights; 0 where one of them is not known.

    >>> tall = PersonSpec(id="a", name="Ada", height_cm=182.0, present=())
    >>> small = PersonSpec(id="b", name="Bo", height_cm=165.0, present=())
    >>> height_apart(tall, small), height_apart(tall, None)
    (17, 0)
    """
    if one is None or other is None or one.height_cm is None or other.height_cm is None:
        return 0
    return abs(round(one.height_cm) - round(other.height_cm))


@dataclass(frozen=True, kw_only=True)  # without slots: cached properties live in the dict
class RotationMeasures:
    """Counts over one plan of one problem."""

    problem: RotationProblem
    placed: tuple[Placed, ...]

    def of(self, placed: tuple[Placed, ...]) -> RotationMeasures:
        """The same counts over another plan of the problem; what no plan changes is not redone."""
        other = RotationMeasures(problem=self.problem, placed=placed)
        vars(other).update(able=self.able, possible=self.possible)
        return other

    @cached_property
    def able(self) -> tuple[Placed, ...]:
        """Every placement that some plan could have."""
        return candidates(self.problem)

    @cached_property
    def possible(self) -> frozenset[tuple[str, str]]:
        """(attendee, core duty) pairs that some plan could cover."""
        return frozenset(possible_pairs(self.problem, self.able))

    @cached_property
    def covered(self) -> frozenset[tuple[str, str]]:
        """(attendee, core duty) pairs that this plan, or practice before it, covers."""
        held = {(one.person, one.duty) for one in self.placed} | self.problem.done
        return self.possible & held

    def locks_broken(self) -> tuple[Placed, ...]:
        """The locks that this plan does not keep."""
        return tuple(
            lock
            for lock in locks_to_keep(self.problem)
            if not any(answers(one, lock) for one in self.placed)
        )

    def shortages(self) -> dict[tuple[str, str], int]:
        """Hands missing per (step, duty), in the order of time; 0 where none is missing."""
        there = Counter((one.step, one.duty) for one in self.placed)
        return {
            (step.id, duty.id): max(0, duty.needed - there[step.id, duty.id])
            for step, duty in demands(self.problem)
            if not self.problem.is_past(step)
        }

    def unwatched(self) -> tuple[str, ...]:
        """The supervised steps to come at which neither the lead nor a helper is."""
        steps = {step.id: step for step in self.problem.steps}
        staff = {one.id for one in self.problem.people if one.part is not Part.ATTENDEE}
        watching = [steps[one.step] for one in self.placed if one.person in staff]
        return tuple(
            step.id
            for step in self.problem.steps
            if step.supervised
            and not self.problem.is_past(step)
            and not any(watches_over(other, step) for other in watching)
        )

    def demands_not_met(self) -> int:
        """Broken locks, unwatched steps and missing hands, all counted alike."""
        return len(self.locks_broken()) + len(self.unwatched()) + self.hands_short()

    def hands_short(self) -> int:
        """Hands missing in all."""
        return sum(self.shortages().values())

    def coverage(self) -> int:
        """How many (attendee, core duty) pairs are covered."""
        return len(self.covered)

    def coverage_by_person(self) -> dict[str, tuple[int, int]]:
        """Core duties covered, and core duties that could be, per attendee."""
        covered = Counter(person for person, _ in self.covered)
        possible = Counter(person for person, _ in self.possible)
        return {
            person.id: (covered[person.id], possible[person.id])
            for person in attendees(self.problem)
        }

    def most_missed(self) -> int:
        """Core duties missed by the attendee who misses most of those they may do."""
        return max((could - did for did, could in self.coverage_by_person().values()), default=0)

    def _minutes(self, duties: set[str]) -> dict[str, int]:
        lasts = {step.id: step.end - step.start for step in self.problem.steps}
        minutes = {person.id: 0 for person in self.problem.people}
        for one in self.placed:
            if one.duty in duties:
                minutes[one.person] += lasts[one.step]
        return minutes

    def minutes(self) -> dict[str, int]:
        """Placed minutes, per person."""
        return self._minutes({duty.id for duty in self.problem.duties})

    def heavy_minutes(self) -> dict[str, int]:
        """Placed minutes on heavy duties, per person."""
        return self._minutes({duty.id for duty in self.problem.duties if duty.heavy})

    def standing_about(self) -> int:
        """Minutes in which an attendee is here, work is under way and they have no place."""
        minutes = self.minutes()
        here = time_here(self.problem)
        able = compared(self.problem, (one.person for one in self.able))
        return sum(here[name] - minutes[name] for name in able)

    def work_spread(self) -> int:
        """Busiest less idlest attendee, in minutes for equal time here."""
        able = compared(self.problem, (one.person for one in self.able))
        return spread(self.minutes(), able)

    def heavy_spread(self) -> int:
        """The same for heavy minutes, among the attendees who may do heavy duties."""
        heavy = {duty.id for duty in self.problem.duties if duty.heavy}
        able = (one.person for one in self.able if one.duty in heavy)
        return spread(self.heavy_minutes(), compared(self.problem, able))

    def dirty_spread(self) -> int:
        """The same for minutes of dirty work, among the attendees who may do it."""
        dirty = {duty.id for duty in self.problem.duties if duty.dirty}
        able = (one.person for one in self.able if one.duty in dirty)
        return spread(self._minutes(dirty), compared(self.problem, able))

    def average_work(self) -> int:
        """Placed minutes of an average attendee, rounded down."""
        names = [person.id for person in attendees(self.problem)]
        minutes = self.minutes()
        return sum(minutes[name] for name in names) // max(1, len(names))

    def wishes_not_met(self) -> int:
        """Duties that someone must try and never does, and turns at what they would rather not."""
        turns = Counter((one.person, one.duty) for one in self.placed)
        tried = turns.keys() | self.problem.done
        could = {(one.person, one.duty) for one in self.able}
        return sum(
            turns[person.id, duty]
            if wish is Wish.RATHER_NOT
            else (person.id, duty) in could - tried
            for person in self.problem.people
            for duty, wish in person.wishes
        )

    def stations_visited(self) -> int:
        """Stations that each attendee works at in each day, summed."""
        steps = {step.id: step for step in self.problem.steps}
        names = {person.id for person in attendees(self.problem)}
        held = ((one.person, steps[one.step]) for one in self.placed if one.person in names)
        return len({(person, day_of(step), step.station) for person, step in held})

    def chains_balanced(self) -> int:
        """Over all crews with named places: the worst share of a lift, and heights that differ.

        Per crew the largest load, in per cent of its bearer's comfortable lift, plus the
        centimetres between the two ends of each chain. What is not known counts nothing.
        """
        people = {person.id: person for person in self.problem.people}
        crews: defaultdict[tuple[str, str], dict[str, PersonSpec]] = defaultdict(dict)
        for one in self.placed:
            crews[one.step, one.duty][one.place] = people[one.person]
        return sum(
            max((lift_share(person, step.load_kg(duty.id, at)) for at, person in crew.items()))
            + sum(height_apart(crew.get(one), crew.get(other)) for one, other in duty.across)
            for step, duty in demands(self.problem)
            if duty.places and (crew := crews[step.id, duty.id])
        )

    def meetings(self) -> Counter[tuple[str, str]]:
        """How often each pair of attendees stands together on a duty of a step."""
        return self._meetings({duty.id for duty in self.problem.duties})

    def chain_meetings(self) -> Counter[tuple[str, str]]:
        """How often each pair of attendees stands together in named places."""
        return self._meetings({duty.id for duty in self.problem.duties if duty.places})

    def _meetings(self, duties: set[str]) -> Counter[tuple[str, str]]:
        names = {person.id for person in attendees(self.problem)}
        crews: defaultdict[tuple[str, str], list[str]] = defaultdict(list)
        for one in self.placed:
            if one.duty in duties and one.person in names:
                crews[one.step, one.duty].append(one.person)
        return Counter(pair for crew in crews.values() for pair in combinations(sorted(crew), 2))

    def partner_repeats(self) -> int:
        """Meetings after a pair's first; after their first on the chains, counted once more."""
        together = (self.meetings(), self.chain_meetings())
        return sum(times - 1 for counts in together for times in counts.values())

    def changes(self) -> tuple[Change, ...]:
        """What differs from the posted plan at steps to come: one entry per person and step."""
        before = told_of_steps_to_come(self.problem)
        past = {step.id for step in self.problem.steps if self.problem.is_past(step)}
        after = {(one.person, one.step): one for one in self.placed if one.step not in past}
        return tuple(
            Change(person=key[0], step=key[1], kind=kind, before=old, after=new)
            for key in sorted(before.keys() | after.keys())
            for old, new in [(before.get(key), after.get(key))]
            if (kind := _kind(old, new)) is not None
        )


def _kind(old: Placed | None, new: Placed | None) -> ChangeKind | None:
    if old is None:
        return ChangeKind.GAINED
    if new is None:
        return ChangeKind.LOST
    return None if answers(new, old) else ChangeKind.MOVED
