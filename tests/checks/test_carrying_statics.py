"""Carrying, floating, rolling and dragging against textbook problems and hand calculation."""

from __future__ import annotations

import pytest

from stations.trade.loads import phase_loads
from stations.trade.places import Hog, Phase, Setup
from stations.trade.statics import (
    apparent_kg,
    capstan_ratio,
    chain_pull_kg,
    corner_shares,
    drag_pull_kg,
    footing_pull_kg,
    low_end_share,
    newtons,
    parbuckle_pull_kg,
    slack_corner_shares,
    two_supports,
)
from stations.trade.water import density_kg_m3


def test_two_people_and_a_board():
    """numerade.com (published): 3.00 m, 160 N; 60 N at one end, so 100 N at 2.40 m."""
    other_end = two_supports(load_kg=160, first_m=0.0, second_m=2.40, centre_m=1.5)
    assert other_end == pytest.approx(60)
    assert 160 - other_end == pytest.approx(100)


def test_two_people_a_board_and_an_object():
    """assignmentexpert.com q 212334 (published): 2 m, 200 N board; ends 400 and 600 N, so an object
    of 800 N at 1.25 m."""
    board = two_supports(load_kg=200, first_m=0, second_m=2, centre_m=1)
    thing = two_supports(load_kg=800, first_m=0, second_m=2, centre_m=1.25)
    assert board + thing == pytest.approx(400)


def test_two_men_and_a_log():
    """hackmath.net 15063 (published): 5 m, 95 kg, centre 2 m from the thick end; the second man,
    1 m in from the thin end, shares equally."""
    assert two_supports(load_kg=95, first_m=0, second_m=4, centre_m=2) == pytest.approx(47.5)


def test_two_chains_under_a_hog():
    """Computed: chains at 0 and 1 m, centre at 0.44 m: 33.6 kg a hand in front, 26.4 behind."""
    fore = two_supports(load_kg=120, first_m=0, second_m=1, centre_m=0.44)
    assert fore / 2 == pytest.approx(33.6)
    assert (120 - fore) / 2 == pytest.approx(26.4)


def test_four_corners_off_centre():
    """Computed: ex/a 0.2, ey/b 0.1 gives .33, .27, .22, .18; worst 39.6 kg of 120."""
    shares = corner_shares(fore_share=0.6, left_share=0.55)
    assert shares == pytest.approx((0.33, 0.27, 0.22, 0.18))
    assert 120 * max(shares) == pytest.approx(39.6)
    assert sum(shares) == pytest.approx(1.0)


def test_a_slack_corner():
    """Computed: a centred load on three hands leaves half of it on two of them."""
    assert slack_corner_shares(fore_share=0.5, left_share=0.5) == 0.5


def test_two_carriers_on_a_slope():
    """Computed: h/L 0.15 at 15 degrees gives .540 and .460; hung below the grips it is reversed."""
    low = low_end_share(slope_deg=15, rise_m=0.15, apart_m=1)
    assert low == pytest.approx(0.540, abs=5e-4)
    hung = low_end_share(slope_deg=15, rise_m=-0.15, apart_m=1)
    assert hung == pytest.approx(1 - low)


@pytest.mark.parametrize(
    ("celsius", "printed"),
    [(20, 998.20), (60, 983.20), (62, 982.16), (65, 980.55), (70, 977.77)],
)
def test_density_of_water(celsius, printed):
    """Kell 1975 (formula from memory) against IAPWS-95 as used here (published)."""
    assert density_kg_m3(celsius) == pytest.approx(printed, abs=0.02)


@pytest.mark.parametrize(
    ("body", "whole", "half"), [(1020, 4.45, 62.23), (1030, 5.57, 62.79), (1050, 7.75, 63.88)]
)
def test_a_hog_in_the_water(body, whole, half):
    """Computed for 120 kg at 62 degC; the densities of a hog are from memory."""
    for submerged, kg in ((1.0, whole), (0.5, half), (0.0, 120.0)):
        got = apparent_kg(mass_kg=120, submerged=submerged, water_density=982.16, body_density=body)
        assert got == pytest.approx(kg, abs=0.006)


def test_a_body_that_floats_weighs_nothing():
    """Computed: never a negative lift."""
    assert apparent_kg(mass_kg=120, submerged=1, water_density=982, body_density=950) == 0.0


@pytest.mark.parametrize(
    ("degrees", "pull"), [(10, 10.42), (20, 20.52), (30, 30.0), (45, 42.43), (90, 60.0)]
)
def test_parbuckle(degrees, pull):
    """2:1 purchase, Practical Boat Owner glossary (published); the rest computed for 120 kg."""
    assert parbuckle_pull_kg(mass_kg=120, ramp_deg=degrees) == pytest.approx(pull, abs=0.006)


@pytest.mark.parametrize(("degrees", "kg"), [(90, 30.0), (60, 34.6), (45, 42.4), (30, 60.0)])
def test_a_quarter_on_a_slanted_chain(degrees, kg):
    """Computed: W / (4 sin alpha) for 120 kg."""
    assert chain_pull_kg(carried_kg=30, angle_deg=degrees) == pytest.approx(kg, abs=0.05)


@pytest.mark.parametrize(
    ("mu", "slope", "newton"),
    [
        (0.2, 0, 235.4),
        (0.2, 5, 337.0),
        (0.2, 10, 436.1),
        (0.3, 0, 353.0),
        (0.3, 5, 454.3),
        (0.3, 10, 552.0),
        (0.5, 0, 588.4),
        (0.5, 5, 688.7),
        (0.5, 10, 783.8),
    ],
)
def test_dragging(mu, slope, newton):
    """Computed for 120 kg; 0.2 is wet wood on wood (published), 0.5 for skin from memory."""
    pull = drag_pull_kg(mass_kg=120, slope_deg=slope, mu=mu)
    assert newtons(kilograms=pull) == pytest.approx(newton, abs=0.06)


def test_footing():
    """Computed: on 0.2 a person of 80 kg cannot pull more than 16 kg."""
    assert footing_pull_kg(body_kg=80, mu=0.2) == pytest.approx(16.0)


@pytest.mark.parametrize(("mu", "ratio"), [(0.3, 2.566), (0.2, 1.874)])
def test_capstan(mu, ratio):
    """Computed: half a turn of chain round a surface."""
    assert capstan_ratio(mu=mu, wrap_deg=180) == pytest.approx(ratio, abs=5e-4)


# Computed, fore share from memory: live kg; each if even; each in front; 30 degree ramp's pull
# without friction; afloat at 62 degC and 1030 kg/m3.
@pytest.mark.parametrize(
    ("live", "even", "front", "ramp", "afloat"),
    [
        (80, 20.0, 22.4, 20.0, 3.7),
        (100, 25.0, 28.0, 25.0, 4.6),
        (120, 30.0, 33.6, 30.0, 5.6),
        (150, 37.5, 42.0, 37.5, 7.0),
        (180, 45.0, 50.4, 45.0, 8.4),
    ],
)
def test_what_each_weight_means_for_four(live, even, front, ramp, afloat):
    """The table of live weights."""
    loads = phase_loads(phase=Phase.LIFT_OUT, hog=Hog(live_kg=live), setup=Setup())
    assert loads.total_kg / 4 == even
    assert loads.worst_kg == pytest.approx(front)
    rolled = phase_loads(phase=Phase.RAMP, hog=Hog(live_kg=live), setup=Setup(ramp_friction=1.0))
    assert rolled.total_kg == pytest.approx(ramp)
    water = density_kg_m3(62.0)
    assert apparent_kg(
        mass_kg=live, submerged=1, water_density=water, body_density=1030
    ) == pytest.approx(afloat, abs=0.05)


def test_the_phase_table():
    """Computed for 120 kg: ramp 30 degrees 37.5 kg with friction; level drag 60 kg."""
    hog = Hog(live_kg=120)
    assert phase_loads(phase=Phase.RAMP, hog=hog, setup=Setup()).total_kg == pytest.approx(37.5)
    assert phase_loads(phase=Phase.DRAG, hog=hog, setup=Setup()).total_kg == pytest.approx(60.0)
