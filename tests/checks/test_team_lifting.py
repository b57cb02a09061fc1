"""Team fractions, bands and starting values against the texts they come from."""

from __future__ import annotations

import pytest

from stations.trade.capacities import (
    Figure,
    Reach,
    Zone,
    moving_pull_kg,
    repeated_lift_factor,
    start_pull_kg,
    starting_capacity,
    twist_factor,
)
from stations.trade.teams import (
    Band,
    military_limit_kg,
    published_team_limit_kg,
    team_band,
    team_fraction,
    team_limit_kg,
)


@pytest.mark.parametrize(
    ("each_kg", "people", "printed_kg", "rounding"),
    [
        (20, 2, 26.6, 0.1),  # Network Rail, lifting in teams (published): "about 26.6"
        (50, 2, 66, 0.7),  # firstsafetytrainingservices.co.uk (published), cut to whole kg
        (50, 3, 75, 0.01),
        (25, 2, 33, 0.5),  # ccconsulting.uk.com (published), cut to whole kg
        (25, 3, 37.5, 0.01),
        (16, 2, 21, 0.5),
        (16, 3, 24, 0.01),
    ],
)
def test_published_worked_teams(each_kg, people, printed_kg, rounding):
    """HSE L23: two thirds for two people, half for three."""
    limit = team_limit_kg(capacities_kg=[each_kg] * people)
    assert limit == pytest.approx(printed_kg, abs=rounding)


# Computed from the fractions: people, k, and limits for equal 16, 20, 23 and 25 kg.
@pytest.mark.parametrize(
    ("people", "k", "limits"),
    [
        (1, 1, (16, 20, 23, 25)),
        (2, 0.6667, (21.3, 26.7, 30.7, 33.3)),
        (3, 0.5, (24.0, 30.0, 34.5, 37.5)),
        (4, 0.5, (32, 40, 46, 50)),
        (5, 0.4, (32, 40, 46, 50)),
        (6, 0.3333, (32, 40, 46, 50)),
        (7, 0.2857, (32, 40, 46, 50)),
        (8, 0.25, (32, 40, 46, 50)),
    ],
)
def test_fractions_for_one_to_eight(people, k, limits):
    """Four and more keep what four have: no fraction is published for them (practice)."""
    assert team_fraction(people=people) == pytest.approx(k, abs=5e-5)
    got = [team_limit_kg(capacities_kg=[each] * people) for each in (16, 20, 23, 25)]
    assert got == pytest.approx(limits, abs=0.05)


def test_mixed_crews():
    """Computed: 25 with 16 makes 27.33 kg; two of each 41 kg, 33 by published fractions."""
    assert round(team_limit_kg(capacities_kg=(25, 16)), 2) == 27.33
    assert team_limit_kg(capacities_kg=(25, 25, 16, 16)) == 41.0
    assert published_team_limit_kg(capacities_kg=(25, 25, 16, 16)) == 33.0


def test_the_fraction_for_four_lies_below_every_measured_value():
    """Karwowski and Mital 1986: 0.58 at worst; Sharp et al. 1997: 0.802 mixed (published)."""
    assert team_fraction(people=4) < 0.58 < 0.802


@pytest.mark.parametrize(
    ("people", "times"), [(1, 1), (2, 2), (3, 2.75), (4, 3.5), (5, 4.25), (8, 6.5)]
)
def test_military_rule(people, times):
    """MIL-STD-1472D via Sharp et al. 1997 (published): 20 and 39.5 kg, two double, then 75 %."""
    assert military_limit_kg(people=people) == 20 * times
    assert military_limit_kg(people=people, figure=Figure.HIGHER) == 39.5 * times


@pytest.mark.parametrize(
    ("load_kg", "band"),
    [(34.9, Band.GREEN), (35, Band.AMBER), (50, Band.RED), (80, Band.RED), (85.1, Band.PURPLE)],
)
def test_charts_for_two(load_kg, band):
    """HSE MAC for two people (published), with its own example: 80 kg is red."""
    found = team_band(load_kg=load_kg, people=2)
    assert found.band is band
    assert found.source.trust.may_decide


@pytest.mark.parametrize(
    ("load_kg", "people", "band"),
    [
        (39, 3, Band.GREEN),
        (74, 3, Band.AMBER),
        (120, 3, Band.RED),
        (126, 3, Band.PURPLE),
        (80, 4, Band.AMBER),
        (100, 4, Band.RED),
        (150, 4, Band.RED),
        (180, 4, Band.PURPLE),
    ],
)
def test_charts_for_three_and_four_are_from_memory(load_kg, people, band):
    """From memory: HSE MAC, INDG383, three and four people; marked so."""
    found = team_band(load_kg=load_kg, people=people)
    assert found.band is band
    assert not found.source.trust.may_decide


@pytest.mark.parametrize(
    ("zone", "reach", "lower", "higher"),
    [
        (Zone.KNUCKLE_TO_ELBOW, Reach.CLOSE, 16, 25),
        (Zone.ABOVE_SHOULDER, Reach.CLOSE, 7, 10),
        (Zone.ABOVE_SHOULDER, Reach.FAR, 3, 5),
    ],
)
def test_published_starting_values(zone, reach, lower, higher):
    """HSE risk filter, the cells that could be read (published)."""
    for figure, kg in ((Figure.LOWER, lower), (Figure.HIGHER, higher)):
        found = starting_capacity(zones=(zone,), reach=reach, figure=figure)
        assert found.kg == kg
        assert found.source.trust.may_decide


@pytest.mark.parametrize(
    ("zone", "reach", "lower", "higher"),
    [
        (Zone.ELBOW_TO_SHOULDER, Reach.CLOSE, 13, 20),
        (Zone.ELBOW_TO_SHOULDER, Reach.FAR, 7, 10),
        (Zone.KNUCKLE_TO_ELBOW, Reach.FAR, 10, 15),
        (Zone.SHIN_TO_KNUCKLE, Reach.CLOSE, 13, 20),
        (Zone.SHIN_TO_KNUCKLE, Reach.FAR, 7, 10),
        (Zone.FLOOR_TO_SHIN, Reach.CLOSE, 7, 10),
        (Zone.FLOOR_TO_SHIN, Reach.FAR, 3, 5),
    ],
)
def test_starting_values_from_memory_say_so(zone, reach, lower, higher):
    """From memory: the other cells of the HSE risk filter."""
    for figure, kg in ((Figure.LOWER, lower), (Figure.HIGHER, higher)):
        found = starting_capacity(zones=(zone,), reach=reach, figure=figure)
        assert found.kg == kg
        assert not found.source.trust.may_decide


def test_reductions_of_the_filter():
    """HSE (published): -30 % at 1 to 2 a minute, -50 % at 5 to 8, -80 % above 12; -10 and -20 %."""
    asked = (0.5, 1, 2, 5, 8, 12.5)
    assert [repeated_lift_factor(lifts_per_min=F) for F in asked] == [1.0, 0.7, 0.7, 0.5, 0.5, 0.2]
    assert [twist_factor(twist_deg=A) for A in (45, 46, 90, 91)] == [1.0, 0.9, 0.9, 0.8]


def test_push_and_pull_figures():
    """HSE INDG143 (published): 20 and 15 kg to start, 10 and 7 kg to keep moving."""
    assert (start_pull_kg(figure=Figure.HIGHER), start_pull_kg()) == (20, 15)
    assert (moving_pull_kg(figure=Figure.HIGHER), moving_pull_kg()) == (10, 7)
