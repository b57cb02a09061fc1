"""What cannot be met is named, with who could and what keeps the others; never a crash."""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from scheduling.planner.answer import Status
from scheduling.planner.check_rotation import check_rotation
from scheduling.planner.problem import FilledBy, Limit, PersonSpec, RotationProblem
from scheduling.planner.refusals import Refusal
from scheduling.planner.rotation import RotationAnswer, solve
from scheduling.planner.rules import Rule
from tests.planner.courses import chains, duty, lock, person, rotation, small_courses, step


def refused(problem: RotationProblem) -> RotationAnswer:
    answer = solve(problem, seconds=5)
    assert answer.status is Status.IMPOSSIBLE
    assert answer.refusals
    return answer


def only(problem: RotationProblem) -> Refusal:
    (refusal,) = refused(problem).refusals
    return refusal


def crowd(prefix: str, count: int, **changes: object) -> list[PersonSpec]:
    return [person(f"{prefix}{number}", **changes) for number in range(count)]


def test_a_short_crew_is_counted_person_by_person():
    """Fourteen people, each counted once: the sentence a lead can act on at the gate."""
    problem = rotation(
        [
            *crowd("away", 3, present=()),
            *crowd("wrist", 5, limits=frozenset({Limit.NO_LIFTING})),
            *crowd("held", 2),
            *crowd("tired", 1),
            *crowd("able", 3),
        ],
        [chains(), duty("gate", 2), duty("haul", heavy=True)],
        [
            step("first haul", 0, 20, "haul"),
            step("second dip", 40, 60, "chains", "gate"),
        ],
        locks=(
            lock("first haul", "haul", "tired0"),
            lock("second dip", "gate", "held0"),
            lock("second dip", "gate", "held1"),
        ),
    )
    refusal = only(problem)
    assert refusal.rule is Rule.NAMED_PLACES
    assert (refusal.step, refusal.duty, refusal.needed) == ("second dip", "chains", 4)
    assert refusal.fact == (
        "Second dip: Chains needs 4; of 14 attendees, 3 are away, 5 may not lift, "
        "1 rests between heavy duties, 2 are locked elsewhere then: 3 are left."
    )
    assert refusal.left == ("able0", "able1", "able2")
    assert len(refusal.could) == 6


@pytest.mark.parametrize(
    ("changes", "what", "rule", "words"),
    [
        ({"present": ()}, {}, Rule.PRESENCE, "1 is away"),
        (
            {"limits": frozenset({Limit.UNDER_18})},
            {"ruled_out_by": frozenset({Limit.UNDER_18})},
            Rule.ADULTS,
            "1 is under 18",
        ),
        (
            {"limits": frozenset({Limit.NO_HOT_WATER})},
            {"ruled_out_by": frozenset({Limit.NO_HOT_WATER})},
            Rule.LIMITS,
            "1 stays away from hot water",
        ),
        ({}, {"knife_floor": 1}, Rule.KNIFE_FLOOR, "1 has too little knife experience"),
        (
            {"lift_kg": 25.0},
            {"loads": {("timer", ""): 26.0}},
            Rule.LIFT_AT_PLACE,
            "1 has a comfortable lift below the load there",
        ),
        (
            {"lift_kg": 5.0},
            {"lift_floor_kg": 9.0},
            Rule.LIFT_FLOOR,
            "1 has too small a comfortable lift",
        ),
    ],
)
def test_each_rule_about_one_person_is_named(changes, what, rule, words):
    floors = {key: said for key, said in what.items() if key != "loads"}
    dip = step("dip", 0, 30, "timer", loads=what.get("loads"))
    problem = rotation([person("ada", **changes)], [duty("timer", **floors)], [dip])
    refusal = only(problem)
    assert [reason.rule for reason in refusal.reasons] == [rule]
    assert refusal.fact == f"Dip: Timer needs 1; of 1 attendee, {words}: none are left."


DIP = step("dip", 0, 30, "timer")


def test_a_duty_for_the_lead_without_a_lead():
    problem = rotation([person("ada")], [duty("timer", filled_by=FilledBy.LEAD)], [DIP])
    assert only(problem).fact == "Dip: Timer needs 1; there is no lead on the course."


def test_nobody_at_all():
    problem = rotation([], [duty("timer")], [DIP])
    assert only(problem).fact == "Dip: Timer needs 1; there is no attendee on the course."


def test_two_steps_at_once_and_one_person_leave_the_later_short():
    # Each step alone could be met; both cannot. The first stays whole.
    problem = rotation(
        [person("ada")],
        [duty("timer"), duty("gate")],
        [step("b", 10, 40, "gate"), step("a", 0, 30, "timer")],
    )
    answer = refused(problem)
    assert answer.placed == (lock("a", "timer", "ada"),)
    (refusal,) = answer.refusals
    assert [reason.rule for reason in refusal.reasons] == [Rule.ONE_PLACE_AT_A_TIME]
    assert refusal.could == ("ada",)


def test_too_little_rest_between_two_heavy_steps():
    problem = rotation(
        [person("ada")],
        [duty("haul", heavy=True)],
        [step("a", 0, 10, "haul"), step("b", 20, 30, "haul")],
    )
    refusal = only(problem)
    assert refusal.step == "b"
    assert [reason.rule for reason in refusal.reasons] == [Rule.REST_AFTER_HEAVY]


def test_the_draft_breaks_no_other_rule():
    problem = rotation(
        crowd("p", 3), [chains(), duty("timer")], [step("dip", 0, 30, "chains", "timer")]
    )
    answer = refused(problem)
    assert len(answer.placed) == 3
    broken = {breach.rule for breach in check_rotation(problem, answer.placed)}
    assert broken <= {Rule.HANDS_NEEDED, Rule.NAMED_PLACES}


# --- locks ----------------------------------------------------------------------------------

PEOPLE = [person("ada"), person("bo"), person("wil", limits=frozenset({Limit.NO_LIFTING}))]


def test_a_lock_against_a_limit_is_named():
    lift = duty("timer", ruled_out_by=frozenset({Limit.NO_LIFTING}))
    problem = rotation(PEOPLE, [lift], [DIP], locks=(lock("dip", "timer", "wil"),))
    refusal = only(problem)
    assert refusal.rule is Rule.LOCKS
    assert [reason.rule for reason in refusal.reasons] == [Rule.LIMITS]
    assert refusal.sentence() == (
        "Wil is locked to Timer at Dip, but may not lift. "
        "Take the lock away, or change what stands against it."
    )


def test_two_locks_at_once_are_named():
    steps = [DIP, step("gut", 20, 40, "timer")]
    locks = (lock("dip", "timer", "ada"), lock("gut", "timer", "ada"))
    refusal = only(rotation(PEOPLE, [duty("timer")], steps, locks=locks))
    assert refusal.rule is Rule.LOCKS
    assert refusal.fact.endswith("but is locked elsewhere then.")


def test_two_locks_with_too_little_rest_are_named():
    steps = [DIP, step("gut", 40, 60, "timer")]
    locks = (lock("dip", "timer", "ada"), lock("gut", "timer", "ada"))
    refusal = only(rotation(PEOPLE, [duty("timer", heavy=True)], steps, locks=locks))
    assert [reason.rule for reason in refusal.reasons] == [Rule.REST_AFTER_HEAVY]


def test_two_locks_to_one_hand_are_named():
    locks = (lock("dip", "timer", "ada"), lock("dip", "timer", "bo"))
    refusal = only(rotation(PEOPLE, [duty("timer")], [DIP], locks=locks))
    assert [reason.rule for reason in refusal.reasons] == [Rule.HANDS_NEEDED]


def test_two_locks_to_one_place_are_named():
    pull = duty("timer", 2, 2, places=("left", "right"))
    locks = (lock("dip", "timer", "ada", "left"), lock("dip", "timer", "bo", "left"))
    refusal = only(rotation(PEOPLE, [pull], [DIP], locks=locks))
    assert [reason.rule for reason in refusal.reasons] == [Rule.NAMED_PLACES]


# --- whatever the course --------------------------------------------------------------------


@settings(max_examples=40, deadline=None)
@given(small_courses())
def test_any_small_course_is_planned_or_refused(problem: RotationProblem) -> None:
    """A plan keeps every rule; a draft keeps all but those that its refusals name."""
    answer = solve(problem, seconds=3, workers=1)
    broken = {breach.rule for breach in check_rotation(problem, answer.placed)}
    if answer.status.has_plan:
        assert not broken
        assert not answer.refusals
    else:
        assert answer.status is Status.IMPOSSIBLE
        assert broken
        assert broken <= {Rule.HANDS_NEEDED, Rule.NAMED_PLACES, Rule.LOCKS, Rule.SUPERVISED}
        assert all(refusal.sentence().endswith(".") for refusal in answer.refusals)
        assert {refusal.rule for refusal in answer.refusals} <= broken | {Rule.HANDS_NEEDED}
