"""Batches and dishes written down: one by hand, a menu drafted, the farm's store, what to buy."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import time

from django.db import transaction

from scheduling import feeding, kitchen_steps
from scheduling.feeding import Gives, Table
from stations.models import RECIPES, KitchenBatch, PantryFood
from stations.trade.menu import ToBuy, plan_menu, shopping
from stations.trade.recipes import Recipe, most_base_kg
from workshops.models import Day, Meal, Workshop

# From the tap: never on a shopping list.
ENDLESS = {"water": 1e5}


class NothingToMakeError(Exception):
    """A batch would have no weight; the sentence says what would give it one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """One batch as it is asked for. Without ``base_kg`` the amount is worked out."""

    recipe: Recipe
    day: Day
    for_table: bool
    from_hogs: bool
    base_kg: float | None = None
    ready_by: time | None = None


def batches_of(workshop: Workshop) -> list[KitchenBatch]:
    """Every batch with its day, dish and stages: two queries."""
    rows = KitchenBatch.objects.filter(day__workshop=workshop).select_related("day", "meal")
    return list(rows.prefetch_related("stages"))


@transaction.atomic
def add(wanted: Wanted, table: Table, gives: Sequence[Gives]) -> KitchenBatch:
    """Write a batch down; a dish of the menu gets its line there, with its allergens.

    The amount, where none is given: one serving for each at the table whom it suits; of a product
    from the hogs, all that is left of their trim. Raises :class:`NothingToMakeError`.
    """
    base_kg = wanted.base_kg or amount_of(wanted, table, gives)
    meal = None
    if wanted.for_table:
        meal = Meal.objects.create(
            day=wanted.day, name=wanted.recipe.name, contains=sorted(wanted.recipe.allergens)
        )
    return KitchenBatch.objects.create(
        day=wanted.day,
        recipe=wanted.recipe.code,
        base_kg=base_kg,
        meal=meal,
        from_hogs=wanted.from_hogs,
        ready_by=wanted.ready_by,
    )


def amount_of(wanted: Wanted, table: Table, gives: Sequence[Gives]) -> float:
    """Base to take where nobody typed one."""
    recipe = wanted.recipe
    if wanted.for_table:
        fed = sum(recipe.suits(eater) for eater in table.eaters)
        if not fed:
            raise NothingToMakeError(
                f"{recipe.name} suits nobody at the table that day. Type a weight, or choose "
                "another dish."
            )
        return recipe.base_kg_for(fed)
    have = {one.food: max(0.0, one.left_kg) for one in gives}
    bought = [food.name for food in recipe.foods if food.name not in have]
    most = most_base_kg(recipe, have, bought=bought)
    if not most > 1e-6 or recipe.base not in have:
        raise NothingToMakeError(
            f"{recipe.name} starts from {recipe.base}, of which the hogs have nothing left to "
            "give. Type a weight to buy it, or take another batch out."
        )
    return most


@dataclass(frozen=True, slots=True, kw_only=True)
class At:
    """A sitting to be filled."""

    table: Table
    ready_by: time


@transaction.atomic
def draft_menu(ats: Sequence[At], dishes: Sequence[Recipe]) -> list[KitchenBatch]:
    """Fill each sitting that has no dish yet with the fewest dishes that feed all its people.

    What stands already is left alone, and counts as eaten.
    """
    workshop_days = [at.table.day.pk for at in ats]
    standing = KitchenBatch.objects.filter(
        day__workshop_id=ats[0].table.day.workshop_id, meal__isnull=False
    )
    eaten = Counter(batch.recipe for batch in standing)
    taken = {(batch.day_id, batch.ready_by) for batch in standing if batch.day_id in workshop_days}
    made: list[KitchenBatch] = []
    for at in ats:
        if (at.table.day.pk, at.ready_by) not in taken:
            made += _fill(at, dishes, eaten)
    return made


def _fill(at: At, dishes: Sequence[Recipe], eaten: Counter[str]) -> list[KitchenBatch]:
    (meal,) = plan_menu(1, at.table.eaters, dishes, eaten=eaten)
    made = []
    for code, base_kg in meal.base_kg().items():
        eaten[code] += 1
        wanted = Wanted(
            recipe=RECIPES[code],
            day=at.table.day,
            for_table=True,
            from_hogs=False,
            base_kg=base_kg,
            ready_by=at.ready_by,
        )
        made.append(add(wanted, at.table, ()))
    for batch in made:
        others = [other.made.name for other in made if other is not batch]
        # Those who must not have this dish eat another of the same sitting.
        if batch.meal and others:
            batch.meal.instead = ", ".join(others)[:200]
            batch.meal.save(update_fields=["instead"])
    return made


@transaction.atomic
def remove(batch: KitchenBatch) -> None:
    """Take a batch out: its jobs leave the run sheet, its dish the menu."""
    kitchen_steps.take_off(batch)
    meal = batch.meal
    batch.delete()
    if meal is not None:
        meal.delete()


# --- what to buy ----------------------------------------------------------------------------


def to_buy(
    batches: Sequence[KitchenBatch], gives: Iterable[Gives], pantry: Iterable[PantryFood]
) -> tuple[ToBuy, ...]:
    """All batches together, less the store and what the hogs give to their own batches."""
    store = list(pantry)
    have = defaultdict(float, ENDLESS)
    for row in store:
        have[row.food] += row.have_kg
    for one in gives:
        have[one.food] += min(one.planned_kg, one.expected.likely_kg)
    packs = {row.food: row.pack_kg for row in store if row.pack_kg}
    asked = [(batch.made, batch.base_kg) for batch in batches]
    return shopping(asked, have, pack_kg=packs)


@transaction.atomic
def keep_pantry(workshop: Workshop, rows: Mapping[str, tuple[float, float | None]]) -> None:
    """The farm's store as typed: food to what is there and its pack. Empty rows are dropped."""
    empty = [food for food, (have, pack) in rows.items() if not have and pack is None]
    workshop.pantry.filter(food__in=empty).delete()
    for food, (have_kg, pack_kg) in rows.items():
        if food not in empty:
            PantryFood.objects.update_or_create(
                workshop=workshop, food=food, defaults={"have_kg": have_kg, "pack_kg": pack_kg}
            )


def foods_asked(batches: Iterable[KitchenBatch], pantry: Iterable[PantryFood]) -> list[str]:
    """Every food that a batch needs or the store names, but water, by name."""
    asked = {food for batch in batches for food in feeding.amounts_of(batch)}
    asked |= {row.food for row in pantry}
    return sorted(asked - set(ENDLESS))
