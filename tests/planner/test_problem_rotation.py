"""What a rotation problem refuses when it is made."""

from __future__ import annotations

import pytest

from scheduling.planner.errors import BadProblem
from scheduling.planner.problem import PlaceLoad
from tests.planner.courses import chains, duty, person, rotation, step


@pytest.mark.parametrize("height_cm", [1.8, 5.9, 1800.0])
def test_a_height_in_a_wrong_unit_is_caught(height_cm):
    with pytest.raises(BadProblem, match="give 50 to 250 cm"):
        person("ada", height_cm=height_cm)


@pytest.mark.parametrize("kg", [0.0, -2.0, float("nan")])
def test_a_load_weighs_something(kg):
    with pytest.raises(BadProblem, match="needs more than 0"):
        PlaceLoad(duty="chains", place="fore-left", kg=kg)


def test_a_chain_has_two_ends_of_its_own_duty():
    with pytest.raises(BadProblem, match="'tail', which is not in the problem"):
        chains(across=(("fore-left", "tail"),))
    with pytest.raises(BadProblem, match="runs from 'fore-left' to itself"):
        chains(across=(("fore-left", "fore-left"),))


def test_a_load_is_of_a_duty_and_a_place_of_its_step():
    with pytest.raises(BadProblem, match="duty 'chains'"):
        step("dip", 0, 10, "timer", loads={("chains", "fore-left"): 20.0})
    dip = step("dip", 0, 10, "chains", loads={("chains", "tail"): 20.0})
    with pytest.raises(BadProblem, match="place 'tail'"):
        rotation([person("ada")], [chains()], [dip])


def test_a_load_of_hands_without_named_places_has_no_place():
    haul = step("haul", 0, 10, "haul", loads={("haul", ""): 20.0})
    problem = rotation([person("ada")], [duty("haul")], [haul])
    assert problem.steps[0].load_kg("haul", "") == 20.0
    assert problem.steps[0].load_kg("haul", "left") == 0.0
