"""Re-checks every hard rule of a rotation without the solver: before posting, and in every test."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import combinations

from scheduling.planner.breaches import Breach, Known, known_by_id
from scheduling.planner.check_rotation_crews import crew_breaches
from scheduling.planner.check_rotation_days import day_breaches
from scheduling.planner.rotation_problem import DutySpec, Placed, RotationProblem
from scheduling.planner.rules import Rule, answers, overlap, reasons_against, too_soon


def check_rotation(problem: RotationProblem, placed: Iterable[Placed]) -> tuple[Breach, ...]:
    """Every hard rule that the placements break; empty when all are kept.

    Args:
        problem: the rotation that the placements answer.
        placed: the placements, in any order.

    Returns:
        One breach a broken rule and place, in the order of the rules.
    """
    known = known_by_id(problem)
    given = tuple(placed)
    rows = tuple(row for row in given if known.knows(row))
    found = [
        *(_stranger(row) for row in given if not known.knows(row)),
        *_hands(problem, known, rows),
        *_fit(known, rows),
        *_pairs(problem, known, rows),
        *day_breaches(known, rows),
        *crew_breaches(known, rows),
        *_locks(problem, known, rows),
        *_past(known, rows),
    ]
    order = list(Rule)
    return tuple(sorted(found, key=lambda breach: order.index(breach.rule)))


def _stranger(row: Placed) -> Breach:
    return Breach(
        rule=Rule.HANDS_NEEDED,
        sentence=f"{row.person!r} is placed on {row.duty!r} at {row.step!r}, which is no duty of "
        "a step here or no person of this course; take the placement off.",
    )


def _hands(problem: RotationProblem, known: Known, rows: tuple[Placed, ...]) -> Iterator[Breach]:
    crews: dict[tuple[str, str], list[Placed]] = defaultdict(list)
    for row in rows:
        crews[row.step, row.duty].append(row)
    to_come = [step for step in problem.steps if not problem.is_past(step)]
    asked = {(step.id, name) for step in to_come for name in step.duties}
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


def _fit(known: Known, rows: tuple[Placed, ...]) -> Iterator[Breach]:
    for row in rows:
        if known.is_past(row):
            continue
        person, duty = known.people[row.person], known.duties[row.duty]
        for rule in reasons_against(person, duty, known.steps[row.step], row.place):
            yield Breach(
                rule=rule,
                sentence=f"{person.name} is on {duty.name} at {known.steps[row.step].name}. "
                f"{rule.sentence}",
            )


def _pairs(problem: RotationProblem, known: Known, rows: tuple[Placed, ...]) -> Iterator[Breach]:
    walks = {
        frozenset((walk.one, walk.other)): walk.minutes
        for walk in problem.walks
        if problem.keeps(Rule.WALKING)
    }
    by_person: dict[str, list[Placed]] = defaultdict(list)
    for row in rows:
        by_person[row.person].append(row)
    for person_id, held in sorted(by_person.items()):
        for one, other in combinations(held, 2):
            if not (known.is_past(one) and known.is_past(other)):
                yield from _pair(known, person_id, one, other, walks)


def _pair(
    known: Known, person: str, one: Placed, other: Placed, walks: dict[frozenset[str], int]
) -> Iterator[Breach]:
    name = known.people[person].name
    first, second = known.steps[one.step], known.steps[other.step]
    rest_min = known.problem.rest_after_heavy_min
    walk_min = walks.get(frozenset((first.station, second.station)), 0)
    both_heavy = known.duties[one.duty].heavy and known.duties[other.duty].heavy
    if first.id == second.id or overlap(first, second):
        yield Breach(
            rule=Rule.ONE_PLACE_AT_A_TIME,
            sentence=f"{name} is at {first.name} and at {second.name} at the same time.",
        )
        return
    if both_heavy and too_soon(first, second, rest_min):
        yield Breach(
            rule=Rule.REST_AFTER_HEAVY,
            sentence=f"{name} has heavy duties at {first.name} and {second.name} with less "
            f"than {rest_min} min of rest between.",
        )
    if too_soon(first, second, walk_min):
        yield Breach(
            rule=Rule.WALKING,
            sentence=f"{name} is at {first.name} and at {second.name} with less than the "
            f"{walk_min} min of walking between.",
        )


def _locks(problem: RotationProblem, known: Known, rows: tuple[Placed, ...]) -> Iterator[Breach]:
    for lock in problem.locks:
        if problem.is_past(known.steps[lock.step]):
            continue
        if not any(answers(row, lock) for row in rows):
            name, duty = known.people[lock.person].name, known.duties[lock.duty].name
            yield Breach(
                rule=Rule.LOCKS,
                sentence=f"{name} is locked to {duty} at {known.steps[lock.step].name} "
                "but is not there.",
            )


def _past(known: Known, rows: tuple[Placed, ...]) -> Iterator[Breach]:
    """What was done stays: nothing is added to it, and nothing of it is lost."""
    there = {row for row in rows if known.is_past(row)}
    told = {row for row in known.problem.posted if known.knows(row) and known.is_past(row)}
    for row in sorted(there ^ told):
        changed = "was not posted" if row in there else "was posted and is gone"
        yield Breach(
            rule=Rule.PAST,
            sentence=f"{known.people[row.person].name} on {known.duties[row.duty].name} at "
            f"{known.steps[row.step].name}, which is past, {changed}. {Rule.PAST.sentence}",
        )
