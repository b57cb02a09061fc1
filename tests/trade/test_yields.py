"""Yields and reconciling: weight is neither made nor lost, and what is missing is said."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stations.trade.carcass_tables import TABLES, Part, range_over_tables
from stations.trade.errors import OutOfRange
from stations.trade.findings import Standing
from stations.trade.reconcile import Stage, Weights, reconcile
from stations.trade.yields import (
    DRESSING,
    Dressed,
    cold_carcass,
    cured_weight,
    cut_plan,
    hot_carcass,
    skinning_loss,
)


@given(kg=st.floats(10.0, 250.0), table=st.sampled_from(TABLES))
def test_the_parts_of_a_plan_add_up_to_the_carcass(kg, table):
    plan = cut_plan(kg, table)
    assert sum(one.likely_kg for one in plan.values()) == pytest.approx(kg)
    assert all(one.low_kg <= one.likely_kg + 1e-9 <= one.high_kg + 1e-6 for one in plan.values())


@given(
    live=st.floats(60.0, 200.0),
    shares=st.tuples(*[st.floats(0.3, 1.0)] * 3),
    parts=st.lists(st.floats(0.1, 20.0), min_size=1, max_size=6),
    aside=st.floats(0.0, 10.0),
)
def test_in_is_out_and_aside_and_unexplained_at_every_stage(live, shares, parts, aside):
    hot = live * shares[0]
    cold = hot * shares[1]
    cuts = {str(n): kg for n, kg in enumerate(parts)}
    packed = {"all": sum(parts) * shares[2]}
    weights = Weights(
        live_kg=live,
        hot_kg=hot,
        cold_kg=cold,
        cuts_kg=cuts,
        packages_kg=packed,
        aside_kg={Stage.CUTTING: {"bones": aside}},
    )
    steps = reconcile(weights)
    assert [step.stage for step in steps] == list(Stage)
    for step in steps:
        assert step.in_kg == pytest.approx(step.out_kg + step.aside_kg + step.unexplained_kg)
    whole = sum(step.unexplained_kg + step.aside_kg for step in steps)
    assert whole + sum(packed.values()) == pytest.approx(live)


def test_more_out_than_in_is_outside():
    step = reconcile(Weights(hot_kg=80.0, cold_kg=82.0))[0]
    assert step.standing is Standing.OUTSIDE
    assert "more came out than went in" in step.sentence


def test_a_part_left_unweighed_is_asked_for():
    weights = Weights(cold_kg=80.0, cuts_kg={"ham": 20.0, "loin": 18.0, "side": 30.0})
    step = reconcile(weights)[0]
    assert step.unexplained_kg == pytest.approx(12.0)
    assert step.standing is Standing.OPEN
    assert "Look for a part not weighed" in step.sentence


def test_offal_weighed_is_offal_explained():
    bare = Weights(live_kg=120.0, hot_kg=86.0)
    weighed = Weights(
        live_kg=120.0, hot_kg=86.0, aside_kg={Stage.DRESSING: {"offal": 20.0, "blood": 4.0}}
    )
    for weights in (bare, weighed):
        assert reconcile(weights)[0].standing is Standing.WITHIN
    assert reconcile(weighed)[0].unexplained_kg == pytest.approx(10.0)


def test_stages_without_both_weights_are_left_out():
    assert reconcile(Weights(live_kg=100.0, cold_kg=70.0)) == ()


def test_the_basis_changes_what_is_usual():
    skinned = reconcile(Weights(live_kg=100.0, hot_kg=66.0, dressed=Dressed.SKINNED))[0]
    scalded = reconcile(Weights(live_kg=100.0, hot_kg=66.0, dressed=Dressed.SKIN_ON))[0]
    assert (skinned.standing, scalded.standing) == (Standing.WITHIN, Standing.OPEN)
    assert not DRESSING[Dressed.SKINNED].source.trust.may_decide


def test_what_is_still_on_raises_the_carcass():
    likely = [hot_carcass(110.0, d).likely_kg for d in Dressed]
    assert likely[0] > likely[1] > likely[3]


def test_skinning_says_both_reckonings_and_their_trust():
    loss = skinning_loss(live_kg=120.0, carcass_kg=87.0)
    assert loss.sentence.startswith("The scald kept 6 to 17 kg")
    assert "common practice" in loss.sentence


def test_refusals():
    with pytest.raises(OutOfRange, match="Live weight"):
        hot_carcass(5.0, Dressed.SKIN_ON)
    with pytest.raises(OutOfRange, match="Hot carcass"):
        cold_carcass(1.0)
    with pytest.raises(OutOfRange, match="less than live"):
        skinning_loss(live_kg=100.0, carcass_kg=120.0)
    with pytest.raises(OutOfRange, match="Ham"):
        Weights(cuts_kg={"ham": -1.0})
    with pytest.raises(ValueError, match="No yield is known for 'boiled'"):
        cured_weight(5.0, stage="boiled", dry=True)


def test_a_part_no_table_lists_has_no_range():
    assert range_over_tables(Part.HEAD) != (0.0, 0.0)
    assert all(low <= high for low, high in map(range_over_tables, Part))
