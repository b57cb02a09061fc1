"""Chains, slings and what a hog hangs from."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stations.trade.errors import OutOfRange
from stations.trade.hanging import HangingPoint, screen_hanging, tackle
from stations.trade.rigging import (
    Chain,
    ChainGrade,
    ChainSize,
    chain_warnings,
    leg_load_kg,
    screen_cradle,
    screen_overhead,
    sling_limit_kg,
)
from stations.trade.verdicts import Grade

chains = st.builds(
    Chain,
    size=st.sampled_from([ChainSize.QUARTER, ChainSize.HALF]),
    grade=st.one_of(st.none(), st.sampled_from(ChainGrade)),
    is_tagged=st.booleans(),
    legs=st.integers(min_value=2, max_value=4),
    angle_deg=st.floats(min_value=30, max_value=90),
)


def test_the_weakest_chain_holds_the_heaviest_hog_in_hands():
    """Strength is almost never the limit: 180 kg on two legs at 30 degrees against 580."""
    chain = Chain(size=ChainSize.QUARTER, angle_deg=30)
    assert leg_load_kg(load_kg=180, legs=2, angle_deg=30) == pytest.approx(180)
    assert screen_cradle(chain=chain, load_kg=180).grade is Grade.WITHIN
    assert screen_cradle(chain=chain, load_kg=600).grade is Grade.NEEDS_AID


@pytest.mark.parametrize("grade", [None, ChainGrade.G30, ChainGrade.G43, ChainGrade.G70])
def test_only_alloy_hangs_overhead(grade):
    """However light the hog and however strong the chain."""
    chain = Chain(size=ChainSize.HALF, grade=grade, is_tagged=True)
    verdict = screen_overhead(chain=chain, load_kg=1)
    assert verdict.grade is Grade.NEEDS_AID
    assert verdict.remedy == "Use tagged alloy chain"


def test_alloy_without_a_tag_asks_the_lead():
    """Tagged and within its limit it passes the screen."""
    bare = Chain(size=ChainSize.QUARTER, grade=ChainGrade.G80)
    assert screen_overhead(chain=bare, load_kg=180).grade is Grade.ASK_LEAD
    tagged = Chain(size=ChainSize.QUARTER, grade=ChainGrade.G80, is_tagged=True)
    assert screen_overhead(chain=tagged, load_kg=180).grade is Grade.WITHIN
    assert chain_warnings(chain=tagged) == ()


def test_warnings_say_what_is_wrong_with_a_bare_chain():
    """No stamp, not for overhead, no tag."""
    assert chain_warnings(chain=Chain(size=ChainSize.HALF)) == (
        "No grade is stamped: it counts as grade 30, the lowest.",
        "Grade 30 is not rated for overhead lifting.",
        "Lifting chain carries a tag: size, grade, rated capacity, reach.",
    )


@given(chains, st.floats(min_value=0, max_value=4000), st.floats(min_value=0, max_value=900))
def test_adding_weight_never_improves_a_chains_verdict(chain, kg, more):
    """Property, in hands and overhead."""
    for screen in (screen_cradle, screen_overhead):
        light, heavy = screen(chain=chain, load_kg=kg), screen(chain=chain, load_kg=kg + more)
        assert heavy.grade.rank >= light.grade.rank


@given(
    st.floats(min_value=0, max_value=400),
    st.integers(min_value=1, max_value=8),
    st.floats(min_value=0.5, max_value=1),
)
def test_friction_never_helps_a_tackle(kg, parts, efficiency):
    """Property: the pull is at least W/N, and the anchor sees load and pull."""
    loads = tackle(load_kg=kg, parts=parts, sheave_efficiency=efficiency)
    assert loads.hauling_kg >= kg / parts - 1e-9
    assert loads.anchor_kg == pytest.approx(kg + loads.hauling_kg)


def test_each_rating_is_compared_with_its_own_load():
    """A tackle of two parts on a 120 kg hog: 120 on the tackle, 180 on the beam."""
    point = HangingPoint(hoist_rated_kg=120, anchor_rated_kg=170, is_tackle=True, parts=2)
    hoist, anchor = screen_hanging(point=point, load_kg=120)
    assert hoist.grade is Grade.WITHIN
    assert (anchor.grade, anchor.value) == (Grade.NEEDS_AID, 180)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: leg_load_kg(load_kg=10, legs=5, angle_deg=60),
        lambda: leg_load_kg(load_kg=10, legs=1, angle_deg=60),
        lambda: sling_limit_kg(single_kg=-1, legs=2, angle_deg=60),
        lambda: tackle(load_kg=10, parts=0),
        lambda: screen_hanging(point=HangingPoint(), load_kg=700),
    ],
)
def test_what_no_table_covers_is_refused(wrong):
    """Outside its range each raises."""
    with pytest.raises(OutOfRange):
        wrong()
