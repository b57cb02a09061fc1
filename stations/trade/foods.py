"""What is in a food: the nine allergens of United States law, and what people do not eat."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from stations.trade.sources import Source, Trust

NINE = Source(
    title="FASTER Act, signed 23 April 2021",
    place="sesame from 1 January 2023, the ninth; FDA list",
    trust=Trust.PUBLISHED,
)


class Allergen(StrEnum):
    """The nine. Other places list more (mustard, sulphites ...): those are written out by hand."""

    MILK = "milk"
    EGGS = "eggs"
    FISH = "fish"
    SHELLFISH = "shellfish"
    TREE_NUTS = "tree_nuts"
    PEANUTS = "peanuts"
    WHEAT = "wheat"
    SOY = "soy"
    SESAME = "sesame"


class Kind(StrEnum):
    """What a food is, where somebody may not eat it."""

    PORK = "pork"
    MEAT = "meat"
    ANIMAL = "animal"
    ALCOHOL = "alcohol"
    GLUTEN = "gluten"


@dataclass(frozen=True, slots=True, kw_only=True)
class Food:
    """An ingredient by name, its allergens and kinds.

    The bought package's own label decides over this list: "may contain" is only there.

    >>> FOODS["milk powder"].allergens == {Allergen.MILK}
    True
    """

    name: str
    allergens: frozenset[Allergen] = frozenset()
    kinds: frozenset[Kind] = frozenset()


_A, _PORK = frozenset({Kind.ANIMAL}), frozenset({Kind.PORK, Kind.MEAT, Kind.ANIMAL})


def _food(name: str, *allergens: Allergen, kinds: frozenset[Kind] = frozenset()) -> Food:
    return Food(name=name, allergens=frozenset(allergens), kinds=kinds)


_LISTED = (
    *(
        _food(name, kinds=_PORK)
        for name in ("lean trim", "back fat", "liver", "skin", "head meat", "pork roast", "ham")
    ),
    _food("milk powder", Allergen.MILK, kinds=_A),
    _food("butter", Allergen.MILK, kinds=_A),
    _food("cheese", Allergen.MILK, kinds=_A),
    _food("egg", Allergen.EGGS, kinds=_A),
    _food("wheat rusk", Allergen.WHEAT, kinds=frozenset({Kind.GLUTEN})),
    _food("wheat bread", Allergen.WHEAT, kinds=frozenset({Kind.GLUTEN})),
    _food("barley", kinds=frozenset({Kind.GLUTEN})),
    _food("soy flour", Allergen.SOY),
    _food("pistachio", Allergen.TREE_NUTS),
    _food("sesame seed", Allergen.SESAME),
    _food("wine", kinds=frozenset({Kind.ALCOHOL})),
    # Usual millings of oats carry wheat; those sold as free of it say so (common practice).
    _food("pinhead oats", kinds=frozenset({Kind.GLUTEN})),
    *(
        _food(name)
        for name in (
            "water",
            "salt",
            "cure no. 1",
            "sugar",
            "pepper",
            "sage",
            "onion",
            "buckwheat",
            "maize meal",
            "rice flour",
            "potato",
            "dried beans",
            "carrot",
            "cabbage",
            "apple",
            "sunflower oil",
            "garlic",
            "apple juice",
        )
    ),
)
FOODS = {food.name: food for food in _LISTED}


@dataclass(frozen=True, slots=True, kw_only=True)
class Swap:
    """Another food in place of one, by weight; common practice, to be tasted first."""

    instead_of: str
    take: str
    ratio: float = 1.0


SWAPS = (
    Swap(instead_of="wheat rusk", take="rice flour", ratio=0.8),
    Swap(instead_of="milk powder", take="rice flour", ratio=0.5),
    Swap(instead_of="butter", take="back fat"),
    Swap(instead_of="butter", take="sunflower oil", ratio=0.8),
    Swap(instead_of="pinhead oats", take="buckwheat"),
    Swap(instead_of="wine", take="apple juice"),
    Swap(instead_of="soy flour", take="rice flour"),
    Swap(instead_of="wheat bread", take="potato"),
    Swap(instead_of="egg", take="rice flour", ratio=0.3),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Eater:
    """Someone at the table: what they must not meet, and what they do not eat."""

    id: str
    allergens: frozenset[Allergen] = frozenset()
    avoids: frozenset[Kind] = frozenset()

    def against(self, food: Food) -> frozenset[Allergen | Kind]:
        """What in a food speaks against it for them."""
        return (food.allergens & self.allergens) | (food.kinds & self.avoids)
