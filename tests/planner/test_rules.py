"""The rules about one person and one duty, one by one."""

from __future__ import annotations

import pytest

from scheduling.planner.errors import BadProblem
from scheduling.planner.problem import FilledBy, Limit, Part, Placed, Window
from scheduling.planner.rules import (
    Rule,
    answers,
    candidates,
    overlap,
    reasons_against,
    stays,
    too_soon,
    why_not,
)
from tests.planner.courses import duty, person, rotation, step

MORNING = step("dip", 60, 90, "scrape")


def against(who, what, at=MORNING):
    """Why the person may not take the duty at the step, through the public question."""
    return why_not(who.id, what.id, at.id, rotation([who], [what], [at]))


def test_every_rule_has_a_sentence_of_its_own():
    sentences = {rule.sentence for rule in Rule}
    assert len(sentences) == len(Rule)
    assert all(sentence.endswith(".") for sentence in sentences)


def test_nothing_speaks_against_an_able_person_who_is_here():
    assert against(person("ana"), duty("scrape")) is None


@pytest.mark.parametrize(
    ("part", "filled_by", "may"),
    [
        (Part.ATTENDEE, FilledBy.ATTENDEES, True),
        (Part.HELPER, FilledBy.ATTENDEES, False),
        (Part.LEAD, FilledBy.ATTENDEES, False),
        (Part.ATTENDEE, FilledBy.STAFF, False),
        (Part.HELPER, FilledBy.STAFF, True),
        (Part.LEAD, FilledBy.STAFF, True),
        (Part.HELPER, FilledBy.LEAD, False),
        (Part.LEAD, FilledBy.LEAD, True),
    ],
)
def test_a_duty_is_taken_by_those_it_is_meant_for(part, filled_by, may):
    found = against(person("ana", part=part), duty("scrape", filled_by=filled_by))
    assert found == (None if may else Rule.FILLED_BY)


@pytest.mark.parametrize(
    ("windows", "here"),
    [
        ([(60, 90)], True),
        ([(61, 200)], False),
        ([(0, 89)], False),
        ([(0, 70), (70, 200)], True),
        ([(0, 70), (71, 200)], False),
        ([(80, 200), (0, 85)], True),
    ],
)
def test_presence_means_the_whole_step_and_joins_windows_that_touch(windows, here):
    present = tuple(Window(start=start, end=end) for start, end in windows)
    found = against(person("ana", present=present), duty("scrape"))
    assert found == (None if here else Rule.PRESENCE)


def test_adults_and_limits_are_two_rules():
    minor = person("mo", limits=frozenset({Limit.UNDER_18}))
    wrist = person("wil", limits=frozenset({Limit.NO_LIFTING}))
    what = duty("scrape", ruled_out_by=frozenset({Limit.UNDER_18, Limit.NO_LIFTING}))
    assert against(minor, what) is Rule.ADULTS
    assert against(wrist, what) is Rule.LIMITS


def test_a_limit_that_the_duty_does_not_mind_rules_nothing_out():
    seated = person("ana", limits=frozenset({Limit.SEATED_ONLY}))
    assert against(seated, duty("scrape", ruled_out_by=frozenset({Limit.NO_KNIVES}))) is None


def test_the_knife_floor_is_reached_at_its_own_value():
    what = duty("scrape", knife_floor=2)
    assert against(person("ana", knife=1), what) is Rule.KNIFE_FLOOR
    assert against(person("ana", knife=2), what) is None


def test_an_unknown_lift_rules_nothing_out():
    what = duty("scrape", lift_floor_kg=20.0)
    assert against(person("ana", lift_kg=19.9), what) is Rule.LIFT_FLOOR
    assert against(person("ana", lift_kg=20.0), what) is None
    assert against(person("ana", lift_kg=None), what) is None


def test_all_reasons_come_in_the_order_of_the_rules():
    what = duty(
        "scrape",
        filled_by=FilledBy.LEAD,
        ruled_out_by=frozenset({Limit.UNDER_18, Limit.NO_KNIVES}),
        knife_floor=1,
        lift_floor_kg=10.0,
    )
    who = person(
        "mo",
        limits=frozenset({Limit.UNDER_18, Limit.NO_KNIVES}),
        lift_kg=5.0,
        present=(Window(start=0, end=1),),
    )
    assert list(reasons_against(who, what, MORNING)) == [
        Rule.FILLED_BY,
        Rule.PRESENCE,
        Rule.ADULTS,
        Rule.LIMITS,
        Rule.KNIFE_FLOOR,
        Rule.LIFT_FLOOR,
    ]


def test_a_name_that_is_not_in_the_problem_is_refused():
    problem = rotation([person("ana")], [duty("scrape")], [MORNING])
    with pytest.raises(BadProblem, match="'bo'"):
        why_not("bo", "scrape", "dip", problem)


def test_back_to_back_is_not_overlapping():
    assert not overlap(step("a", 0, 10), step("b", 10, 20))
    assert overlap(step("a", 0, 11), step("b", 10, 20))


def test_rest_is_enough_when_it_is_exactly_the_rest_time():
    assert not too_soon(step("a", 0, 10), step("b", 40, 50), rest_min=30)
    assert too_soon(step("a", 0, 11), step("b", 40, 50), rest_min=30)
    assert too_soon(step("b", 40, 50), step("a", 0, 11), rest_min=30)


def test_windows_inside_one_another_are_one_stay():
    windows = [Window(start=0, end=100), Window(start=20, end=30), Window(start=200, end=210)]
    assert stays(windows) == [Window(start=0, end=100), Window(start=200, end=210)]


def test_a_place_left_empty_is_any_place():
    left = Placed(step="dip", duty="chains", person="ana", place="left")
    assert answers(left, Placed(step="dip", duty="chains", person="ana"))
    assert not answers(left, Placed(step="dip", duty="chains", person="ana", place="right"))
    assert not answers(left, Placed(step="dip", duty="timer", person="ana"))


def test_candidates_name_each_place_of_each_able_person():
    pull = duty("scrape", 2, 2, places=("left", "right"), knife_floor=1)
    problem = rotation([person("ana", knife=1), person("bo")], [pull], [MORNING])
    assert [(one.person, one.place) for one in candidates(problem)] == [
        ("ana", "left"),
        ("ana", "right"),
    ]
