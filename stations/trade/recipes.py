"""Recipes in shares of one base, as bakers write them: the base is 1, all else follows its weight.

Scaled to the trim there really is, never the other way round.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from stations.trade.carcass_tables import BY_PRODUCTS, BY_PRODUCTS_SOURCE
from stations.trade.cooking import Product
from stations.trade.errors import OutOfRange, TradeError, within
from stations.trade.foods import FOODS, SWAPS, Allergen, Eater, Food, Kind, Swap
from stations.trade.sources import PRACTICE, Source, Trust
from stations.trade.yields import SKIN_POINTS_OF_LIVE, SKIN_POINTS_SOURCE, Expected


class UnknownFood(TradeError):
    """A recipe names a food whose allergens nobody wrote down."""

    def __init__(self, name: str) -> None:
        self.name = name
        super().__init__(
            f"{name!r} is not in the list of foods. Add it there with its allergens first."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class KitchenStep:
    """One job: least, expected and most minutes, hands, and whether somebody must stay by it."""

    name: str
    minutes: tuple[int, int, int]
    hands: int
    attended: bool = True

    def __post_init__(self) -> None:
        least, expected, most = self.minutes
        if not 0 < least <= expected <= most:
            message = f"{self.name} takes {self.minutes} min; give least, expected, most in order."
            raise TradeError(message)


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """A product of the course: base, shares of the base (above 0 to 20), jobs, cooking rule.

    ``serving_kg`` is what one person eats of it, cooked; ``left`` the share of all that went in
    that is left to serve.

    >>> from stations.trade.course_recipes import FRESH_SAUSAGE
    >>> round(FRESH_SAUSAGE.batch_kg(base_kg=10.0), 2)
    13.54
    """

    code: str
    name: str
    base: str
    shares: Mapping[str, float]
    steps: tuple[KitchenStep, ...]
    cooked_as: Product | None
    serving_kg: float
    left: float
    source: Source = PRACTICE

    def __post_init__(self) -> None:
        for name, share in ((self.base, 1.0), *self.shares.items()):
            if name not in FOODS:
                raise UnknownFood(name)
            within(f"share of {name}", share, low=1e-6, high=20.0, unit="of base", rule=self.name)
        within("serving", self.serving_kg, low=0.01, high=1.0, unit="kg", rule=self.name)
        within("left to serve", self.left, low=0.05, high=3.0, unit="of 1", rule=self.name)

    @property
    def foods(self) -> tuple[Food, ...]:
        """Everything in it, the base first."""
        return (FOODS[self.base], *(FOODS[name] for name in self.shares))

    @property
    def allergens(self) -> frozenset[Allergen]:
        """The nine that are in it; labels of what was bought may add to them."""
        return frozenset().union(*(food.allergens for food in self.foods))

    @property
    def kinds(self) -> frozenset[Kind]:
        """What it is to someone who does not eat it."""
        return frozenset().union(*(food.kinds for food in self.foods))

    def batch_kg(self, *, base_kg: float) -> float:
        """All that goes in for a weight of base."""
        return base_kg * (1.0 + sum(self.shares.values()))

    def servings(self, *, base_kg: float) -> int:
        """Whole servings from a weight of base."""
        return int(self.batch_kg(base_kg=base_kg) * self.left / self.serving_kg + 1e-9)

    def base_kg_for(self, servings: int) -> float:
        """Base for so many servings."""
        return servings * self.serving_kg / self.left / (1.0 + sum(self.shares.values()))

    def suits(self, eater: Eater) -> bool:
        """Whether nothing in it speaks against it for somebody."""
        return not any(eater.against(food) for food in self.foods)


def scale(recipe: Recipe, *, base_kg: float) -> dict[str, float]:
    """Every weight for a weight of base, kg; they add up to the batch.

    Args:
        recipe: which.
        base_kg: above 0 to 500 kg.

    Returns: food to kg, the base first.

    Raises: OutOfRange.

    >>> from stations.trade.course_recipes import LARD
    >>> scale(LARD, base_kg=12.0)
    {'back fat': 12.0, 'water': 1.2000000000000002}

    Source: arithmetic.
    """
    within(f"{recipe.base}", base_kg, low=1e-3, high=500.0, unit="kg", rule=recipe.name)
    return {recipe.base: base_kg, **{name: base_kg * s for name, s in recipe.shares.items()}}


def most_base_kg(recipe: Recipe, have_kg: Mapping[str, float], *, bought: Iterable[str]) -> float:
    """The most base a recipe can use with what there is; what can be bought does not limit.

    Args:
        recipe: which.
        have_kg: food to kg; what is not named is not there.
        bought: foods that can be had in any amount.

    Returns: kg of base.

    Raises: nothing.

    >>> from stations.trade.course_recipes import FRESH_SAUSAGE
    >>> bought = set(FRESH_SAUSAGE.shares) - {"back fat"}
    >>> most_base_kg(FRESH_SAUSAGE, {"lean trim": 8.0, "back fat": 1.5}, bought=bought)
    6.0

    Source: arithmetic.
    """
    free = set(bought)
    needs = {recipe.base: 1.0, **recipe.shares}
    limits = [have_kg.get(name, 0.0) / s for name, s in needs.items() if name not in free]
    return min(limits, default=0.0)


def swapped(recipe: Recipe, eater: Eater) -> Recipe | None:
    """The recipe with other foods in place of those that speak against it, or None if none will do.

    The base is never swapped.

    Args:
        recipe: which.
        eater: for whom.

    Returns: the recipe itself where it suits already.

    Raises: nothing.

    >>> from stations.trade.course_recipes import FRESH_SAUSAGE
    >>> no_wheat = Eater(id="a1", allergens=frozenset({Allergen.WHEAT}))
    >>> other = swapped(FRESH_SAUSAGE, no_wheat)
    >>> "rice flour" in other.shares, "wheat rusk" in other.shares
    (True, False)

    Source: ``foods.SWAPS`` (common practice).
    """
    if eater.against(FOODS[recipe.base]):
        return None
    shares: dict[str, float] = {}
    for name, share in recipe.shares.items():
        if not eater.against(FOODS[name]):
            shares[name] = shares.get(name, 0.0) + share
            continue
        swap = _swap_for(name, eater)
        if swap is None:
            return None
        shares[swap.take] = shares.get(swap.take, 0.0) + share * swap.ratio
    return replace(recipe, shares=shares)


def _swap_for(name: str, eater: Eater) -> Swap | None:
    fits = (s for s in SWAPS if s.instead_of == name and not eater.against(FOODS[s.take]))
    return next(fits, None)


TRIM_SOURCE = Source(
    title="trim and fat over the published tables",
    place="trim 5 (brochure) to 10 % (NPPC), 8 % WSDA; fat 13 to 20 %; liver NW_LS446",
    trust=Trust.COMPUTED,
)


def trim_expected(*, live_kg: float, cold_kg: float) -> dict[str, Expected]:
    """What one hog gives the kitchen: lean trim, back fat, liver, skin, head meat; kg.

    Args:
        live_kg: 20 to 350 kg.
        cold_kg: 10 kg to less than live.

    Returns: food to its expected weight.

    Raises: OutOfRange.

    >>> trim = trim_expected(live_kg=120.0, cold_kg=85.0)
    >>> round(trim["lean trim"].likely_kg, 1), round(trim["liver"].likely_kg, 1)
    (6.8, 1.5)

    Source: ``TRIM_SOURCE``; skin from memory; the ranges of liver, skin and head a judgement.
    """
    within("live weight", live_kg, low=20.0, high=350.0, unit="kg", rule="trim")
    if not 10.0 <= cold_kg < live_kg:
        raise OutOfRange(
            "cold carcass", got=cold_kg, low=10.0, high=live_kg, unit="kg", rule="trim"
        )

    def of(kg: float, low: float, likely: float, high: float, source: Source) -> Expected:
        return Expected(
            low_kg=kg * low,
            likely_kg=kg * likely,
            high_kg=kg * high,
            basis="one hog",
            source=source,
        )

    liver, cheek = BY_PRODUCTS["liver"] / 100, BY_PRODUCTS["cheek meat"] / 100
    skin = SKIN_POINTS_OF_LIVE
    return {
        "lean trim": of(cold_kg, 9 / 180, 6 / 75, 18.2 / 184.2, TRIM_SOURCE),
        "back fat": of(cold_kg, 23 / 180, 0.16, 15 / 75, TRIM_SOURCE),
        "liver": of(live_kg, 0.8 * liver, liver, 1.2 * liver, BY_PRODUCTS_SOURCE),
        "skin": of(live_kg, 0.6 * skin, skin, 1.4 * skin, SKIN_POINTS_SOURCE),
        "head meat": of(live_kg, cheek, 2 * cheek, 4 * cheek, PRACTICE),
    }
