"""Re-checks what the rules ask of one person's day: heavy in a row, time caps, meals."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

from scheduling.planner.basics import MINUTES_PER_DAY
from scheduling.planner.breaches import Breach, Known
from scheduling.planner.rotation_problem import Meal, PersonSpec, Placed
from scheduling.planner.rule import Rule
from scheduling.planner.rules import is_here_for


def day_breaches(known: Known, rows: tuple[Placed, ...]) -> Iterator[Breach]:
    """The rules about one person's day that the rows break."""
    days: dict[tuple[str, int], list[Placed]] = defaultdict(list)
    for row in sorted(rows, key=lambda row: known.steps[row.step].start):
        days[row.person, known.steps[row.step].start // MINUTES_PER_DAY].append(row)
    for (person, _), held in sorted(days.items()):
        if known.problem.keeps(Rule.HEAVY_IN_A_ROW):
            yield from _heavy_in_a_row(known, known.people[person], held)
        yield from _over_the_cap(known, known.people[person], held)
    if known.problem.keeps(Rule.MEAL_BREAK):
        for meal in known.problem.meals:
            yield from _no_meal(known, meal, rows)


def _heavy_in_a_row(known: Known, person: PersonSpec, held: list[Placed]) -> Iterator[Breach]:
    for one, other in pairwise(held):
        both = known.duties[one.duty].heavy and known.duties[other.duty].heavy
        if both and not (known.is_past(one) and known.is_past(other)):
            yield Breach(
                rule=Rule.HEAVY_IN_A_ROW,
                sentence=f"{person.name} has heavy duties in a row at "
                f"{known.steps[one.step].name} and {known.steps[other.step].name}; "
                "put a lighter duty between, or someone else on one of them.",
            )


def _over_the_cap(known: Known, person: PersonSpec, held: list[Placed]) -> Iterator[Breach]:
    for cap in known.problem.caps:
        under = [row for row in held if row.duty in cap.duties]
        minutes = sum(known.minutes(row) for row in under)
        if minutes > cap.most_min and not all(known.is_past(row) for row in under):
            yield Breach(
                rule=Rule.TIME_CAP,
                sentence=f"{person.name} is {minutes} min at {cap.name} in a day; "
                f"{cap.most_min} min is the most.",
            )


def _no_meal(known: Known, meal: Meal, rows: tuple[Placed, ...]) -> Iterator[Breach]:
    for person in known.problem.people:
        mine = [row for row in rows if row.person == person.id]
        past = [row for row in mine if known.is_past(row)]
        # A meal that the past has already taken is lost, whatever is planned now.
        owed = is_here_for(person, meal) and _can_eat(known, meal, past)
        if owed and not _can_eat(known, meal, mine):
            yield Breach(
                rule=Rule.MEAL_BREAK,
                sentence=f"{person.name} has no {meal.minutes} min free for {meal.name}.",
            )


def _can_eat(known: Known, meal: Meal, rows: list[Placed]) -> bool:
    """Whether some minute begins a meal that no row runs into: each minute is tried."""
    steps = [known.steps[row.step] for row in rows]
    return any(
        all(step.end <= begin or begin + meal.minutes <= step.start for step in steps)
        for begin in range(meal.start, meal.end - meal.minutes + 1)
    )
