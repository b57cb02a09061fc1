"""Who stands where."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stations.trade.capacities import Lifter
from stations.trade.crews import (
    ChainCrew,
    arrange,
    arrangements,
    assign_places,
    phase_capacity,
    relative_load,
    relative_loads,
)
from stations.trade.errors import OutOfRange, TradeError
from stations.trade.loads import phase_loads
from stations.trade.places import Hog, Phase, Place, Setup
from stations.trade.teams import screen_team, team_fraction, team_note
from stations.trade.verdicts import Grade

LOADS = phase_loads(phase=Phase.LOWER, hog=Hog(live_kg=100), setup=Setup())
LOPSIDED = phase_loads(phase=Phase.LOWER, hog=Hog(live_kg=100), setup=Setup(left_share=0.6))
capacity = st.floats(min_value=1, max_value=80)


def lifters(*kilograms: float | None, heights: tuple[float | None, ...] = ()) -> list[Lifter]:
    """People named a, b, c ... with these lifts."""
    tall = heights or (None,) * len(kilograms)
    return [
        Lifter(id=chr(97 + i), comfortable_kg=kg, height_cm=cm)
        for i, (kg, cm) in enumerate(zip(kilograms, tall, strict=True))
    ]


@given(st.lists(capacity, min_size=4, max_size=6), st.sampled_from([LOADS, LOPSIDED]))
@settings(max_examples=50, deadline=None)
def test_no_arrangement_has_a_milder_worst_load(kilograms, loads):
    """Property: the best is the best of all, counted again by hand."""
    people = lifters(*kilograms)
    best = assign_places(people=people, loads=loads).worst_relative
    by_hand = min(
        max(
            loads.pull_kg[place] / person.comfortable_kg
            for place, person in zip(Place, four, strict=True)
        )
        for four in permutations(people, 4)
    )
    assert best == pytest.approx(by_hand)


@given(
    st.lists(capacity, min_size=4, max_size=6),
    st.integers(min_value=0, max_value=3),
    st.floats(min_value=0, max_value=40),
)
@settings(max_examples=50, deadline=None)
def test_a_stronger_person_never_worsens_the_worst_load(kilograms, which, stronger):
    """Property: make one of them stronger, or add someone, and the worst load does not grow."""
    people = lifters(*kilograms)
    before = assign_places(people=people, loads=LOADS).worst_relative
    raised = list(people)
    raised[which] = replace(raised[which], comfortable_kg=kilograms[which] + stronger)
    assert assign_places(people=raised, loads=LOADS).worst_relative <= before
    more = [*people, Lifter(id="new", comfortable_kg=max(kilograms) + stronger)]
    assert assign_places(people=more, loads=LOADS).worst_relative <= before


def test_the_strong_stand_in_front_and_one_to_each_side():
    """Fore places hold more; left and right are balanced."""
    best = assign_places(people=lifters(40, 20, 36, 16), loads=LOADS)
    assert {best.crew.fore_left.id, best.crew.fore_right.id} == {"a", "c"}
    sides = {best.crew.fore_left.id: best.crew.hind_left.id}
    sides[best.crew.fore_right.id] = best.crew.hind_right.id
    assert sides == {"a": "d", "c": "b"}


def test_heights_are_matched_across_a_chain_between_equals():
    """Tall with tall, short with short."""
    people = lifters(20, 20, 20, 20, heights=(190, 160, 162, 188))
    best = assign_places(people=people, loads=LOADS)
    assert best.height_gap_cm == 4
    assert {best.crew.fore_left.id, best.crew.fore_right.id} in ({"a", "d"}, {"b", "c"})


def test_the_stronger_side_takes_an_off_centre_load():
    """Left holds 60 %, so the two stronger stand left where that eases the worst."""
    best = assign_places(people=lifters(40, 20, 20, 30), loads=LOPSIDED)
    assert best.crew.fore_left.id == "a"


def test_every_arrangement_is_there_best_first_and_the_same_each_time():
    """24 of four, 120 of five; ranked by the worst."""
    found = arrangements(people=lifters(20, 25, 30, 35), loads=LOADS)
    assert len(found) == 24
    worst = [arrangement.worst_relative for arrangement in found]
    assert worst == sorted(worst)
    assert found == arrangements(people=lifters(20, 25, 30, 35), loads=LOADS)
    assert len(arrangements(people=lifters(20, 25, 30, 35, 40), loads=LOADS)) == 120


def test_the_table_agrees_with_the_arrangements():
    """The data a planner reads are the numbers an arrangement shows."""
    people = lifters(20, 25, 30, 35)
    table = relative_loads(people=people, loads=LOADS)
    best = assign_places(people=people, loads=LOADS)
    for place in Place:
        assert best.relative[place] == table[best.crew.at(place).id, place]
    assert arrange(crew=best.crew, loads=LOADS) == best


def test_someone_who_lifts_nothing_stands_where_least_is_held():
    """Their relative load is infinite everywhere, and it is said, not hidden."""
    best = assign_places(people=lifters(0, 30, 30, 30), loads=LOADS)
    assert best.worst_relative == float("inf")
    assert relative_load(load_kg=0, capacity_kg=0) == 0.0


def test_a_pull_counts_no_more_than_the_figure_for_pulling():
    """Someone who lifts 40 kg is still asked to pull 15."""
    strong = Lifter(id="a", comfortable_kg=40)
    assert phase_capacity(lifter=strong, phase=Phase.LOWER).kg == 40
    assert phase_capacity(lifter=strong, phase=Phase.RAMP).kg == 15
    assert phase_capacity(lifter=Lifter(id="b", comfortable_kg=9), phase=Phase.RAMP).kg == 9


@pytest.mark.parametrize(
    ("wrong", "match"),
    [
        (lambda: assign_places(people=lifters(20, 20, 20), loads=LOADS), "People 3 people"),
        (lambda: assign_places(people=lifters(*[20] * 9), loads=LOADS), "People 9 people"),
        (
            lambda: assign_places(people=[Lifter(id="a")] * 4, loads=LOADS),
            "Two people share an id",
        ),
        (
            lambda: ChainCrew(
                **dict.fromkeys(["fore_left", "fore_right"], Lifter(id="a")),
                hind_left=Lifter(id="b"),
                hind_right=Lifter(id="c"),
            ),
            "One person stands at two places",
        ),
        (lambda: Lifter(id="a", comfortable_kg=151), "Comfortable lift 151 kg"),
        (lambda: Lifter(id="a", height_cm=99), "Height 99 cm"),
    ],
)
def test_what_makes_no_sense_is_refused(wrong, match):
    """Each refusal names the figure."""
    with pytest.raises(TradeError, match=match):
        wrong()


def test_team_gaps_are_stated():
    """Silent to three; said at four and beyond; refused past eight."""
    assert team_note(people=3) == ""
    assert "No fraction is published for four" in team_note(people=4)
    assert "guide and do not lift" in team_note(people=5)
    with pytest.raises(OutOfRange, match="Team 9 people is outside 1 to 8"):
        team_fraction(people=9)


def test_a_team_of_five_always_asks_the_lead():
    """However light the load: more than four are unlikely to lift well together."""
    verdict = screen_team(load_kg=5, capacities_kg=[25] * 5)
    assert verdict.grade is Grade.ASK_LEAD
    assert screen_team(load_kg=5, capacities_kg=[25] * 4).grade is Grade.WITHIN


@given(
    st.lists(capacity, min_size=2, max_size=7),
    st.floats(min_value=1, max_value=400),
    st.floats(min_value=0, max_value=100),
)
def test_adding_weight_never_improves_the_team_rule(kilograms, kg, more):
    """Property."""
    light = screen_team(load_kg=kg, capacities_kg=kilograms)
    heavy = screen_team(load_kg=kg + more, capacities_kg=kilograms)
    assert heavy.grade.rank >= light.grade.rank
