"""The hard rules about one person's day, as constraints: heavy in a row, time caps, meals."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from ortools.sat.python.cp_model import IntVar

from scheduling.planner.linear import total
from scheduling.planner.rotation_problem import Meal, Placed
from scheduling.planner.rule import Rule
from scheduling.planner.rules import day_of, free_stretches, is_here_for

if TYPE_CHECKING:
    from scheduling.planner.rotation_model import RotationModel


def add_day_rules(model: RotationModel) -> None:
    """Keep every rule about one person's day."""
    if model.problem.keeps(Rule.HEAVY_IN_A_ROW):
        _heavy_in_a_row(model)
    _time_caps(model)
    if model.problem.keeps(Rule.MEAL_BREAK):
        _meals(model)


def _heavy_in_a_row(model: RotationModel) -> None:
    """Nobody has two heavy duties in a row in a day.

    Along the starts of a person's day runs one Boolean, "the last duty was heavy": a heavy duty
    sets it, a lighter one may clear it, and while it is set no heavy duty may come.
    """
    days: defaultdict[tuple[str, int], list[Placed]] = defaultdict(list)
    for one in model.take:
        days[one.person, day_of(model.steps[one.step])].append(one)
    for (person, day), mine in days.items():
        starts: defaultdict[int, list[Placed]] = defaultdict(list)
        for one in mine:
            starts[model.steps[one.step].start].append(one)
        heavy_at = [
            start
            for start in sorted(starts)
            if any(model.duties[one.duty].heavy for one in starts[start])
        ]
        if len(heavy_at) > 1:
            _run_along(model, f"{person} on day {day}", starts, heavy_at[-1])


def _run_along(
    model: RotationModel, who: str, starts: dict[int, list[Placed]], last_heavy: int
) -> None:
    tired: IntVar | None = None
    for start in sorted(starts):
        if start > last_heavy:
            break
        here = starts[start]
        heavy = model.count(one for one in here if model.duties[one.duty].heavy)
        light = model.count(one for one in here if not model.duties[one.duty].heavy)
        if all(one in model.past for one in here):
            # The past is what it was: it sets the Boolean and is not judged by it.
            if any(model.duties[one.duty].heavy for one in here):
                tired = model.cp.new_constant(1)
            elif here:
                tired = None
            continue
        after = model.cp.new_bool_var(f"{who}: last duty by {start} was heavy")
        model.cp.add(after >= heavy)
        if tired is not None:
            model.cp.add(after >= tired - light)
            model.cp.add(heavy + tired <= 1)
        tired = after


def _time_caps(model: RotationModel) -> None:
    """Nobody is longer in a day at hot or wet work than its cap allows."""
    for cap in model.problem.caps:
        days: defaultdict[tuple[str, int], list[Placed]] = defaultdict(list)
        for one in model.take:
            if one.duty in cap.duties:
                days[one.person, day_of(model.steps[one.step])].append(one)
        for mine in days.values():
            past = sum(model.minutes(one) for one in mine if one in model.past)
            to_come = [one for one in mine if one not in model.past]
            model.cp.add(
                total(model.minutes(one) * model.take[one] for one in to_come)
                <= max(0, cap.most_min - past)
            )


def _meals(model: RotationModel) -> None:
    """Everyone has time free to eat in each meal's window."""
    for meal in model.problem.meals:
        stretches = free_stretches(meal, model.problem.steps)
        for person in model.problem.people:
            if is_here_for(person, meal):
                _meal(model, person.id, meal, stretches)


def _meal(model: RotationModel, person: str, meal: Meal, stretches: list[frozenset[str]]) -> None:
    done = {one.step for one in model.past if one.person == person}
    # A meal that the past has already taken is lost, whatever is planned now.
    free = [steps for steps in stretches if not steps & done]
    meeting = [
        [one for step in sorted(steps) for one in model.by_stay.get((step, person), [])]
        for steps in free
    ]
    if not free or not all(meeting):
        return
    eats = [model.cp.new_bool_var(f"{person} eats {meal.name} {n}") for n in range(len(free))]
    model.cp.add_at_least_one(eats)
    for eating, clashing in zip(eats, meeting, strict=True):
        for one in clashing:
            model.cp.add_implication(eating, ~model.take[one])
