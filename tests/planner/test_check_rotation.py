"""The re-check flags a plan broken by hand, one per rule, and passes the whole one."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduling.planner.check_rotation import check_rotation
from scheduling.planner.problem import FilledBy, Limit, Part, Placed, Window
from scheduling.planner.rotation_problem import HouseholdWish
from scheduling.planner.rules import Rule
from tests.planner.courses import duty, lock, person, rotation, step
from tests.planner.rule_cases import LATER_CASES, of

PEOPLE = (
    person("ana", knife=1, lift_kg=30.0),
    person("bo", knife=1, lift_kg=35.0),
    person("mo", limits=frozenset({Limit.UNDER_18}), knife=1),
    person("vi", limits=frozenset({Limit.NO_LIFTING}), knife=1),
    person("wil", knife=1, lift_kg=5.0),
    person("late", present=(Window(start=50, end=900),), knife=1),
    person("new"),
    person("lena", part=Part.LEAD, knife=3),
    person("late_lead", part=Part.LEAD, present=(Window(start=1, end=900),)),
)
DUTIES = (
    duty(
        "pull",
        2,
        2,
        places=("left", "right"),
        heavy=True,
        ruled_out_by=frozenset({Limit.UNDER_18, Limit.NO_LIFTING}),
    ),
    duty("drag", 1, heavy=True),
    duty("open", 1, 2, knife_floor=1),
    duty("carry", 1, lift_floor_kg=20.0),
    duty("stick", 1, filled_by=FilledBy.LEAD),
)
STEPS = (
    step("dip", 0, 30, "pull", "stick", loads={("pull", "left"): 22.0, ("pull", "right"): 34.0}),
    step("gut", 20, 40, "open"),
    step("hang", 70, 90, "drag", "carry"),
)
PROBLEM = rotation(
    PEOPLE,
    DUTIES,
    STEPS,
    locks=(lock("gut", "open", "wil"),),
    rest_after_heavy_min=45,
    off=frozenset({Rule.HEAVY_IN_A_ROW}),
)
WHOLE = (
    lock("dip", "pull", "ana", "left"),
    lock("dip", "pull", "bo", "right"),
    lock("dip", "stick", "lena"),
    lock("gut", "open", "wil"),
    lock("hang", "drag", "late"),
    lock("hang", "carry", "ana"),
)
TWO_MORE = (lock("gut", "open", "mo"), lock("gut", "open", "vi"))


def instead(*changes: tuple[Placed, Placed | None]) -> tuple[Placed, ...]:
    """The whole plan with some placements replaced or taken away."""
    swapped = dict(changes)
    rows = [swapped.get(row, row) for row in WHOLE]
    return tuple(row for row in rows if row is not None)


def test_a_whole_plan_breaks_no_rule():
    assert check_rotation(PROBLEM, WHOLE) == ()


CASES = {
    "one hand too few": (instead((WHOLE[2], None)), Rule.HANDS_NEEDED),
    "one hand too many": ((*WHOLE, *TWO_MORE), Rule.HANDS_NEEDED),
    "a step that is not planned": ((*WHOLE, lock("feast", "open", "ana")), Rule.HANDS_NEEDED),
    "a duty that the step has not": ((*WHOLE, lock("hang", "open", "bo")), Rule.HANDS_NEEDED),
    "somebody from outside": ((*WHOLE, lock("gut", "open", "nobody")), Rule.HANDS_NEEDED),
    "two in one place": (
        instead((WHOLE[1], lock("dip", "pull", "bo", "left"))),
        Rule.NAMED_PLACES,
    ),
    "a place where none is named": (
        instead((WHOLE[5], lock("hang", "carry", "ana", "left"))),
        Rule.NAMED_PLACES,
    ),
    "an attendee on the lead's duty": (
        instead((WHOLE[2], lock("dip", "stick", "mo"))),
        Rule.FILLED_BY,
    ),
    "somebody not here yet": (
        instead((WHOLE[2], lock("dip", "stick", "late_lead"))),
        Rule.PRESENCE,
    ),
    "a minor on a duty for grown people": (
        instead((WHOLE[1], lock("dip", "pull", "mo", "right"))),
        Rule.ADULTS,
    ),
    "a bad wrist on the chains": (
        instead((WHOLE[1], lock("dip", "pull", "vi", "right"))),
        Rule.LIMITS,
    ),
    "a knife never held before": (
        (*WHOLE, lock("gut", "open", "new")),
        Rule.KNIFE_FLOOR,
    ),
    "a load above the comfortable lift": (
        instead((WHOLE[5], lock("hang", "carry", "wil"))),
        Rule.LIFT_FLOOR,
    ),
    "a load at one place above the comfortable lift": (
        instead(
            (WHOLE[0], lock("dip", "pull", "bo", "left")),
            (WHOLE[1], lock("dip", "pull", "ana", "right")),
        ),
        Rule.LIFT_AT_PLACE,
    ),
    "two steps at a time": ((*WHOLE, lock("gut", "open", "ana")), Rule.ONE_PLACE_AT_A_TIME),
    "two duties of one step": (
        instead((WHOLE[5], lock("hang", "carry", "late"))),
        Rule.ONE_PLACE_AT_A_TIME,
    ),
    "too little rest": (
        instead((WHOLE[4], lock("hang", "drag", "bo"))),
        Rule.REST_AFTER_HEAVY,
    ),
    "a lock moved away": (instead((WHOLE[3], lock("gut", "open", "mo"))), Rule.LOCKS),
}


@pytest.mark.parametrize("case", CASES)
def test_a_plan_broken_by_hand_is_flagged_with_its_rule_alone(case):
    placed, rule = CASES[case]
    breaches = check_rotation(PROBLEM, placed)
    assert {breach.rule for breach in breaches} == {rule}
    assert all(breach.sentence.endswith(".") for breach in breaches)


# --- rules about a day, a crew, a household and the past --------------------------------------


@pytest.mark.parametrize("rule", LATER_CASES)
def test_a_later_rule_passes_what_keeps_it_and_flags_what_breaks_it(rule):
    problem, kept, broken, sentence = LATER_CASES[rule]
    assert check_rotation(problem, kept) == ()
    (breach,) = check_rotation(problem, broken)
    assert (breach.rule, breach.sentence) == (rule, sentence)


@pytest.mark.parametrize("rule", [rule for rule in Rule if rule.may_be_switched_off])
def test_a_rule_that_is_switched_off_flags_nothing(rule):
    problem, _, broken, _ = LATER_CASES[rule]
    assert check_rotation(replace(problem, off=frozenset({rule})), broken) == ()


def test_a_household_together_is_both_or_neither_where_both_could():
    problem, _, together, _ = LATER_CASES[Rule.HOUSEHOLD]
    wished = replace(problem, households={"hill": HouseholdWish.TOGETHER})
    assert check_rotation(wished, together) == ()
    (breach,) = check_rotation(wished, of(("a", "cut", "ana"), ("a", "cut", "cy")))
    assert breach.sentence == "Ana and Bo asked to be together, and at A they are not."
    away = replace(
        wished, people=(wished.people[0], person("bo", household="hill", present=()), person("cy"))
    )
    assert check_rotation(away, of(("a", "cut", "ana"), ("a", "cut", "cy"))) == ()


def test_what_is_past_is_judged_by_no_rule_of_today():
    # Ana's wrist hurts since ten: what she lifted at nine stays, and is no breach.
    lift = duty("lift", ruled_out_by=frozenset({Limit.NO_LIFTING}))
    problem = rotation(
        [person("ana", limits=frozenset({Limit.NO_LIFTING}))],
        [lift],
        [step("nine", 0, 10, "lift")],
        posted=of(("nine", "lift", "ana")),
        now=60,
    )
    assert check_rotation(problem, problem.posted) == ()


def test_a_staff_member_at_the_same_station_all_the_while_supervises_a_step():
    # The kettle is watched from 0 to 60 at the station where the dip is from 10 to 20.
    problem, _, unwatched, _ = LATER_CASES[Rule.SUPERVISED]
    kettle = replace(step("kettle", 0, 60, "watch"), station="a")
    with_kettle = replace(problem, steps=(*problem.steps, kettle))
    assert check_rotation(with_kettle, (*unwatched, lock("kettle", "watch", "hank"))) == ()
    short = replace(with_kettle, steps=(*problem.steps, replace(kettle, start=1)))
    assert check_rotation(short, (*unwatched, lock("kettle", "watch", "hank"))) != ()


def test_every_rule_has_a_broken_plan():
    assert {rule for _, rule in CASES.values()} | set(LATER_CASES) == set(Rule)


def test_rest_that_is_exactly_long_enough_is_no_breach():
    # The dip ends at 30 and the hanging starts at 70: 40 min of rest.
    placed = instead((WHOLE[4], lock("hang", "drag", "bo")))
    assert not check_rotation(replace(PROBLEM, rest_after_heavy_min=40), placed)
    assert check_rotation(replace(PROBLEM, rest_after_heavy_min=41), placed)


def test_a_lock_without_a_place_is_kept_by_any_place():
    held = replace(PROBLEM, locks=(lock("dip", "pull", "ana"),))
    elsewhere = replace(PROBLEM, locks=(lock("dip", "pull", "ana", "right"),))
    assert not check_rotation(held, WHOLE)
    assert [breach.rule for breach in check_rotation(elsewhere, WHOLE)] == [Rule.LOCKS]


def test_a_breach_says_who_and_where():
    placed = (*WHOLE, lock("gut", "open", "ana"))
    (breach,) = check_rotation(PROBLEM, placed)
    assert breach.sentence == "Ana is at Dip and at Gut at the same time."
