"""Published worked examples of curing, each with the answer as printed and its source."""

import pytest

from stations.trade.brine import BRINE_TABLE, brine_row, salometer_degrees
from stations.trade.cure_limits import (
    ASCORBATE_PPM,
    ASCORBIC_ACID_PPM,
    CURE_LIMITS,
    Cured,
    green_weight_kg,
    ingoing_findings,
)
from stations.trade.cure_times import (
    DRYING_DAYS,
    DRYING_PER_DAY,
    HamMethod,
    PickledPiece,
    drying_finding,
    ham_days,
    longer_drying_days,
    rubbing,
    sausage_salt_percent,
    shorter_drying_days,
    soak_minutes,
    sweet_pickle_days,
)
from stations.trade.cures import CURE_1, CURE_1_WEAK, Cure, rub_of
from stations.trade.curing import Batch, cure_kg_for, ingoing_ppm, judged_dry
from stations.trade.findings import Standing
from stations.trade.keeping import KEEPS, Frozen
from stations.trade.measures import kilograms
from stations.trade.pickles import Pickle, equilibrium_ppm, judged_taken, taken_ppm
from stations.trade.sources import PRACTICE

OZ = 1 / 16  # of a lb; the sums hold in lb as in kg


@pytest.mark.parametrize(
    ("product", "nitrite", "nitrate"),
    [
        (Cured.DRY_CUT, 625.0, 2187.5),  # 1 oz and 3.5 oz to 100 lb, 9 CFR 424.21(c)
        (Cured.MINCED, 156.25, 1718.75),  # 1/4 oz and 2.75 oz to 100 lb, the same
        (Cured.PUMPED_CUT, 200.0, 700.0),  # FSIS 7620.3 p. 12 by quotation; nitrate computed
        (Cured.IMMERSED_CUT, 200.0, 700.0),
        (Cured.PUMPED_BACON, 120.0, 0.0),  # 9 CFR 424.22(b)(1)
        (Cured.IMMERSED_BACON, 120.0, 0.0),  # (b)(2)
        (Cured.DRY_BACON, 200.0, 0.0),  # (b)(3)
    ],
)
def test_limits_by_product(product, nitrite, nitrate):
    assert CURE_LIMITS[product].sodium_ppm == nitrite
    assert CURE_LIMITS[product].nitrate_ppm == nitrate


@pytest.mark.parametrize(
    ("product", "ppm"),
    [(Cured.DRY_BACON, 246), (Cured.PUMPED_BACON, 148), (Cured.IMMERSED_BACON, 148)],
)
def test_potassium_limits_of_bacon(product, ppm):
    """9 CFR 424.22(b); elsewhere the two salts share one limit (FSIS 7620.3 chapter 3)."""
    assert CURE_LIMITS[product].potassium_ppm == ppm
    cuts = set(Cured) - {Cured.DRY_BACON, Cured.PUMPED_BACON, Cured.IMMERSED_BACON}
    assert all(CURE_LIMITS[p].potassium_ppm == CURE_LIMITS[p].sodium_ppm for p in cuts)


def test_ascorbate_and_ascorbic_acid():
    """7/8 and 3/4 oz to 100 lb, 9 CFR 424.21(c): 546.9 and 468.75 ppm (derived)."""
    assert pytest.approx(ASCORBATE_PPM) == 7 / 8 * OZ / 100 * 1e6
    assert pytest.approx(ASCORBIC_ACID_PPM) == 3 / 4 * OZ / 100 * 1e6


def test_skin_on_belly_counts_nine_tenths():
    """FSIS 7620.3 by quotation."""
    assert green_weight_kg(Cured.DRY_BACON, 10.0, skin_on=True) == 9.0


@pytest.mark.parametrize(("ppm", "grams"), [(120, 1.92), (156, 2.496), (200, 3.20), (625, 10.0)])
def test_grams_of_cure_no_1_to_a_kilogram(ppm, grams):
    """ppm / (10 x per cent nitrite), 6.25 % (derived)."""
    assert 1000 * cure_kg_for(CURE_1, nitrite_ppm=ppm, green_kg=1.0) == pytest.approx(grams)


def test_pumped_162_ppm():
    """network-technologies.org 95: 400 lb water, 50 lb cure at 0.75 %, 20 %: 162 ppm (162.27)."""
    cure = Cure(name="cure at 0.75 %", nitrite=0.0075, source=PRACTICE)
    other = 9 + 6 * OZ + 1 + 5 * OZ + 1 + 8 * OZ  # phosphate, erythorbate, spice
    pickle = Pickle(water_kg=400.0, other_kg=other, cure=cure, cure_kg=50.0)
    assert pickle.total_kg == pytest.approx(462.1875)
    batch = Batch(product=Cured.PUMPED_CUT, weighed_kg=100.0, cure=cure)
    assert judged_taken(batch, pickle, taken=0.20).nitrite_ppm == pytest.approx(162.27, abs=0.005)


def test_dry_belly_200_ppm():
    """The same page: 100 lb bellies, 5 lb cure at 0.40 %: 200 ppm."""
    cure = Cure(name="cure at 0.40 %", nitrite=0.004, source=PRACTICE)
    batch = Batch(product=Cured.DRY_BACON, weighed_kg=100.0, cure=cure)
    plan = judged_dry(batch, cure_kg=5.0)
    assert plan.nitrite_ppm == pytest.approx(200.0)
    assert plan.findings[0].standing is Standing.WITHIN


@pytest.mark.parametrize(("ounces", "ppm"), [(3, 140), (4, 188)])
def test_brine_of_ounces_to_a_gallon(ounces, ppm):
    """scribd 204427920: cure no. 1 to 8.33 lb water, 10 % pump; the cure's weight is left out.

    The sheet prints 140 for 140.7: it cuts the first and rounds the second.
    """
    found = taken_ppm(ounces * OZ * 0.0625, pickle_kg=8.33, taken=0.10)
    assert found == pytest.approx(ppm, abs=0.75)


def test_equilibrium_brisket():
    """network-technologies.org: 8 lb brisket, 31.71 lb brine, 150 ppm: 0.0953 lb = 43.2 g."""
    nitrite_lb = 150e-6 * (8 + 31.71)
    assert nitrite_lb == pytest.approx(0.0059565, abs=5e-8)
    assert equilibrium_ppm(nitrite_lb, meat_kg=8.0, pickle_kg=31.71) == pytest.approx(150.0)
    assert nitrite_lb / 0.0625 == pytest.approx(0.0953, abs=5e-5)
    assert kilograms(pounds=nitrite_lb / 0.0625) * 1000 == pytest.approx(43.2, abs=0.05)


def test_brine_with_a_weaker_cure():
    """forum.sausagemaking.org t 5017: 1000 + 110 + 124 + 32 g, 5.88 %, 10 %: 149 ppm, 11.07 %."""
    pickle = Pickle(water_kg=1.0, salt_kg=0.110, sugar_kg=0.124, cure=CURE_1_WEAK, cure_kg=0.032)
    batch = Batch(product=Cured.PUMPED_CUT, weighed_kg=5.0, cure=CURE_1_WEAK)
    assert judged_taken(batch, pickle, taken=0.10).nitrite_ppm == pytest.approx(148.63, abs=0.005)
    assert 100 * pickle.salt_share == pytest.approx(11.07, abs=0.005)


def test_sausage_156_ppm():
    """1 oz cure no. 1 to 25 lb meat: 156 ppm (156.25), many texts."""
    batch = Batch(product=Cured.MINCED, weighed_kg=25.0, cure=CURE_1)
    plan = judged_dry(batch, cure_kg=1 * OZ)
    assert plan.nitrite_ppm == pytest.approx(156.25)
    assert plan.findings[0].standing is Standing.WITHIN


def test_brine_limit_printed_200():
    """outdoorsmenforum: 4.2 oz to a gallon at 10 %: "200" printed; 197 on water, 191 with cure."""
    nitrite = 4.2 * OZ * 0.0625
    assert taken_ppm(nitrite, pickle_kg=8.33, taken=0.10) == pytest.approx(197, abs=0.5)
    assert taken_ppm(nitrite, pickle_kg=8.33 + 4.2 * OZ, taken=0.10) == pytest.approx(191, abs=0.5)


def test_salt_for_drying_and_its_nitrite():
    """Former 318.10(c)(3)(i), table 4 note 1: 3.56 of 121.5 is 2.93, cut to 2.9; 100 ppm."""
    total = 120 + 3.56 + 2 + 0.5 + 1 + 0.8 + 0.012
    assert total == pytest.approx(127.872)
    dry = 3.56 + 2 + 0.8 + 0.012
    assert total - dry == pytest.approx(121.5)
    assert sausage_salt_percent(salt_kg=3.56, total_kg=total, dry_kg=dry) == 2.9
    assert ingoing_ppm(0.012, green_kg=120.0) == pytest.approx(100.0)


def test_drying_days_rounded_as_the_notes_say():
    """Table 3B note 1: 20 d less 18 % is 17 d. Table 4 note 2: 23 d and 40 % more is 33 d."""
    assert shorter_drying_days(20, reduction=0.18) == 17
    assert longer_drying_days(23, increase=0.40) == 33


def test_ham_rub_175_and_700_ppm():
    """MSU P2648: 8 lb salt, 3 sugar, 2 oz nitrate, 0.5 oz nitrite; 1 oz to a lb (ppm derived)."""
    rub = rub_of(
        "ham rub", salt_kg=8, sugar_kg=3, nitrite_kg=0.5 * OZ, nitrate_kg=2 * OZ, source=PRACTICE
    )
    plan = judged_dry(Batch(product=Cured.DRY_CUT, weighed_kg=16.0, cure=rub), cure_kg=1.0)
    assert plan.nitrite_ppm == pytest.approx(175, abs=0.5)
    assert plan.nitrate_ppm == pytest.approx(700, abs=0.5)


def test_eight_two_two_is_1250_ppm_nitrate():
    """Farmers' Bulletin 2265: 2 oz nitrate to 100 lb, no nitrite (ppm derived)."""
    rub = rub_of("8-2-2", salt_kg=8.0, sugar_kg=2.0, nitrate_kg=2 * OZ, source=PRACTICE)
    batch = Batch(product=Cured.DRY_CUT, weighed_kg=100.0, cure=rub)
    plan = judged_dry(batch, cure_kg=10 + 2 * OZ)
    assert plan.nitrate_ppm == pytest.approx(1250.0)
    assert plan.nitrite_ppm == 0.0
    # above the 500 ppm of home-cure preparations, 21 CFR 172.170, though within the plant's
    assert plan.findings[1].standing is Standing.WITHIN


@pytest.mark.parametrize(("lb_per_gal", "ppm"), [(10.0, 200), (8.33, 240), (9.66, 207)])
def test_the_regulation_s_two_pounds_to_a_hundred_gallons(lb_per_gal, ppm):
    """9 CFR 424.21: 200 ppm only for a pickle of 10 lb/gal; 207 at 80 degrees (derived)."""
    assert taken_ppm(2.0, pickle_kg=100 * lb_per_gal, taken=0.10) == pytest.approx(ppm, abs=0.5)


def test_the_eighty_degree_pickle_weighs_9_66_lb_to_a_gallon():
    """8.328 lb water x gravity 1.160 (derived)."""
    assert 8.328 * brine_row(80).gravity == pytest.approx(9.66, abs=0.005)


SALOMETER = """
10 2.640 0.226 1.019 | 20 5.279 0.464 1.038 | 30 7.919 0.716 1.058 | 40 10.558 0.983 1.078
50 13.198 1.266 1.098 | 60 15.837 1.567 1.118 | 70 18.477 1.887 1.139 | 80 21.116 2.229 1.160
90 23.756 2.595 1.182 | 100 26.395 2.986 1.204
"""


def test_the_salometer_table():
    """Brine tables at 60 F (printed to 50 and at 100; 60 to 90 by the same formulas); gravity
    derived from Kaufmann's densities."""
    rows = [cell.split() for line in SALOMETER.strip().splitlines() for cell in line.split("|")]
    for row, (degrees, percent, lb_gal, gravity) in zip(BRINE_TABLE, rows, strict=True):
        assert row.degrees == float(degrees)
        assert 100 * row.salt == pytest.approx(float(percent), abs=0.0006)
        assert 8.328 * row.salt_kg_per_kg_water == pytest.approx(float(lb_gal), abs=0.0011)
        assert row.gravity == float(gravity)
        assert salometer_degrees(row.salt) == pytest.approx(row.degrees)


@pytest.mark.parametrize(
    ("method", "lb", "contact", "total"),
    [
        (HamMethod.METHOD_3, 18, 28, 40),
        (HamMethod.METHOD_3, 22, 33, 44),
        (HamMethod.METHOD_4, 20, 40, 60),
        (HamMethod.BAG, 18, 40, 40),
    ],
)
def test_ham_days(method, lb, contact, total):
    """Former 318.10(c)(3)(iv); days derived from its words."""
    days = ham_days(method, heaviest_kg=kilograms(pounds=lb))
    assert (days.contact, days.total) == (contact, total)


@pytest.mark.parametrize(
    ("piece", "lb", "days"),
    [
        (PickledPiece.HAM_OR_SHOULDER, 6, 24),
        (PickledPiece.HAM_OR_SHOULDER, 15, 60),
        (PickledPiece.BELLY, 10, 15),
        (PickledPiece.BELLY, 12, 21),
        (PickledPiece.LOIN, 9, 21),
    ],
)
def test_sweet_pickle_days(piece, lb, days):
    """Farmers' Bulletin 2265."""
    assert sweet_pickle_days(piece, heaviest_kg=kilograms(pounds=lb)) == days


def test_soak_and_rubs():
    """Farmers' Bulletin 2265: 2 min a day. MSU P2648: 1 oz/lb in 3 rubs, over 20 lb 1.5 in 4."""
    assert soak_minutes(30) == 60
    twenty, heavier = (rubbing(piece_kg=kilograms(pounds=lb)) for lb in (20, 24))
    assert (twenty.rubs, heavier.rubs) == (3, 4)
    assert twenty.mix_kg == pytest.approx(kilograms(pounds=20 * OZ))
    assert heavier.mix_kg == pytest.approx(kilograms(pounds=36 * OZ))


def test_drying_table_five():
    """Former 318.10(c)(3), table 5: days and what a day counts; the sum must pass 1.5."""
    days = "130:1.5 125:2 120:3 115:4 110:5 105:6 100:7 95:9 90:11 85:18 80:25 75:35"
    shares = ".67 .50 .33 .25 .20 .17 .14 .11 .091 .056 .040 .029"
    assert {int(k): float(v) for k, v in (d.split(":") for d in days.split())} == DRYING_DAYS
    assert [float(s) for s in shares.split()] == list(DRYING_PER_DAY.values())
    just = drying_finding([(110 - 32) / 1.8] * 7 + [(115 - 32) / 1.8 - 0.1])
    assert just.value == pytest.approx(1.6)
    assert just.standing is Standing.WITHIN


def test_months_in_the_freezer():
    """Farmers' Bulletin 2265: chops 3-4, roasts 4-8, fresh sausage 1-2, variety <=1, ham 1-2."""
    assert [(KEEPS[f].least, KEEPS[f].most) for f in Frozen] == [
        (3, 4),
        (4, 8),
        (1, 2),
        (0, 1),
        (1, 2),
    ]


def test_home_cure_figures():
    """21 CFR 172.170 and 172.175: 200 ppm nitrite in the finished meat."""
    found = ingoing_findings(Cured.DRY_CUT, nitrite_ppm=625.0)
    assert found[0].standing is Standing.WITHIN
    assert found[2].standing is Standing.OUTSIDE
