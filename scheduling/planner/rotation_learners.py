"""Hands left over: each stands beside a duty as a named learner, so that nobody has nothing to do.

A learner watches and is shown; they do not count as a hand. Whom a limit keeps away from a place
(the kill, hot water, work for adults) is no learner there either.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from itertools import pairwise

from scheduling.planner.measuring import RotationMeasures, attendees
from scheduling.planner.rotation_problem import (
    DutySpec,
    Limit,
    PersonSpec,
    Placed,
    RotationProblem,
    TimedStep,
)

# What keeps a person from being near a duty, not only from doing it.
_KEEPS_AWAY = frozenset({Limit.AWAY_FROM_KILL, Limit.NO_HOT_WATER, Limit.UNDER_18})


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Learner:
    """One person beside one duty of one step from ``start`` to ``end``, to watch it."""

    start: int
    end: int
    step: str
    duty: str
    person: str


def may_watch(person: PersonSpec, duty: DutySpec) -> bool:
    """Whether no limit keeps a person from standing beside a duty.

    >>> wrist = PersonSpec(id="a", name="Ana", limits=frozenset({Limit.NO_LIFTING}), present=())
    >>> minor = PersonSpec(id="m", name="Mo", limits=frozenset({Limit.UNDER_18}), present=())
    >>> lift = DutySpec(id="lift", name="Lift", least=1, most=1,
    ...     ruled_out_by=frozenset({Limit.NO_LIFTING, Limit.UNDER_18}))
    >>> may_watch(wrist, lift), may_watch(minor, lift)
    (True, False)
    """
    return not person.limits & duty.ruled_out_by & _KEEPS_AWAY


def name_learners(measures: RotationMeasures) -> tuple[Learner, ...]:
    """Put each attendee who has no place while work is under way beside a duty they may watch.

    In the order of time; first the duties that the person has not come to yet, then those with the
    fewest learners; who stands somewhere stays as long as the step goes on. Steps that are past are
    left as they were.
    """
    return _Watching(measures).name()


class _Watching:
    """Who stands where, from one moment of change to the next."""

    def __init__(self, measures: RotationMeasures) -> None:
        problem = measures.problem
        self.people = attendees(problem)
        self.duties = {duty.id: duty for duty in problem.duties}
        self.to_come = [step for step in problem.steps if not problem.is_past(step)]
        self.moments = _moments(problem)
        self.busy = _busy(problem, measures.placed)
        self.seen = set(measures.covered)
        self.watch: dict[str, tuple[int, TimedStep, str]] = {}
        self.found: list[Learner] = []

    def name(self) -> tuple[Learner, ...]:
        for start, end in pairwise(self.moments):
            under_way = [s for s in self.to_come if s.start <= start and end <= s.end]
            for person in self.people:
                free = _is_here(person, start, end) and not _covers(
                    self.busy[person.id], start, end
                )
                watched = self.watch.get(person.id)
                if watched and not (free and watched[1] in under_way):
                    self._leave(person.id, start)
                if free and person.id not in self.watch:
                    self._go(person, start, under_way)
        for name in sorted(self.watch):
            self._leave(name, self.watch[name][1].end)
        return tuple(sorted(self.found))

    def _go(self, person: PersonSpec, now: int, under_way: list[TimedStep]) -> None:
        crowd = Counter((step.id, duty) for _, step, duty in self.watch.values())
        open_to = [
            (step, duty)
            for step in under_way
            for duty in step.duties
            if may_watch(person, self.duties[duty])
        ]
        if open_to:
            step, duty = min(
                open_to,
                key=lambda one: (
                    crowd[one[0].id, one[1]] // 2,
                    (person.id, one[1]) in self.seen,
                    crowd[one[0].id, one[1]],
                    one[0].id,
                    one[1],
                ),
            )
            self.seen.add((person.id, duty))
            self.watch[person.id] = (now, step, duty)

    def _leave(self, name: str, now: int) -> None:
        start, step, duty = self.watch.pop(name)
        self.found.append(Learner(start=start, end=now, step=step.id, duty=duty, person=name))


def _moments(problem: RotationProblem) -> list[int]:
    """Every moment at which somebody comes or goes, or a step starts or ends."""
    work = {moment for step in problem.steps for moment in (step.start, step.end)}
    stays = {
        moment
        for person in attendees(problem)
        for stay in person.present
        for moment in (stay.start, stay.end)
    }
    return sorted(work | stays)


def _busy(
    problem: RotationProblem, placed: tuple[Placed, ...]
) -> defaultdict[str, list[tuple[int, int]]]:
    steps = {step.id: step for step in problem.steps}
    busy: defaultdict[str, list[tuple[int, int]]] = defaultdict(list)
    for one in placed:
        busy[one.person].append((steps[one.step].start, steps[one.step].end))
    return busy


def _covers(stretches: list[tuple[int, int]], start: int, end: int) -> bool:
    return any(one <= start and end <= other for one, other in stretches)


def _is_here(person: PersonSpec, start: int, end: int) -> bool:
    return _covers([(stay.start, stay.end) for stay in person.present], start, end)
