"""Screening a move: three grades, the number that decided it, and the cheapest aid."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stations.trade.capacities import Figure, Lifter
from stations.trade.crews import ChainCrew, assign_places
from stations.trade.handling import Aid, AidOutcome, Move, Screening, screen_move
from stations.trade.hanging import HangingPoint
from stations.trade.loads import phase_loads
from stations.trade.places import Held, Hog, Hoisting, Phase, Setup
from stations.trade.sources import Source, Trust
from stations.trade.verdicts import Grade

MEASURED = Source(title="measured on the day", trust=Trust.COMPUTED)


def crew(*lifts: float | None, figure: Figure = Figure.LOWER) -> ChainCrew:
    """Four people named a to d, in the order of the places."""
    a, b, c, d = (
        Lifter(id=name, comfortable_kg=kg, figure=figure)
        for name, kg in zip("abcd", lifts, strict=True)
    )
    return ChainCrew(fore_left=a, fore_right=b, hind_left=c, hind_right=d)


STRONG = crew(25, 25, 25, 25)
lifts = st.one_of(st.none(), st.floats(min_value=0, max_value=60))
setups = st.builds(
    Setup,
    fore_share=st.floats(min_value=0.4, max_value=0.7),
    left_share=st.floats(min_value=0.3, max_value=0.7),
    chain_angle_deg=st.floats(min_value=30, max_value=90),
    held=st.sampled_from(Held),
    submerged=st.floats(min_value=0, max_value=1),
    ramp_deg=st.floats(min_value=1, max_value=60),
    slope_deg=st.floats(min_value=0, max_value=20),
    hoisting=st.sampled_from(Hoisting),
    tackle_parts=st.integers(min_value=1, max_value=8),
)
crews = st.builds(crew, lifts, lifts, lifts, lifts)
points = st.sampled_from([HangingPoint(), HangingPoint(hoist_rated_kg=150, anchor_rated_kg=200)])


def aid_of(found: Screening) -> AidOutcome:
    """The aid named, which must be there."""
    assert found.aid is not None
    return found.aid


def lift_out(kg: float, people: ChainCrew = STRONG) -> Screening:
    return screen_move(move=Move(phase=Phase.LIFT_OUT, hog=Hog(live_kg=kg), crew=people))


@pytest.mark.parametrize("kg", [80, 100, 120, 150, 180])
@pytest.mark.parametrize(
    "people", [STRONG, crew(None, None, None, None), crew(39.5, 39.5, 39.5, 39.5)]
)
def test_a_full_dead_lift_needs_an_aid_and_a_ramp_or_hoist_is_planned(kg, people):
    """No four pass a dead lift of an 80 to 180 kg hog, and what to use instead is named."""
    found = lift_out(kg, people)
    assert found.grade is Grade.NEEDS_AID
    assert found.aid is not None
    assert aid_of(found).aid in {Aid.RAMP, Aid.HOIST}
    assert found.deciding.remedy == f"Use {found.aid.words}"
    assert found.aid.verdict.grade is not Grade.NEEDS_AID


@pytest.mark.parametrize("kg", [80, 120, 180])
def test_each_published_four_person_screen_says_no_to_a_dead_lift(kg):
    """Team rule, worst person (above 25 kg each) and military standard; the charts never pass."""
    verdicts = lift_out(kg).verdicts
    grades = {verdict.rule.split(" (")[0]: verdict.grade for verdict in verdicts}
    assert grades["Load on a team of 4"] is Grade.NEEDS_AID
    assert grades["Team lift by the military standard"] is Grade.NEEDS_AID
    assert grades["Team lift by the assessment charts"] is not Grade.WITHIN


def test_the_sentence_names_the_number_and_the_ramp():
    """A person can act on it without looking anything up."""
    assert lift_out(120).deciding.sentence() == (
        "Needs an aid: load on a team of 4 is 120 kg against 50 kg. Use a ramp at 23 degrees."
    )


def test_the_ramp_named_is_the_steepest_whole_degree_that_passes():
    """One degree more and a screen says no."""
    found = lift_out(120)
    aided = aid_of(found).move
    assert aided.setup.ramp_deg == 23
    steeper = replace(aided, setup=replace(aided.setup, ramp_deg=24.0))
    assert screen_move(move=steeper).grade is Grade.NEEDS_AID


def test_where_no_ramp_is_flat_enough_a_hoist_is_named():
    """Two who may pull hardly anything cannot roll a big hog up even ten degrees."""
    found = lift_out(180, crew(5, 5, 5, 5))
    assert aid_of(found).aid is Aid.HOIST
    assert {tried.aid for tried in found.aids} == {Aid.RAMP, Aid.SPLIT, Aid.HOIST}


def test_guides_are_enough_where_an_off_centre_grip_is_what_fails():
    """Three quarters on the left is too much for two; centred it is not."""
    move = Move(
        phase=Phase.LOWER,
        hog=Hog(live_kg=45),
        crew=crew(16, 30, 16, 30),
        setup=Setup(left_share=0.7),
    )
    found = screen_move(move=move)
    assert found.deciding.rule == "Load at fore-left"
    assert aid_of(found).aid is Aid.GUIDES


def test_a_level_drag_of_120_kg_needs_boards():
    """60 kg of pull against 40 kg for four, even by the higher figure; wet boards bring 24."""
    people = crew(40, 40, 40, 40, figure=Figure.HIGHER)
    found = screen_move(move=Move(phase=Phase.DRAG, hog=Hog(live_kg=120), crew=people))
    assert (found.deciding.value, found.deciding.limit) == (60.0, 40.0)
    assert aid_of(found).aid is Aid.BOARDS
    assert aid_of(found).move.setup.drag_mu == 0.2


def test_a_published_pass_for_four_counts_three_lifters():
    """Between 37.5 and 50 kg no published fraction says yes, so the lead is asked."""
    grades = [lift_out(kg).grade for kg in (30, 39, 51)]
    assert grades == [Grade.WITHIN, Grade.ASK_LEAD, Grade.NEEDS_AID]


def test_a_pass_that_rests_on_memory_asks_the_lead():
    """Afloat, 90 kg passes only by a density and a fore share nobody published."""
    hog = Hog(live_kg=90)
    found = screen_move(move=Move(phase=Phase.SLOSH, hog=hog, crew=STRONG))
    assert found.grade is Grade.ASK_LEAD
    assert not found.deciding.source.trust.may_decide
    assert found.deciding.sentence() == (
        "Ask the lead: load on a team of 4 is 12.8 kg against 37.5 kg. That rests, from memory, "
        "on: the fore share of a hog's weight, 55 to 58 %; the density of a whole hog, 1020 to "
        "1050 kg/m3."
    )
    measured = Setup(body_source=MEASURED, fore_share_source=MEASURED)
    move = Move(phase=Phase.SLOSH, hog=hog, crew=STRONG, setup=measured)
    assert screen_move(move=move).grade is Grade.WITHIN


def test_an_unknown_lift_is_assumed_and_said_to_be():
    """Blank means the cautious starting value; from memory, it cannot pass alone."""
    found = lift_out(15, crew(None, 25, 25, 25))
    assert (
        "Fore-left: Comfortable lift not given: 13 kg assumed, a cautious starting value "
        "(from memory)." in found.notes
    )
    assert lift_out(15).grade is Grade.WITHIN
    assert found.grade is Grade.ASK_LEAD


def test_hanging_with_unknown_ratings_asks_the_lead():
    """The hands hold nothing on a hoist; what it hangs from must be known."""
    move = Move(
        phase=Phase.HANG,
        hog=Hog(live_kg=120),
        crew=STRONG,
        setup=Setup(hoisting=Hoisting.HOIST),
    )
    assert screen_move(move=move).grade is Grade.ASK_LEAD
    rated = replace(move, point=HangingPoint(hoist_rated_kg=250, anchor_rated_kg=500))
    assert screen_move(move=rated).grade is Grade.WITHIN
    weak = replace(move, point=HangingPoint(hoist_rated_kg=100, anchor_rated_kg=500))
    found = screen_move(move=weak)
    assert found.grade is Grade.NEEDS_AID
    assert found.aid is None
    assert found.deciding.remedy == "Use one rated for the load"


def test_a_tackle_loads_its_anchor_with_the_pull_as_well():
    """Four parts: 150 kg on the anchor of a 120 kg hog."""
    point = HangingPoint(hoist_rated_kg=120, anchor_rated_kg=149)
    smooth = Setup(sheave_efficiency=1.0)
    move = Move(phase=Phase.HANG, hog=Hog(live_kg=120), crew=STRONG, setup=smooth, point=point)
    found = screen_move(move=move)
    assert found.deciding.rule == "Load on the anchor"
    assert found.deciding.value == pytest.approx(150)


def test_a_slack_corner_is_named_in_the_notes():
    """A stiff body on four hands may leave one of them with far more."""
    assert "If one corner goes slack, one hand may take 67 kg (computed from named inputs)." in (
        lift_out(120).notes
    )


def test_nothing_is_called_safe():
    """No sentence of any screening certifies anything."""
    for phase in Phase:
        found = screen_move(move=Move(phase=phase, hog=Hog(live_kg=20), crew=STRONG))
        said = [verdict.sentence() for verdict in (*found.verdicts, found.deciding)]
        assert "safe" not in " ".join([*said, *found.notes]).lower()


@settings(max_examples=150, deadline=None)
@given(
    phase=st.sampled_from(Phase),
    kg=st.floats(min_value=1, max_value=400),
    more=st.floats(min_value=0, max_value=100),
    people=crews,
    setup=setups,
    point=points,
)
def test_adding_weight_never_improves_a_verdict(phase, kg, more, people, setup, point):
    """Property: the grade of a heavier hog is no milder."""
    light = Move(phase=phase, hog=Hog(live_kg=kg), crew=people, setup=setup, point=point)
    heavy = replace(light, hog=Hog(live_kg=kg + more))
    assert screen_move(move=heavy).grade.rank >= screen_move(move=light).grade.rank


@settings(max_examples=100, deadline=None)
@given(kg=st.floats(min_value=5, max_value=300), people=crews, setup=setups)
def test_the_aid_named_is_no_worse_than_what_it_mends(kg, people, setup):
    """Property: an aid is only named where no screen then says no."""
    move = Move(phase=Phase.LIFT_OUT, hog=Hog(live_kg=kg), crew=people, setup=setup)
    found = screen_move(move=move)
    if found.aid is not None:
        assert found.grade is Grade.NEEDS_AID
        assert screen_move(move=found.aid.move).grade is not Grade.NEEDS_AID


@settings(max_examples=100, deadline=None)
@given(
    phase=st.sampled_from([Phase.LOWER, Phase.SLOSH, Phase.LIFT_OUT, Phase.RAMP, Phase.DRAG]),
    kg=st.floats(min_value=1, max_value=300),
    people=crews,
    stronger=st.floats(min_value=0, max_value=30),
)
def test_a_stronger_person_never_worsens_a_crews_grade(phase, kg, people, stronger):
    """Property: raise one given lift, and no screen gets graver."""
    weak = people.fore_left
    if weak.comfortable_kg is None:
        return
    raised = replace(weak, comfortable_kg=weak.comfortable_kg + stronger)
    hog = Hog(live_kg=kg)
    before = screen_move(move=Move(phase=phase, hog=hog, crew=people))
    after = screen_move(move=Move(phase=phase, hog=hog, crew=replace(people, fore_left=raised)))
    assert after.grade.rank <= before.grade.rank


def test_a_crew_can_be_assigned_and_screened_in_one_go():
    """The weak go behind, where there is less to hold."""
    hog = Hog(live_kg=48)
    people = [
        Lifter(id=name, comfortable_kg=kg)
        for name, kg in (("ann", 16), ("bo", 25), ("cy", 16), ("di", 25))
    ]
    loads = phase_loads(phase=Phase.LOWER, hog=hog, setup=Setup())
    best = assign_places(people=people, loads=loads)
    assert {best.crew.hind_left.id, best.crew.hind_right.id} == {"ann", "cy"}
    found = screen_move(move=Move(phase=Phase.LOWER, hog=hog, crew=best.crew))
    assert (found.deciding.value, found.deciding.limit) == (48.0, 41.0)
