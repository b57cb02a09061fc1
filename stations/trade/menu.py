"""A menu that feeds everyone who is there, with few dishes and little repeated; and the shopping.

Each meal has a main dish, in turn and in the lead's order, and the fewest others that leave nobody
without one; among those, what was eaten least so far. All choices are looked at, so "fewest" is
exact. Whether something may be eaten at
all is not settled by a menu: labels, and the person, are asked.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from stations.trade.errors import within
from stations.trade.foods import Eater
from stations.trade.recipes import Recipe, scale

MOST_DISHES = 4
MOST_RECIPES = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfed:
    """Somebody no dish of this meal suits, and what speaks against each, by recipe name."""

    eater: Eater
    against: Mapping[str, tuple[str, ...]]

    @property
    def sentence(self) -> str:
        """Who, and why, dish by dish."""
        why = "; ".join(f"{name}: {', '.join(what)}" for name, what in self.against.items())
        return f"No dish for {self.eater.id} ({why}). Add a dish without these."


@dataclass(frozen=True, slots=True, kw_only=True)
class Meal:
    """The dishes of one meal, servings of each, and who is left without."""

    dishes: tuple[Recipe, ...]
    servings: Mapping[str, int]
    unfed: tuple[Unfed, ...]

    def base_kg(self) -> dict[str, float]:
        """Base to cook for each dish, by its code."""
        return {
            dish.code: dish.base_kg_for(self.servings[dish.code])
            for dish in self.dishes
            if self.servings[dish.code]
        }


def plan_menu(
    meals: int,
    eaters: Sequence[Eater],
    dishes: Sequence[Recipe],
    *,
    eaten: Mapping[str, int] | None = None,
) -> tuple[Meal, ...]:
    """Meals for these people out of these dishes.

    The main dish is the one eaten least so far, then first in the list. Everyone is reckoned one
    serving: of the main dish where it suits them, else of the first that does.

    Args:
        meals: 1 to 30.
        eaters: who is there; the same people at every meal.
        dishes: 1 to 24 recipes, in the lead's order of preference.
        eaten: how often each dish, by code, was on the table before; none if left out.

    Returns: one meal each; people whom no dish suits are named in every meal.

    Raises: OutOfRange.

    >>> from stations.trade.course_recipes import BEAN_POT, ROAST
    >>> from stations.trade.foods import Kind
    >>> people = [Eater(id="a"), Eater(id="b", avoids=frozenset({Kind.MEAT}))]
    >>> meal = plan_menu(1, people, [ROAST, BEAN_POT])[0]
    >>> [dish.code for dish in meal.dishes], meal.unfed
    (['roast', 'bean_pot'], ())

    Source: all choices of up to four dishes are tried.
    """
    within("meals", meals, low=1, high=30, unit="", rule="menu")
    within("dishes", len(dishes), low=1, high=MOST_RECIPES, unit="", rule="menu")
    served: Counter[str] = Counter(eaten or {})
    planned = []
    for _ in range(meals):
        chosen = _choose(eaters, dishes, served)
        served.update(dish.code for dish in chosen)
        planned.append(_meal(eaters, chosen))
    return tuple(planned)


def _choose(
    eaters: Sequence[Eater], dishes: Sequence[Recipe], eaten: Counter[str]
) -> tuple[Recipe, ...]:
    """The main dish, then the fewest that feed most, the least eaten, the lead's order."""
    feeds = [frozenset(e.id for e in eaters if dish.suits(e)) for dish in dishes]
    hungry = frozenset().union(*feeds)
    useful = [n for n in range(len(dishes)) if feeds[n] or not hungry]
    main = min(useful, key=lambda n: (eaten[dishes[n].code], n))
    others = [n for n in useful if n != main]
    best = (-1, 0, 0)
    chosen: tuple[int, ...] = ()
    for size in range(min(MOST_DISHES, len(useful))):
        for pick in combinations(others, size):
            fed = len(feeds[main].union(*(feeds[n] for n in pick)))
            score = (fed, -size, -sum(eaten[dishes[n].code] for n in pick))
            if score > best:
                best, chosen = score, pick
        if best[0] == len(hungry):
            break
    return tuple(dishes[n] for n in (main, *chosen))


def _meal(eaters: Sequence[Eater], dishes: tuple[Recipe, ...]) -> Meal:
    servings = {dish.code: 0 for dish in dishes}
    unfed = []
    for eater in eaters:
        dish = next((dish for dish in dishes if dish.suits(eater)), None)
        if dish is None:
            against = {one.name: _against(eater, one) for one in dishes}
            unfed.append(Unfed(eater=eater, against=against))
        else:
            servings[dish.code] += 1
    return Meal(dishes=dishes, servings=servings, unfed=tuple(unfed))


def _against(eater: Eater, recipe: Recipe) -> tuple[str, ...]:
    return tuple(
        f"{food.name} ({', '.join(sorted(found))})"
        for food in recipe.foods
        if (found := eater.against(food))
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ToBuy:
    """What a food is short of, kg, after what the farm has."""

    food: str
    needed_kg: float
    have_kg: float
    buy_kg: float


def shopping(
    batches: Sequence[tuple[Recipe, float]],
    have_kg: Mapping[str, float],
    *,
    pack_kg: Mapping[str, float] | None = None,
) -> tuple[ToBuy, ...]:
    """What to buy: all batches added up, less the farm's stock, up to whole packs.

    Args:
        batches: recipe and kg of its base.
        have_kg: food to kg on the farm, 0 or more, the hogs' own trim with it.
        pack_kg: food to the size it is sold in; others are bought by weight.

    Returns: everything that is short, by name.

    Raises: OutOfRange for a base above 500 kg or a stock below 0.

    >>> from stations.trade.course_recipes import LARD, FRESH_SAUSAGE
    >>> short = shopping([(FRESH_SAUSAGE, 8.0), (LARD, 4.0)],
    ...                  {"lean trim": 9.0, "back fat": 7.0, "water": 99.0, "pepper": 1.0},
    ...                  pack_kg={"salt": 1.0, "wheat rusk": 0.5})
    >>> [(one.food, round(one.buy_kg, 3)) for one in short]
    [('sage', 0.008), ('salt', 1.0), ('wheat rusk', 0.5)]

    Source: arithmetic.
    """
    needed: defaultdict[str, float] = defaultdict(float)
    for recipe, base_kg in batches:
        for food, kg in scale(recipe, base_kg=base_kg).items():
            needed[food] += kg
    short = []
    for food, kg in sorted(needed.items()):
        have = within(food, have_kg.get(food, 0.0), low=0.0, high=1e5, unit="kg", rule="stock")
        lacking = kg - have
        if lacking <= 1e-9:
            continue
        pack = (pack_kg or {}).get(food)
        buy = lacking if pack is None else math.ceil(lacking / pack - 1e-9) * pack
        short.append(ToBuy(food=food, needed_kg=kg, have_kg=have, buy_kg=buy))
    return tuple(short)
