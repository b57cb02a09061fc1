"""A hog, a station's settings and people: phases planned with what is there, shortfalls named."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stations.lifting import hog_of, setup_of
from stations.models import HandlingSetup, HogCover, Lifting, Station, Trough
from stations.screening import Way, plan_lift
from stations.trade.capacities import Lifter
from stations.trade.places import Phase, Place
from stations.trade.verdicts import Grade
from workshops.models import Animal


def settings(*, cover: HogCover | None = HogCover.HALF, **fields: object) -> HandlingSetup:
    """Unsaved settings of a trough; no ramp and no hoist unless given."""
    station = Station(name="Trough")
    if cover is not None:
        station.trough = Trough(station=station, cover=cover)
    return HandlingSetup(station=station, **fields)


def hog(live_kg: float, carcass_kg: float | None = None) -> Animal:
    return Animal(tag="7", live_kg=live_kg, carcass_kg=carcass_kg)


def ways(handling: HandlingSetup, live_kg: float) -> dict[Phase, Way]:
    return {move.phase: move.way for move in plan_lift(handling, hog(live_kg)).moves}


@pytest.mark.parametrize("kg", [80, 100, 120, 150, 180])
def test_a_dead_lift_is_never_planned_where_a_ramp_is_flat_enough(kg: float) -> None:
    """In and out go over the ramp, and the sentence says why not by hand."""
    plan = plan_lift(settings(ramp_deg=12), hog(kg))
    out = plan.moves[-1]
    assert (out.phase, out.way, out.is_short) == (Phase.LIFT_OUT, Way.RAMP, False)
    assert "over the ramp at 12°, rolled in the chains" in out.sentence("metric")
    assert "Straight by hand it needs an aid: load on a team of 4 is" in out.sentence("metric")


@pytest.mark.parametrize("kg", [80, 100, 120, 150, 180])
def test_where_nothing_is_there_the_shortfall_is_named_with_its_remedy(kg: float) -> None:
    """No ramp, no hoist: short, with the ramp that would do."""
    plan = plan_lift(settings(), hog(kg))
    assert [move.phase for move in plan.shortfalls] == [Phase.LOWER, Phase.LIFT_OUT]
    sentence = plan.shortfalls[0].sentence("us")
    assert "nothing here brings it within the screens" in sentence
    assert "Use a ramp at" in sentence


def test_a_ramp_too_steep_for_a_heavy_hog_is_not_used() -> None:
    """20 degrees carry 121 kg within the team rule; 148.5 kg need 18 (1.25 W sin 18 / 2 = 28.7)."""
    assert ways(settings(ramp_deg=20), 121.0)[Phase.LIFT_OUT] is Way.RAMP
    short = plan_lift(settings(ramp_deg=20), hog(148.5)).shortfalls
    assert "Use a ramp at 18 degrees" in short[0].sentence("us")


def test_a_hoist_is_planned_where_the_ramp_will_not_do() -> None:
    """The next aid at the station; an unknown rating asks the lead."""
    plan = plan_lift(settings(ramp_deg=40, hoisting="hoist"), hog(150))
    assert (plan.moves[0].way, plan.moves[0].grade) == (Way.HOIST, Grade.ASK_LEAD)
    rated = settings(hoisting="hoist", hoist_rated_kg=500, anchor_rated_kg=500)
    assert plan_lift(rated, hog(150)).moves[0].grade is Grade.WITHIN


def test_a_hoist_too_weak_is_no_aid() -> None:
    """Rated for 100 kg, a hog of 150: short."""
    weak = settings(hoisting="hoist", hoist_rated_kg=100, anchor_rated_kg=500)
    assert plan_lift(weak, hog(150)).moves[0].is_short


def test_a_half_covered_hog_stays_on_the_troughs_floor() -> None:
    """Half its weight in hands fails, the floor is there; what that asks is not published."""
    found = ways(settings(ramp_deg=14), 120.0)
    assert (found[Phase.SLOSH], found[Phase.ROLL]) == (Way.FLOOR, Way.FLOOR)
    plan = plan_lift(settings(ramp_deg=14), hog(120))
    assert "No figure is published for rolling a hog on a trough's floor." in plan.notes("us")


def test_a_hog_covered_whole_is_sloshed_in_the_chains() -> None:
    """17 kg of 120 are left to hold (stations.trade.loads), and holding still is kept short."""
    handling = settings(cover=HogCover.WHOLE, ramp_deg=14, chain_angle_deg=90)
    assert ways(handling, 120.0)[Phase.SLOSH] is Way.BY_HAND
    notes = plan_lift(handling, hog(120)).notes("us")
    assert any("at most 60 seconds" in note for note in notes)


def test_the_loads_of_the_places_are_the_most_of_any_phase_as_planned() -> None:
    """Over the ramp: 1.25 W sin(14) / 2, 56 % of it on the fore chain, two hands to a chain."""
    loads = plan_lift(settings(ramp_deg=14), hog(121)).place_loads
    total = 1.25 * 121 * 0.241922 / 2  # sin 14 degrees
    assert loads[Place.FORE_LEFT] == pytest.approx(0.28 * total, rel=1e-4)
    assert sum(loads.values()) == pytest.approx(total, rel=1e-4)


def test_someone_past_their_own_screen_is_named_with_load_and_limit() -> None:
    """Straight by hand 121 kg put 39.1 kg on a fore hand at 60 degrees (33.9 / sin 60)."""
    plan = plan_lift(settings(), hog(121))
    beyond = plan.beyond(Place.FORE_LEFT, Lifter(id="a", comfortable_kg=30.0))
    assert beyond is not None
    assert (round(beyond.load_kg, 1), beyond.limit_kg, beyond.is_assumed) == (39.1, 30.0, False)
    assert beyond.sentence("Ada", "metric") == (
        "Ada at fore-left would bear 39 kg (into the water); what they gave is 30 kg. "
        "Choose someone who lifts more, or an aid."
    )
    assert plan.beyond(Place.FORE_LEFT, Lifter(id="a", comfortable_kg=45.0)) is None


def test_a_blank_lift_is_the_starting_value_of_each_posture_and_says_so() -> None:
    """13 kg from knee to waist (from memory), 15 kg of pull on a line (published, INDG143)."""
    blank = Lifter(id="a")
    by_hand = plan_lift(settings(), hog(121)).capacity(blank)
    hauled = plan_lift(settings(ramp_deg=14), hog(121)).capacity(blank)
    assert (by_hand.kg, by_hand.is_assumed, by_hand.source.trust.words) == (13, True, "from memory")
    assert (hauled.kg, hauled.is_assumed, hauled.source.trust.words) == (15.0, True, "published")


def test_the_carcass_weight_counts_once_the_hog_hangs_and_never_before() -> None:
    """Into the water goes the whole hog, whatever was weighed later."""
    weighed = hog(120.0, carcass_kg=88.0)
    assert hog_of(weighed, Lifting.HANG).handled_kg == 88.0
    assert hog_of(weighed, Lifting.CHAINS).handled_kg == 120.0
    assert hog_of(hog(120.0), Lifting.HANG).handled_kg == 120.0


def test_a_fore_share_weighed_here_no_longer_rests_on_memory() -> None:
    """The note goes with the figure from memory."""
    assert not setup_of(settings()).fore_share_source.trust.may_decide
    assert setup_of(settings(fore_share_weighed=True)).fore_share_source.trust.may_decide


def test_dragging_a_hog_needs_boards_or_a_winch() -> None:
    """60 kg of pull on the level at friction 0.5 against 30 for four; wet boards bring 24."""
    bare = plan_lift(settings(work="drag"), hog(120))
    boards = plan_lift(settings(work="drag", has_boards=True), hog(120))
    assert bare.moves[0].is_short
    assert (boards.moves[0].way, boards.moves[0].is_short) == (Way.BOARDS, False)


@given(
    kg=st.floats(20, 250),
    more=st.floats(0, 200),
    ramp=st.one_of(st.none(), st.floats(5, 45)),
    hoisting=st.sampled_from(["none", "hoist", "tackle"]),
)
def test_adding_weight_never_mends_a_shortfall_nor_improves_a_bare_verdict(
    kg: float, more: float, ramp: float | None, hoisting: str
) -> None:
    """Property: a phase that is short stays short for a heavier hog; bare hands get no milder."""
    handling = settings(ramp_deg=ramp, hoisting=hoisting, hoist_rated_kg=150)
    light, heavy = plan_lift(handling, hog(kg)), plan_lift(handling, hog(kg + more))
    for one, other in zip(light.moves, heavy.moves, strict=True):
        assert one.by_hand.grade.rank <= other.by_hand.grade.rank
        assert other.is_short or not one.is_short


def test_nothing_is_called_safe() -> None:
    """No sentence of any plan certifies anything."""
    for handling in (settings(), settings(ramp_deg=14), settings(hoisting="hoist")):
        plan = plan_lift(handling, hog(120))
        said = [*(move.sentence("us") for move in plan.moves), *plan.notes("us"), plan.aids]
        assert not any("safe" in sentence.lower() for sentence in said)
