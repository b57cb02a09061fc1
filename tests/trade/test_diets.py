"""What is read out of people's words about what they eat."""

import pytest

from stations.trade.diets import read_diet
from stations.trade.foods import Allergen, Kind


@pytest.mark.parametrize(
    ("words", "allergens", "avoids"),
    [
        ("No milk at all", {Allergen.MILK}, set()),
        ("No shellfish (allergy)", {Allergen.SHELLFISH}, set()),
        ("allergic to fish", {Allergen.FISH}, set()),
        ("No gluten (coeliac)", set(), {Kind.GLUTEN}),
        ("celiac", set(), {Kind.GLUTEN}),
        ("Vegan", {Allergen.MILK, Allergen.EGGS}, {Kind.MEAT, Kind.ANIMAL}),
        ("halal", set(), {Kind.PORK}),
        ("peanut allergy", {Allergen.PEANUTS}, set()),
        ("no wine, loves peanuts", set(), {Kind.ALCOHOL}),
    ],
)
def test_words_of_a_diet_become_what_to_keep_away(words, allergens, avoids):
    diet = read_diet(words)
    assert (diet.allergens, diet.avoids) == (allergens, avoids)
    assert diet.is_read


@pytest.mark.parametrize("words", ["Low salt", "Eats everything, twice", "loves milk"])
def test_what_is_not_recognised_is_left_to_a_person(words):
    """Nothing is guessed at: the words themselves must be read."""
    assert not read_diet(words).is_read
    assert read_diet(words).words == words


def test_nothing_written_is_nothing_to_read():
    assert read_diet("").is_read
