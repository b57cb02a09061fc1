"""Published yield tables: every line adds up as its source says, and ours gives it back."""

import pytest

from stations.trade.carcass_tables import (
    BY_PRODUCTS,
    CURING_YIELDS,
    CUTS_AS_COUNTED,
    FARM_CUTS,
    HALF,
    MARKET_PIG,
    MARKET_PIG_RETAIL,
    PRIMALS,
    TABLES,
    Part,
    off_balance,
)
from stations.trade.measures import kilograms, pounds
from stations.trade.yields import Dressed, by_products, cold_carcass, cut_plan, hot_carcass


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_every_table_adds_up_to_its_whole(table):
    assert table.total == pytest.approx(table.whole, abs=1e-9)


def test_the_pork_producers_ham_and_waste():
    """NPPC via Univ. of Kentucky: ham 25.5 + 2.3 + 5.8 + 11.4 = 45.0, 24.46 % (printed 24);
    waste 11.4 + 1 + 3.4 + 4 + 0.8 + 22 + 1.8 = 44.4 leaves 139.8 of pork (printed about 140)."""
    assert sum((25.5, 2.3, 5.8, 11.4)) == pytest.approx(45.0)
    inside = sum((25.5, 2.3, 5.8, 11.4))
    assert inside == pytest.approx(45.0)
    waste = 11.4 + 1 + 3.4 + 4 + 0.8 + 22 + 1.8
    assert PRIMALS.total - waste == pytest.approx(139.8)


def test_the_brochure_s_percentages():
    """250 to 180 to 144: dressed 72 %, retail 80 % of carcass, 57.6 % of live."""
    assert round(180 / 250, 6) == 0.72
    assert CUTS_AS_COUNTED.total / 180 == pytest.approx(0.80)
    assert CUTS_AS_COUNTED.total / 250 == pytest.approx(0.576)


def test_the_market_pig_s_retail_and_other():
    """National Pork Board 2016: 160.8 + 52.2 = 213.0; rows carry a tenth of rounding."""
    retail = sum(row[0] for row in MARKET_PIG_RETAIL.values())
    other = sum(row[1] for row in MARKET_PIG_RETAIL.values())
    assert retail == pytest.approx(160.8)
    assert other == pytest.approx(52.2, abs=0.11)
    for part, weight in MARKET_PIG.parts:
        assert sum(MARKET_PIG_RETAIL[part]) == pytest.approx(weight, abs=0.11)


def test_the_half_hog():
    """WSDA percentages: 52 lb of meat of 75, lard 15, bone fat and trim 8."""
    lard = sum(w for p, w in HALF.parts if p is Part.BACK_FAT)
    other = sum(w for p, w in HALF.parts if p is Part.OTHER)
    assert HALF.total - lard - other == 52
    assert [round(100 * w / 75) for _, w in HALF.parts] == [16, 12, 13, 3, 8, 9, 8, 20, 11]


def test_the_farm_bulletin_s_four_lean_cuts():
    """Farmers' Bulletin 2265 table 1: ham 19, loin 17, picnic and butt 17: 53 per cent."""
    lean = sum(FARM_CUTS.share(p) for p in (Part.HAM, Part.LOIN, Part.SHOULDER))
    assert lean == pytest.approx(0.53)


def test_1944_percentages():
    """AWI-108: 225 to 176: 90, 34, 27 lb of 176 are 51.1, 19.3, 15.3 % (printed 50, 20, 15)."""
    shares = [round(100 * lb / 176, 1) for lb in (90, 34, 27)]
    assert shares == [51.1, 19.3, 15.3]
    dressed = 100 * 176 / 225
    assert dressed == pytest.approx(78.2, abs=0.05)


def test_an_old_balance_that_does_not_balance():
    """Principles of Meat Science, 2nd ed., ch. 16 by quotation: a 220 lb hog adds up to 222."""
    parts = (125.0, 35.0, 9.0, 9.0, 18.0, 26.0)
    assert off_balance(parts, whole=220.0) == pytest.approx(2.0)


@pytest.mark.parametrize(
    ("live", "dressed", "carcass", "source"),
    [
        (250, Dressed.UNSTATED, 184, "NPPC, 73.6 %"),
        (250, Dressed.UNSTATED, 180, "brochure, 72 %"),
        (245, Dressed.UNSTATED, 176, "Penn State, 72 %"),
        (245, Dressed.SKIN_ON, 176, "the same, skin-on"),
        (225, Dressed.HEAD_AND_SKIN_ON, 176, "AWI-108, heads on, 78.2 %"),
        (200, Dressed.UNSTATED, 140, "Calculating Agriculture p. 127, chilled, 70 %"),
    ],
)
def test_published_carcasses_lie_in_the_range_of_their_basis(live, dressed, carcass, source):
    expected = hot_carcass(kilograms(pounds=live), dressed)
    assert expected.low_kg - 0.01 <= kilograms(pounds=carcass) <= expected.high_kg, source


def test_a_published_chill_shrink_lies_in_the_range():
    """NPPC and NPB: shrink and other loss 1.8/184 and 2.1/213, about 1.0 %."""
    for loss, carcass in ((1.8, 184.0), (2.1, 213.0)):
        cold = cold_carcass(carcass)
        assert cold.high_kg == pytest.approx(carcass - loss, rel=0.001)


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_a_carcass_of_the_table_s_own_weight_gives_its_lines_back(table):
    plan = cut_plan(kilograms(pounds=table.whole), table)
    for part, lb in table.parts:
        assert pounds(kilograms=plan[part].likely_kg) == pytest.approx(lb)
        assert plan[part].holds(plan[part].likely_kg)


def test_by_products():
    """USDA NW_LS446, 280 lb hog: 12.16 lb to 100 lb live, 34.05 in all; liver 3.50, heart 0.78."""
    assert sum(BY_PRODUCTS.values()) == pytest.approx(12.16)
    hog = {name: pounds(kilograms=kg) for name, kg in by_products(kilograms(pounds=280)).items()}
    assert sum(hog.values()) == pytest.approx(34.05, abs=0.005)
    assert hog["liver"] == pytest.approx(3.50)
    assert hog["heart"] == pytest.approx(0.784)
    assert hog["chitterlings"] == pytest.approx(3.53, abs=0.005)


def test_curing_yields():
    """USDA AWI-108: cured 95 and 103, smoked 90 and 96, a year 70 to 75 per cent."""
    assert [(dry[0], brine[0]) for dry, brine in CURING_YIELDS.values()] == [
        (0.95, 1.03),
        (0.90, 0.96),
        (0.70, 0.70),
    ]
    assert CURING_YIELDS["stored 12 months"][0] == (0.70, 0.75)
