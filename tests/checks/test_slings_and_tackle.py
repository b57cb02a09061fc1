"""Chain tables, sling angles and tackle against their published figures."""

from __future__ import annotations

import pytest

from stations.trade.errors import OutOfRange, TradeError
from stations.trade.hanging import hock_load_kg, tackle
from stations.trade.measures import KG_PER_LB
from stations.trade.rigging import (
    ChainGrade,
    ChainSize,
    leg_load_kg,
    sling_factor,
    sling_limit_kg,
    working_load_kg,
)

# 49 CFR 393.108 (published), lb.
CHAIN_LB = {
    ChainSize.QUARTER: (1300, 2600, 3150, 3500, 4300),
    ChainSize.FIVE_SIXTEENTHS: (1900, 3900, 4700, 4500, 5700),
    ChainSize.THREE_EIGHTHS: (2650, 5400, 6600, 7100, 8800),
    ChainSize.SEVEN_SIXTEENTHS: (3700, 7200, 8750, None, None),
    ChainSize.HALF: (4500, 9200, 11300, 12000, 15000),
}


@pytest.mark.parametrize("size", list(ChainSize))
def test_kilograms_and_pounds_of_the_chain_table_agree(size):
    """The rule's kilograms are its pounds, rounded: 2.5 % down or 0.6 % up at most."""
    for grade, pounds in zip(ChainGrade, CHAIN_LB[size], strict=True):
        if pounds is None:
            with pytest.raises(TradeError, match="No working load is printed"):
                working_load_kg(size=size, grade=grade)
        else:
            kg = working_load_kg(size=size, grade=grade)
            assert 0.975 * pounds * KG_PER_LB <= kg <= 1.006 * pounds * KG_PER_LB


def test_unmarked_chain_counts_as_grade_30():
    """49 CFR 393.108(d) (published)."""
    for size in ChainSize:
        assert working_load_kg(size=size, grade=None) == working_load_kg(
            size=size, grade=ChainGrade.G30
        )


def test_a_higher_number_is_not_always_stronger():
    """In 5/16 in grade 70 is listed above grade 80, yet only grade 80 is lifting chain."""
    size = ChainSize.FIVE_SIXTEENTHS
    assert working_load_kg(size=size, grade=ChainGrade.G70) > working_load_kg(
        size=size, grade=ChainGrade.G80
    )
    assert ChainGrade.G80.is_overhead_rated
    assert not ChainGrade.G70.is_overhead_rated


# Grade 80 sling tables of three makers (published), lb: single; 2 legs at 60, 45, 30; 3 and 4 legs.
SLINGS = [
    (3500, (6100, 4900, 3500), (9100, 7400, 5200)),
    (4500, (7800, 6400, 4500), (11700, 9500, 6800)),
    (7100, (12300, 10000, 7100), (18400, 15100, 10600)),
    (12000, (20800, 17000, 12000), (31200, 25500, 18000)),
]


@pytest.mark.parametrize(("single", "two", "three"), SLINGS)
def test_sling_tables_within_their_rounding(single, two, three):
    """All 24 cells come out within 50 lb; a fourth leg adds nothing."""
    for legs, row in ((2, two), (3, three), (4, three)):
        for angle, printed in zip((60, 45, 30), row, strict=True):
            limit = sling_limit_kg(single_kg=single * KG_PER_LB, legs=legs, angle_deg=angle)
            assert limit / KG_PER_LB == pytest.approx(printed, abs=50.5)


@pytest.mark.parametrize(
    ("angle", "tension", "capacity", "leg_kg"),
    [
        (90, 1.000, 1.000, 60.0),
        (75, 1.035, 0.966, 62.1),
        (60, 1.155, 0.866, 69.3),
        (45, 1.414, 0.707, 84.9),
        (30, 2.000, 0.500, 120.0),
    ],
)
def test_sling_angle_chart(angle, tension, capacity, leg_kg):
    """ashleysling.com chart (published); legs for 120 kg computed."""
    factor = sling_factor(angle_deg=angle)
    assert factor == pytest.approx(capacity, abs=5e-4)
    assert 1 / factor == pytest.approx(tension, abs=5e-4)
    assert leg_load_kg(load_kg=120, legs=2, angle_deg=angle) == pytest.approx(leg_kg, abs=0.05)


@pytest.mark.parametrize(("angle", "printed_lb"), [(60, 577), (45, 707)])
def test_a_thousand_pounds_on_two_legs(angle, printed_lb):
    """kwrs.com worked case (published)."""
    leg = leg_load_kg(load_kg=1000 * KG_PER_LB, legs=2, angle_deg=angle)
    assert round(leg / KG_PER_LB) == printed_lb


def test_a_leg_under_thirty_degrees_is_refused():
    """OSHA sling guidance (published)."""
    with pytest.raises(OutOfRange, match="Sling angle 15 degrees above level is outside 30 to 90"):
        sling_factor(angle_deg=15)


@pytest.mark.parametrize(
    ("parts", "pull", "anchor"), [(1, 120, 240), (2, 60, 180), (3, 40, 160), (4, 30, 150)]
)
def test_tackle(parts, pull, anchor):
    """Computed, no friction: W/N and W (1 + 1/N) for 120 kg."""
    loads = tackle(load_kg=120, parts=parts)
    assert loads.hauling_kg == pytest.approx(pull)
    assert loads.anchor_kg == pytest.approx(anchor)


def test_friction_makes_a_tackle_harder():
    """Computed: e + e^2 = 1.71 at 0.9, so two parts pull 120 / 1.71 kg."""
    assert tackle(load_kg=120, parts=2, sheave_efficiency=0.9).hauling_kg == pytest.approx(
        120 / 1.71
    )


def test_a_gambrel_shares_evenly():
    """Computed."""
    assert hock_load_kg(load_kg=96) == 48
