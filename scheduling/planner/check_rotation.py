"""Re-checks every hard rule of a rotation without the solver: before posting, and in every test."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations

from scheduling.planner.problem import DutySpec, PersonSpec, Placed, RotationProblem, TimedStep
from scheduling.planner.rules import Rule, answers, overlap, reasons_against, too_soon


@dataclass(frozen=True, slots=True, kw_only=True)
class Breach:
    """One broken rule, with the sentence that says where."""

    rule: Rule
    sentence: str


@dataclass(frozen=True, slots=True)
class _Known:
    """The problem by identifier."""

    people: dict[str, PersonSpec]
    duties: dict[str, DutySpec]
    steps: dict[str, TimedStep]

    def knows(self, row: Placed) -> bool:
        """Whether person, step and duty are in the problem, and the step has the duty."""
        return (
            row.person in self.people
            and row.step in self.steps
            and row.duty in self.steps[row.step].duties
        )


def check_rotation(problem: RotationProblem, placed: Iterable[Placed]) -> tuple[Breach, ...]:
    """Every hard rule that the placements break; empty when all are kept.

    Args:
        problem: the rotation that the placements answer.
        placed: the placements, in any order.

    Returns:
        One breach a broken rule and place, in the order of the rules.
    """
    known = _Known(
        {person.id: person for person in problem.people},
        {duty.id: duty for duty in problem.duties},
        {step.id: step for step in problem.steps},
    )
    given = tuple(placed)
    rows = tuple(row for row in given if known.knows(row))
    found = [
        *(_stranger(row) for row in given if not known.knows(row)),
        *_hands(problem, known, rows),
        *_fit(known, rows),
        *_pairs(problem, known, rows),
        *_locks(problem, known, rows),
    ]
    order = list(Rule)
    return tuple(sorted(found, key=lambda breach: order.index(breach.rule)))


def _stranger(row: Placed) -> Breach:
    return Breach(
        rule=Rule.HANDS_NEEDED,
        sentence=f"{row.person!r} is placed on {row.duty!r} at {row.step!r}, which is no duty of "
        "a step here or no person of this course; take the placement off.",
    )


def _hands(problem: RotationProblem, known: _Known, rows: tuple[Placed, ...]) -> Iterator[Breach]:
    crews: dict[tuple[str, str], list[Placed]] = defaultdict(list)
    for row in rows:
        crews[row.step, row.duty].append(row)
    asked = {(step.id, name) for step in problem.steps for name in step.duties}
    for step_id, duty_id in sorted(asked):
        duty, crew = known.duties[duty_id], crews[step_id, duty_id]
        where = f"{duty.name} at {known.steps[step_id].name}"
        if not duty.least <= len(crew) <= duty.most:
            yield Breach(
                rule=Rule.HANDS_NEEDED,
                sentence=f"{where} has {len(crew)} people and needs {_range(duty)}.",
            )
        if sorted(row.place for row in crew) != sorted(duty.places or [""] * len(crew)):
            each = ", ".join(duty.places)
            yield Breach(
                rule=Rule.NAMED_PLACES,
                sentence=f"{where} needs one person at each of {each}."
                if each
                else f"{where} has no named places; leave the place empty.",
            )


def _range(duty: DutySpec) -> str:
    return str(duty.least) if duty.least == duty.most else f"{duty.least} to {duty.most}"


def _fit(known: _Known, rows: tuple[Placed, ...]) -> Iterator[Breach]:
    for row in rows:
        person, duty = known.people[row.person], known.duties[row.duty]
        for rule in reasons_against(person, duty, known.steps[row.step], row.place):
            yield Breach(
                rule=rule,
                sentence=f"{person.name} is on {duty.name} at {known.steps[row.step].name}. "
                f"{rule.sentence}",
            )


def _pairs(problem: RotationProblem, known: _Known, rows: tuple[Placed, ...]) -> Iterator[Breach]:
    by_person: dict[str, list[Placed]] = defaultdict(list)
    for row in rows:
        by_person[row.person].append(row)
    for person_id, held in sorted(by_person.items()):
        name = known.people[person_id].name
        for one, other in combinations(held, 2):
            first, second = known.steps[one.step], known.steps[other.step]
            if first.id == second.id or overlap(first, second):
                yield Breach(
                    rule=Rule.ONE_PLACE_AT_A_TIME,
                    sentence=f"{name} is at {first.name} and at {second.name} at the same time.",
                )
            elif (
                known.duties[one.duty].heavy
                and known.duties[other.duty].heavy
                and too_soon(first, second, problem.rest_after_heavy_min)
            ):
                yield Breach(
                    rule=Rule.REST_AFTER_HEAVY,
                    sentence=f"{name} has heavy duties at {first.name} and {second.name} with less "
                    f"than {problem.rest_after_heavy_min} min of rest between.",
                )


def _locks(problem: RotationProblem, known: _Known, rows: tuple[Placed, ...]) -> Iterator[Breach]:
    for lock in problem.locks:
        if not any(answers(row, lock) for row in rows):
            name, duty = known.people[lock.person].name, known.duties[lock.duty].name
            yield Breach(
                rule=Rule.LOCKS,
                sentence=f"{name} is locked to {duty} at {known.steps[lock.step].name} "
                "but is not there.",
            )
