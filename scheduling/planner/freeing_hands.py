"""Changes that would free a clash: each is tried by solving again, and offered if it works."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from scheduling.planner.demanding import (
    ALWAYS,
    IN_QUESTION,
    Demand,
    Kind,
    can_be_met,
    only,
)
from scheduling.planner.refusals import Refusal
from scheduling.planner.rotation_problem import (
    DutySpec,
    FilledBy,
    Part,
    PersonSpec,
    RotationProblem,
)
from scheduling.planner.rule import Rule

OFFERED = 4  # more ways out than this nobody reads at the gate
MOVES_MIN = (15, 30, 60)


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """One change, the problem as it would then be, and whether that frees the whole course.

    ``cost`` orders the changes: what the lead can do alone before what asks others, and before what
    moves the day. The order is our judgement: common practice, no source.
    """

    cost: int
    sentence: str
    problem: RotationProblem
    frees_all: bool = False


def remedies(
    problem: RotationProblem, demands: list[Demand], refusal: Refusal
) -> tuple[Remedy, ...]:
    """The cheapest changes that free a clash, each tried by solving the clash again with it."""
    found: list[Remedy] = []
    settled: set[str] = set()
    for kind, remedy in sorted(
        _thinkable(problem, demands, refusal), key=lambda one: (one[1].cost, one[1].sentence)
    ):
        # Of one kind of change the least that is enough is offered, and no more of it.
        if kind in settled or len(found) == OFFERED:
            continue
        locks = set(remedy.problem.locks)
        left = [one for one in demands if one.lock is None or one.lock in locks]
        if can_be_met(only(remedy.problem, left, frozenset(IN_QUESTION))):
            settled.add(kind)
            frees_all = can_be_met(remedy.problem) is True
            found.append(replace(remedy, frees_all=frees_all))
    return tuple(found)


def _thinkable(
    problem: RotationProblem, demands: list[Demand], refusal: Refusal
) -> Iterator[tuple[str, Remedy]]:
    """Each change worth trying, with the kind of change that it is."""
    steps = {step.id: step for step in problem.steps}
    for demand in demands:
        if demand.lock is not None:
            yield f"lock {demand}", _unlock(problem, demand)
    for name in _absent(refusal):
        yield f"here {name}", _here(problem, name, steps[refusal.step].name)
    for rule in Rule:
        if rule.may_be_switched_off and problem.keeps(rule):
            yield f"off {rule}", _switched_off(problem, rule)
    for demand in demands:
        for minutes in MOVES_MIN:
            yield f"later {demand.step}", _later(problem, demand.step, minutes)
    yield from _hands(problem, demands, refusal)


def _hands(
    problem: RotationProblem, demands: list[Demand], refusal: Refusal
) -> Iterator[tuple[str, Remedy]]:
    """Doing with fewer hands, or finding more of them."""
    duties = {duty.id: duty for duty in problem.duties}
    asked = {one.duty: duties[one.duty] for one in demands if one.kind is Kind.HANDS}
    for duty in asked.values():
        for fewer in range(1, 0 if duty.places else duty.least):
            yield f"fewer {duty.id}", _fewer(problem, duty, fewer)
    whom = duties[refusal.duty].filled_by if refusal.duty else FilledBy.STAFF
    for more in range(1, max(1, refusal.needed) + 1):
        yield "more", _more(problem, whom, more)


def _switched_off(problem: RotationProblem, rule: Rule) -> Remedy:
    return Remedy(
        cost=40,
        sentence=f"switch this rule off: {rule.sentence}",
        problem=replace(problem, off=problem.off | {rule}),
    )


def _unlock(problem: RotationProblem, demand: Demand) -> Remedy:
    assert demand.lock is not None, "only locks are unlocked"
    names = {person.id: person.name for person in problem.people}
    steps = {step.id: step.name for step in problem.steps}
    return Remedy(
        cost=10,
        sentence=f"take away the lock of {names[demand.lock.person]} at {steps[demand.step]}.",
        problem=replace(
            problem, locks=tuple(lock for lock in problem.locks if lock != demand.lock)
        ),
    )


def _absent(refusal: Refusal) -> list[str]:
    return [
        person
        for reason in refusal.reasons
        if reason.rule is Rule.PRESENCE
        for person in reason.people
    ]


def _here(problem: RotationProblem, name: str, step: str) -> Remedy:
    people = {person.id: person for person in problem.people}
    changed = {**people, name: replace(people[name], present=(ALWAYS,))}
    return Remedy(
        cost=20,
        sentence=f"have {people[name].name} here for {step}.",
        problem=replace(problem, people=tuple(changed.values())),
    )


def _fewer(problem: RotationProblem, duty: DutySpec, fewer: int) -> Remedy:
    least = duty.least - fewer
    changed = tuple(
        replace(one, least=least) if one.id == duty.id else one for one in problem.duties
    )
    return Remedy(
        cost=50 + fewer,
        sentence=f"do with {least} for {duty.name}.",
        problem=replace(problem, duties=changed),
    )


def _later(problem: RotationProblem, step_id: str, minutes: int) -> Remedy:
    name = next(step.name for step in problem.steps if step.id == step_id)
    changed = tuple(
        replace(step, start=step.start + minutes, end=step.end + minutes)
        if step.id == step_id
        else step
        for step in problem.steps
    )
    return Remedy(
        cost=60 + minutes // 15,
        sentence=f"start {name} {minutes} min later, and time the day again.",
        problem=replace(problem, steps=changed),
    )


def _more(problem: RotationProblem, whom: FilledBy, more: int) -> Remedy:
    part = {
        FilledBy.ATTENDEES: Part.ATTENDEE,
        FilledBy.STAFF: Part.HELPER,
        FilledBy.LEAD: Part.LEAD,
    }[whom]
    extra = tuple(
        PersonSpec(id=f"one more {n}", name=f"One more {n}", part=part, knife=3, present=(ALWAYS,))
        for n in range(more)
    )
    who = {Part.ATTENDEE: "attendee", Part.HELPER: "helper", Part.LEAD: "lead"}[part]
    return Remedy(
        cost=80 + more,
        sentence=f"add {more} {who}{'s' if more > 1 else ''} without limits.",
        problem=replace(problem, people=(*problem.people, *extra)),
    )
