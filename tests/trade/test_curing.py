"""Cures: what was asked for comes out, more is more, slips and excess are refused by name."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stations.trade.brine import salometer_degrees
from stations.trade.cure_limits import CURE_LIMITS, Cured, ingoing_findings
from stations.trade.cure_times import HamMethod, days_that_count, drying_finding, ham_days
from stations.trade.cures import CURE_1, CURE_2, Cure, PercentForFraction
from stations.trade.curing import Batch, cure_kg_for, judged_dry, plan_dry
from stations.trade.errors import OutOfRange
from stations.trade.findings import OutsideRule, Standing
from stations.trade.pickles import (
    Pickle,
    judged_even,
    judged_taken,
    pick_up_finding,
    plan_even,
    plan_taken,
)
from stations.trade.sources import PRACTICE

DRY = [Cured.DRY_CUT, Cured.DRY_BACON, Cured.MINCED]
WET = [Cured.PUMPED_CUT, Cured.PUMPED_BACON, Cured.IMMERSED_CUT, Cured.IMMERSED_BACON]
BASE = Pickle(water_kg=10.0, salt_kg=1.2, sugar_kg=0.3, cure=CURE_1)


@given(
    product=st.sampled_from(DRY),
    kg=st.floats(0.5, 100.0),
    share=st.floats(0.05, 1.0),
    skin_on=st.booleans(),
)
def test_a_dry_plan_brings_what_was_asked_and_its_salt(product, kg, share, skin_on):
    ppm = share * min(CURE_LIMITS[product].sodium_ppm, 300.0)
    batch = Batch(product=product, weighed_kg=kg, cure=CURE_1, skin_on=skin_on)
    plan = plan_dry(batch, nitrite_ppm=ppm, salt=0.025, sugar=0.01)
    assert plan.nitrite_ppm == pytest.approx(ppm, rel=1e-6)
    assert plan.salt_share == pytest.approx(0.025)
    assert plan.findings[0].standing is Standing.WITHIN
    assert judged_dry(batch, cure_kg=plan.cure_kg).nitrite_ppm == plan.nitrite_ppm


@given(
    product=st.sampled_from(WET),
    kg=st.floats(0.5, 100.0),
    ppm=st.floats(10.0, 120.0),
    taken=st.floats(0.05, 0.4),
)
def test_a_pickle_plan_brings_what_was_asked(product, kg, ppm, taken):
    batch = Batch(product=product, weighed_kg=kg, cure=CURE_1)
    plan = plan_taken(batch, BASE, nitrite_ppm=ppm, taken=taken)
    assert plan.nitrite_ppm == pytest.approx(ppm, rel=1e-6)
    even = plan_even(batch, BASE, nitrite_ppm=ppm)
    assert even.nitrite_ppm == pytest.approx(ppm, rel=1e-6)
    nitrite = even.pickle.nitrite_kg
    in_meat, in_brine = (ppm / 1e6 * part_kg for part_kg in (batch.green_kg, even.pickle.total_kg))
    assert in_meat + in_brine == pytest.approx(nitrite, rel=1e-6)  # nothing lost


@given(cure_kg=st.floats(0.0, 0.4), more=st.floats(0.0, 0.4), taken=st.floats(0.02, 0.5))
def test_ppm_never_falls_and_no_finding_improves_with_more_cure(cure_kg, more, taken):
    dry = Batch(product=Cured.MINCED, weighed_kg=10.0, cure=CURE_1)
    wet = Batch(product=Cured.PUMPED_CUT, weighed_kg=10.0, cure=CURE_1)
    for less, plus in (
        (judged_dry(dry, cure_kg=cure_kg), judged_dry(dry, cure_kg=cure_kg + more)),
        (
            judged_taken(wet, replace(BASE, cure_kg=cure_kg), taken=taken),
            judged_taken(wet, replace(BASE, cure_kg=cure_kg + more), taken=taken),
        ),
        (
            judged_even(wet, replace(BASE, cure_kg=cure_kg)),
            judged_even(wet, replace(BASE, cure_kg=cure_kg + more)),
        ),
    ):
        assert less.nitrite_ppm <= plus.nitrite_ppm
        for one, other in zip(less.findings[:3], plus.findings[:3], strict=True):
            assert one.standing.rank <= other.standing.rank


@given(kg=st.floats(1.0, 100.0), less=st.floats(0.01, 0.9))
def test_less_meat_under_the_same_cure_is_more_ppm(kg, less):
    found = [
        judged_dry(Batch(product=Cured.DRY_CUT, weighed_kg=w, cure=CURE_1), cure_kg=0.1)
        for w in (kg, kg * less)
    ]
    assert found[0].nitrite_ppm <= found[1].nitrite_ppm


@pytest.mark.parametrize("product", DRY)
def test_exactly_the_limit_is_planned_and_a_hair_above_is_refused(product):
    limit = CURE_LIMITS[product].sodium_ppm
    for kg in (0.7, 3.3, 11.1, 47.0):
        batch = Batch(product=product, weighed_kg=kg, cure=CURE_1)
        assert plan_dry(batch, nitrite_ppm=limit, salt=0.1).nitrite_ppm == limit
        with pytest.raises(OutsideRule, match=r"Outside the limit: .*CFR 424"):
            plan_dry(batch, nitrite_ppm=limit + 0.001, salt=0.1)


def test_a_refusal_names_rule_value_limit_and_source():
    belly = Batch(product=Cured.PUMPED_BACON, weighed_kg=5.0, cure=CURE_1)
    with pytest.raises(OutsideRule) as caught:
        plan_taken(belly, BASE, nitrite_ppm=156.0, taken=0.1)
    assert str(caught.value) == (
        "Outside the limit: pumped bacon: ingoing nitrite is 156 ppm, at most 120 ppm. "
        "Weigh less cure: at most 120 ppm. [9 CFR 424.22(b)(1), pumped bacon (published)]"
    )
    assert "550 ppm ascorbate" in Cured.PUMPED_BACON.note


def test_nitrate_in_bacon_is_refused():
    belly = Batch(product=Cured.DRY_BACON, weighed_kg=5.0, cure=CURE_2)
    with pytest.raises(OutsideRule, match="No nitrate goes into bacon"):
        plan_dry(belly, nitrite_ppm=100.0, salt=0.03)


def test_a_hundredfold_slip_is_named():
    with pytest.raises(PercentForFraction, match=r"For 6.25 % enter 0.0625") as caught:
        Cure(name="cure", nitrite=6.25, source=PRACTICE)
    assert caught.value.meant == pytest.approx(0.0625)
    batch = Batch(product=Cured.PUMPED_CUT, weighed_kg=5.0, cure=CURE_1)
    with pytest.raises(PercentForFraction, match=r"For 10 % enter 0.1"):
        plan_taken(batch, BASE, nitrite_ppm=150.0, taken=10)
    with pytest.raises(PercentForFraction, match=r"For 2.5 % enter 0.025"):
        plan_dry(
            Batch(product=Cured.MINCED, weighed_kg=5.0, cure=CURE_1), nitrite_ppm=150.0, salt=2.5
        )
    with pytest.raises(PercentForFraction):
        salometer_degrees(21.1)


@pytest.mark.parametrize("nitrite", [1.0, 0.2, 0.00005, -0.1, float("nan")])
def test_a_strength_no_workshop_should_weigh_is_refused(nitrite):
    """Nitrite itself (1.0) is nothing to measure with a kitchen scale."""
    with pytest.raises((OutOfRange, PercentForFraction)):
        Cure(name="cure", nitrite=nitrite, source=PRACTICE)


def test_salt_below_what_the_cure_brings_is_refused_with_the_least():
    batch = Batch(product=Cured.DRY_CUT, weighed_kg=5.0, cure=CURE_1)
    with pytest.raises(OutOfRange, match="the cure alone brings that much") as caught:
        plan_dry(batch, nitrite_ppm=600.0, salt=0.006)
    assert caught.value.low == pytest.approx(600e-6 / 0.0625 * 0.9375)


def test_dry_and_wet_are_not_mixed_up():
    with pytest.raises(ValueError, match="plan the pickle instead"):
        plan_dry(
            Batch(product=Cured.PUMPED_CUT, weighed_kg=5.0, cure=CURE_1), nitrite_ppm=1.0, salt=0.02
        )
    with pytest.raises(ValueError, match="plan it dry instead"):
        plan_even(
            Batch(product=Cured.DRY_CUT, weighed_kg=5.0, cure=CURE_1), BASE, nitrite_ppm=100.0
        )


def test_a_base_with_cure_in_it_is_refused():
    batch = Batch(product=Cured.PUMPED_CUT, weighed_kg=5.0, cure=CURE_1)
    with pytest.raises(OutOfRange, match="Cure in the base"):
        plan_taken(batch, replace(BASE, cure_kg=0.1), nitrite_ppm=100.0, taken=0.1)


def test_a_cure_without_nitrite_cannot_bring_nitrite():
    rub = Cure(name="saltpetre rub", nitrite=0.0, nitrate=0.0125, source=PRACTICE)
    with pytest.raises(OutOfRange, match="Nitrite in saltpetre rub"):
        cure_kg_for(rub, nitrite_ppm=100.0, green_kg=1.0)


def test_too_little_nitrite_is_open_not_outside():
    found = ingoing_findings(Cured.MINCED, nitrite_ppm=60.0)
    assert found[3].standing is Standing.OPEN
    assert "fresh meat" in found[3].sentence()


def test_more_pick_up_than_planned_is_called_out():
    batch = Batch(product=Cured.PUMPED_CUT, weighed_kg=8.0, cure=CURE_1)
    plan = plan_taken(batch, BASE, nitrite_ppm=150.0, taken=0.10)
    assert pick_up_finding(plan, after_kg=8.8).standing is Standing.WITHIN
    assert pick_up_finding(plan, after_kg=8.81).standing is Standing.OUTSIDE


def test_drying_just_at_the_sum_is_not_past_it():
    """The table says more than 1.5: six days at 115 F count exactly 1.5."""
    at_115 = (115 - 32) / 1.8
    assert drying_finding([at_115] * 6).standing is Standing.OUTSIDE
    assert drying_finding([at_115] * 7).standing is Standing.WITHIN


def test_cold_days_do_not_count():
    assert days_that_count([1.6, 1.7, 0.0, 5.0]) == 2


@given(kg=st.floats(1.0, 24.0), more=st.floats(0.0, 1.0))
def test_a_heavier_ham_never_takes_fewer_days(kg, more):
    for method in HamMethod:
        one, other = (ham_days(method, heaviest_kg=w) for w in (kg, kg + more))
        assert one.total <= other.total
        assert one.contact + one.evening_out == one.total
