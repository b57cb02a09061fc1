"""The products and shared meals of the course; every proportion here is common practice, no source.

A lead's own recipes take the same form. Cure shares keep inside ``cure_limits``; tests hold that.
"""

from __future__ import annotations

from collections.abc import Mapping

from stations.trade.cooking import Product
from stations.trade.recipes import KitchenStep, Recipe


def _job(name: str, minutes: tuple[int, int, int], hands: int = 2) -> KitchenStep:
    return KitchenStep(name=name, minutes=minutes, hands=hands)


def _wait(name: str, minutes: tuple[int, int, int]) -> KitchenStep:
    return KitchenStep(name=name, minutes=minutes, hands=1, attended=False)


def _recipe(  # noqa: PLR0913  a table written as calls: one line a column
    code: str,
    name: str,
    base: str,
    shares: Mapping[str, float],
    steps: tuple[KitchenStep, ...],
    *,
    cooked_as: Product | None = Product.STUFFED_OR_LEFTOVER,
    serving_kg: float = 0.15,
    left: float = 0.80,
) -> Recipe:
    return Recipe(
        code=code,
        name=name,
        base=base,
        shares=shares,
        steps=steps,
        cooked_as=cooked_as,
        serving_kg=serving_kg,
        left=left,
    )


_GRIND = (_job("weigh and chill", (10, 15, 25)), _job("grind", (15, 25, 45), 3))
FRESH_SAUSAGE = _recipe(
    "sausage",
    "Fresh sausage",
    "lean trim",
    {"back fat": 0.25, "salt": 0.02, "water": 0.05, "wheat rusk": 0.03, "pepper": 0.003,
     "sage": 0.001},
    (*_GRIND, _job("stuff and link", (25, 40, 70), 4), _job("fry", (15, 20, 30))),
    cooked_as=Product.MINCED_PORK,
)  # fmt: skip
CURED_SAUSAGE = _recipe(
    "cured_sausage",
    "Cured sausage, for smoking",
    "lean trim",
    {"back fat": 0.25, "salt": 0.02, "cure no. 1": 0.003, "water": 0.03, "milk powder": 0.02,
     "pepper": 0.004, "garlic": 0.004},
    (*_GRIND, _job("stuff and link", (25, 40, 70), 4), _wait("smoke and cook", (120, 180, 300))),
    cooked_as=Product.MINCED_PORK,
)  # fmt: skip
LIVER_PASTE = _recipe(
    "liver_paste",
    "Liver paste",
    "liver",
    {"back fat": 0.6, "onion": 0.2, "egg": 0.1, "wheat bread": 0.1, "salt": 0.03, "pepper": 0.004},
    (*_GRIND, _wait("bake in a water bath", (60, 80, 110))),
    cooked_as=Product.MINCED_PORK,
    serving_kg=0.06,
    left=0.9,
)
FRIED_LIVER = _recipe(
    "fried_liver",
    "Liver and onions",
    "liver",
    {"onion": 0.6, "back fat": 0.08, "apple": 0.3, "salt": 0.012},
    (_job("slice", (10, 15, 25)), _job("fry", (15, 20, 30))),
    cooked_as=Product.MINCED_PORK,  # the chart names 160 F for variety meat as well (from memory)
)
LARD = _recipe(
    "lard",
    "Rendered lard",
    "back fat",
    {"water": 0.1},
    (_job("dice", (20, 30, 50), 3), _job("render and strain", (120, 180, 270))),
    cooked_as=None,
    serving_kg=0.01,
    left=0.7,
)
BREAKFAST_LOAF = _recipe(
    "breakfast_loaf",
    "Grain and pork breakfast loaf, with the skin",
    "head meat",
    {"skin": 0.8, "pinhead oats": 0.5, "onion": 0.2, "water": 2.0, "salt": 0.04, "pepper": 0.006},
    (
        _wait("simmer meat and skin", (150, 200, 260)),
        _job("pick and grind", (20, 30, 50), 3),
        _wait("simmer the grain in", (40, 60, 80)),
        _job("pack in pans", (10, 15, 25)),
    ),
    serving_kg=0.12,
    left=0.75,
)
ROAST = _recipe(
    "roast",
    "Roast pork",
    "pork roast",
    {"salt": 0.015, "pepper": 0.003, "apple": 0.2},
    (_job("season", (10, 15, 20)), _wait("roast and rest", (120, 160, 220))),
    cooked_as=Product.WHOLE_PORK,
)
BEAN_POT = _recipe(
    "bean_pot",
    "Beans and roots, no meat",
    "dried beans",
    {"carrot": 0.6, "onion": 0.4, "potato": 0.8, "sunflower oil": 0.08, "water": 2.5,
     "salt": 0.03},
    (_job("clean and cut", (15, 25, 40), 3), _wait("simmer", (90, 120, 160))),
    serving_kg=0.4,
    left=0.9,
)  # fmt: skip
POTATO_CABBAGE = _recipe(
    "potatoes",
    "Potatoes and cabbage with butter",
    "potato",
    {"cabbage": 0.5, "butter": 0.06, "salt": 0.015},
    (_job("peel and cut", (20, 30, 45), 3), _job("boil", (25, 35, 45))),
    serving_kg=0.25,
    left=0.9,
)
COURSE_RECIPES = (
    FRESH_SAUSAGE,
    CURED_SAUSAGE,
    LIVER_PASTE,
    FRIED_LIVER,
    LARD,
    BREAKFAST_LOAF,
    ROAST,
    BEAN_POT,
    POTATO_CABBAGE,
)
