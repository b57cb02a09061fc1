"""Re-checks who stands beside whom: mentors, supervision, households."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import combinations

from scheduling.planner.breaches import Breach, Known
from scheduling.planner.rotation_problem import HouseholdWish, Part, Placed
from scheduling.planner.rule import Rule
from scheduling.planner.rules import is_first_timer, is_mentor, reasons_against, watches_over


def crew_breaches(known: Known, rows: tuple[Placed, ...]) -> Iterator[Breach]:
    """The rules about people together that the rows break; what is past is left alone."""
    crews: dict[str, list[Placed]] = defaultdict(list)
    for row in rows:
        crews[row.step].append(row)
    for step in known.problem.steps:
        if not known.problem.is_past(step):
            yield from _without_mentor(known, step.id, crews[step.id])
            yield from _unsupervised(known, step.id, rows)
            if known.problem.keeps(Rule.HOUSEHOLD):
                yield from _households(known, step.id, crews[step.id])


def _without_mentor(known: Known, step: str, crew: list[Placed]) -> Iterator[Breach]:
    learning = [
        row
        for row in crew
        if known.duties[row.duty].sharp and is_first_timer(known.people[row.person])
    ]
    mentors = [row for row in crew if is_mentor(known.people[row.person], known.duties[row.duty])]
    room = known.problem.learners_per_mentor * len(mentors)
    if len(learning) > room:
        yield Breach(
            rule=Rule.MENTOR,
            sentence=f"{known.steps[step].name} has {len(learning)} first-timers with a knife and "
            f"mentors for {room}. {Rule.MENTOR.sentence}",
        )


def _unsupervised(known: Known, step: str, rows: tuple[Placed, ...]) -> Iterator[Breach]:
    watched = known.steps[step]
    if watched.supervised and not any(
        known.people[row.person].part is not Part.ATTENDEE
        and watches_over(known.steps[row.step], watched)
        for row in rows
    ):
        yield Breach(
            rule=Rule.SUPERVISED,
            sentence=f"{watched.name} has neither the lead nor a helper at its station. "
            f"{Rule.SUPERVISED.sentence}",
        )


def _households(known: Known, step: str, crew: list[Placed]) -> Iterator[Breach]:
    duties = {row.person: row.duty for row in crew}
    where = known.steps[step]
    for one, other in combinations(known.problem.people, 2):
        wish = known.problem.households.get(one.household)
        if one.household != other.household or wish is None:
            continue
        held = (duties.get(one.id), duties.get(other.id))
        if wish is HouseholdWish.APART:
            kept = held[0] is None or held[0] != held[1]
        else:
            both_could = _could(known, one.id, step) and _could(known, other.id, step)
            kept = (held[0] is None) == (held[1] is None) or not both_could
        if not kept:
            yield Breach(
                rule=Rule.HOUSEHOLD,
                sentence=f"{one.name} and {other.name} asked to be {wish.value}, and at "
                f"{where.name} they are not.",
            )


def _could(known: Known, person: str, step: str) -> bool:
    """Whether there is anything at the step that this person may take."""
    where = known.steps[step]
    return any(
        not any(reasons_against(known.people[person], known.duties[duty], where))
        for duty in where.duties
    )
