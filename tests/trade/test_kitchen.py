"""Recipes, allergens, menus and shopping."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stations.trade.cooking import Product
from stations.trade.course_recipes import (
    BEAN_POT,
    COURSE_RECIPES,
    CURED_SAUSAGE,
    FRESH_SAUSAGE,
    LIVER_PASTE,
    POTATO_CABBAGE,
    ROAST,
)
from stations.trade.cure_limits import CURE_LIMITS, Cured
from stations.trade.cures import CURE_1
from stations.trade.errors import OutOfRange, TradeError
from stations.trade.foods import FOODS, SWAPS, Allergen, Eater, Kind
from stations.trade.menu import plan_menu, shopping
from stations.trade.recipes import (
    KitchenStep,
    Recipe,
    UnknownFood,
    most_base_kg,
    scale,
    swapped,
    trim_expected,
)

EATS_ALL = Eater(id="a")


@given(recipe=st.sampled_from(COURSE_RECIPES), base=st.floats(0.1, 100.0))
def test_a_scaled_recipe_adds_up_and_keeps_its_proportions(recipe, base):
    amounts = scale(recipe, base_kg=base)
    assert sum(amounts.values()) == pytest.approx(recipe.batch_kg(base_kg=base))
    assert all(amounts[n] / base == pytest.approx(s) for n, s in recipe.shares.items())


@given(recipe=st.sampled_from(COURSE_RECIPES), servings=st.integers(1, 60))
def test_base_for_servings_gives_those_servings(recipe, servings):
    assert recipe.servings(base_kg=recipe.base_kg_for(servings)) == servings


def test_the_scarcest_food_sets_the_batch():
    bought = set(FRESH_SAUSAGE.shares) - {"back fat"}
    have = {"lean trim": 3.0, "back fat": 9.0}
    assert most_base_kg(FRESH_SAUSAGE, have, bought=bought) == 3.0
    assert most_base_kg(FRESH_SAUSAGE, {}, bought=bought) == 0.0


def test_the_trim_of_the_demo_hogs_makes_sausage():
    trim = trim_expected(live_kg=115.0, cold_kg=81.0)
    assert set(trim) <= set(FOODS)
    assert all(one.low_kg <= one.likely_kg <= one.high_kg for one in trim.values())
    have = {name: one.likely_kg for name, one in trim.items()}
    base = most_base_kg(FRESH_SAUSAGE, have, bought=set(FRESH_SAUSAGE.shares) - {"back fat"})
    assert FRESH_SAUSAGE.servings(base_kg=base) > 40


def test_cured_sausage_keeps_inside_the_minced_limit():
    """Cure no. 1 on lean and fat together, 9 CFR 424.21(c): at most 156.25 ppm."""
    amounts = scale(CURED_SAUSAGE, base_kg=10.0)
    meat = amounts["lean trim"] + amounts["back fat"]
    ppm = amounts["cure no. 1"] * CURE_1.nitrite * 1e6 / meat
    assert ppm == pytest.approx(150.0)
    assert ppm <= CURE_LIMITS[Cured.MINCED].sodium_ppm


def test_minced_and_liver_dishes_are_cooked_as_minced():
    assert {r.cooked_as for r in (FRESH_SAUSAGE, LIVER_PASTE)} == {Product.MINCED_PORK}


@pytest.mark.parametrize(
    ("recipe", "allergens"),
    [
        (FRESH_SAUSAGE, {Allergen.WHEAT}),
        (CURED_SAUSAGE, {Allergen.MILK}),
        (LIVER_PASTE, {Allergen.EGGS, Allergen.WHEAT}),
        (POTATO_CABBAGE, {Allergen.MILK}),
        (BEAN_POT, set()),
    ],
)
def test_allergens_of_the_course(recipe, allergens):
    assert recipe.allergens == allergens


def test_there_are_nine_allergens():
    """FASTER Act 2021: sesame the ninth."""
    assert len(Allergen) == 9


@given(
    recipe=st.sampled_from(COURSE_RECIPES),
    allergens=st.frozensets(st.sampled_from(Allergen)),
    avoids=st.frozensets(st.sampled_from(Kind)),
)
def test_a_swapped_recipe_suits(recipe, allergens, avoids):
    eater = Eater(id="x", allergens=allergens, avoids=avoids)
    other = swapped(recipe, eater)
    assert other is None or other.suits(eater)
    if recipe.suits(eater):
        assert other == recipe


def test_every_swap_is_of_known_foods():
    assert {s.instead_of for s in SWAPS} | {s.take for s in SWAPS} <= set(FOODS)


def test_a_menu_feeds_everyone_with_the_fewest_dishes():
    """The vegan needs the beans beside each main dish; potatoes with butter would not do."""
    vegan = Eater(id="c", avoids=frozenset({Kind.ANIMAL}))
    meals = plan_menu(2, [EATS_ALL, Eater(id="b"), vegan], [ROAST, BEAN_POT, POTATO_CABBAGE])
    assert [[d.code for d in meal.dishes] for meal in meals] == [
        ["roast", "bean_pot"],
        ["potatoes", "bean_pot"],
    ]
    assert meals[0].servings == {"roast": 2, "bean_pot": 1}
    assert meals[0].base_kg()["bean_pot"] == pytest.approx(BEAN_POT.base_kg_for(1))


def test_a_menu_takes_turns_where_it_can():
    meals = plan_menu(3, [EATS_ALL], [ROAST, FRESH_SAUSAGE, BEAN_POT])
    assert [meal.dishes[0].code for meal in meals] == ["roast", "sausage", "bean_pot"]


def test_two_dishes_where_one_cannot():
    no_wheat = Eater(id="n", allergens=frozenset({Allergen.WHEAT}))
    no_milk = Eater(id="m", allergens=frozenset({Allergen.MILK}))
    meal = plan_menu(1, [no_wheat, no_milk], [FRESH_SAUSAGE, CURED_SAUSAGE])[0]
    assert len(meal.dishes) == 2
    assert meal.unfed == ()
    assert meal.servings == {"sausage": 1, "cured_sausage": 1}


def test_who_cannot_be_fed_is_named_with_the_reason():
    eater = Eater(id="p", avoids=frozenset({Kind.PORK}))
    meal = plan_menu(1, [EATS_ALL, eater], [ROAST])[0]
    assert [one.eater.id for one in meal.unfed] == ["p"]
    assert meal.unfed[0].sentence == (
        "No dish for p (Roast pork: pork roast (pork)). Add a dish without these."
    )


@given(
    base=st.floats(0.5, 40.0),
    have=st.dictionaries(st.sampled_from(sorted(FOODS)), st.floats(0.0, 20.0)),
)
def test_bought_and_had_cover_what_is_needed(base, have):
    bought = {one.food: one for one in shopping([(FRESH_SAUSAGE, base)], have)}
    for food, kg in scale(FRESH_SAUSAGE, base_kg=base).items():
        got = have.get(food, 0.0) + (bought[food].buy_kg if food in bought else 0.0)
        assert got >= kg - 1e-6


def test_packs_are_bought_whole():
    (salt,) = [s for s in shopping([(ROAST, 10.0)], {}, pack_kg={"salt": 0.1}) if s.food == "salt"]
    assert salt.needed_kg == pytest.approx(0.15)
    assert salt.buy_kg == pytest.approx(0.2)


def test_refusals():
    with pytest.raises(UnknownFood, match="Add it there with its allergens"):
        Recipe(
            code="x",
            name="x",
            base="moon cheese",
            shares={},
            steps=(),
            cooked_as=None,
            serving_kg=0.1,
            left=1.0,
        )
    with pytest.raises(TradeError, match="give least, expected, most in order"):
        KitchenStep(name="boil", minutes=(20, 10, 30), hands=1)
    with pytest.raises(OutOfRange, match="Salt -1"):
        shopping([(ROAST, 1.0)], {"salt": -1.0})
    with pytest.raises(OutOfRange, match="Meals 0"):
        plan_menu(0, [EATS_ALL], [ROAST])
    with pytest.raises(OutOfRange, match="Cold carcass"):
        trim_expected(live_kg=100.0, cold_kg=120.0)
