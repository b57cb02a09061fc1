"""The rules about days, crews, households and the past, as the planner keeps them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduling.planner.answer import Status
from scheduling.planner.check_rotation import check_rotation
from scheduling.planner.problem import FilledBy, Limit, Part, RotationProblem
from scheduling.planner.rotation import RotationAnswer, solve
from scheduling.planner.rotation_problem import Cap, Concern, HouseholdWish, Meal, Walk, Wish
from scheduling.planner.rule import Rule
from tests.planner.courses import duty, lock, person, rotation, step
from tests.planner.rule_cases import LATER_CASES, of


def solved(problem: RotationProblem) -> RotationAnswer:
    answer = solve(problem, seconds=5)
    assert answer.status.has_plan
    assert check_rotation(problem, answer.placed) == ()
    return answer


def value(answer: RotationAnswer, name: str) -> int:
    (goal,) = [goal for goal in answer.goals if goal.name == name]
    assert goal.proved
    return goal.value


@pytest.mark.parametrize("rule", LATER_CASES)
def test_a_plan_keeps_the_rule(rule):
    """The tiny course of each rule has a plan, and the checker passes it."""
    solved(LATER_CASES[rule][0])


# One person for two turns, where the rule leaves only one of them.
ALONE = {
    Rule.HEAVY_IN_A_ROW: rotation(
        [person("ana")],
        [duty("haul", heavy=True)],
        [step("a", 0, 10, "haul"), step("b", 100, 110, "haul")],
    ),
    Rule.WALKING: rotation(
        [person("ana")],
        [duty("gate")],
        [step("yard", 0, 10, "gate"), step("barn", 14, 20, "gate")],
        walks=(Walk(one="barn", other="yard", minutes=5),),
    ),
    Rule.TIME_CAP: rotation(
        [person("ana")],
        [duty("rinse")],
        [step("a", 0, 30, "rinse"), step("b", 40, 71, "rinse")],
        caps=(Cap(name="wet work", duties=frozenset({"rinse"}), most_min=60),),
    ),
    Rule.MEAL_BREAK: rotation(
        [person("ana")],
        [duty("gate")],
        [step("a", 700, 730, "gate"), step("b", 745, 780, "gate")],
        meals=(Meal(name="dinner", start=720, end=780, minutes=20),),
    ),
}


@pytest.mark.parametrize("rule", ALONE)
def test_the_rule_leaves_one_of_two_turns_and_says_why(rule):
    problem = ALONE[rule]
    answer = solve(problem, seconds=5)
    assert answer.status is Status.IMPOSSIBLE
    assert len(answer.placed) == 1
    (refusal,) = answer.refusals
    assert [reason.rule for reason in refusal.reasons] == [rule]
    with_one_more = replace(problem, people=(*problem.people, person("bo")))
    assert len(solved(with_one_more).placed) == 2


@pytest.mark.parametrize("rule", [rule for rule in ALONE if rule.may_be_switched_off])
def test_a_rule_that_is_switched_off_binds_nobody(rule):
    assert len(solved(replace(ALONE[rule], off=frozenset({rule}))).placed) == 2


def test_a_lighter_duty_between_two_heavy_ones_is_enough():
    problem = replace(
        ALONE[Rule.HEAVY_IN_A_ROW],
        duties=(duty("haul", heavy=True), duty("gate")),
        steps=(*ALONE[Rule.HEAVY_IN_A_ROW].steps, step("c", 50, 60, "gate")),
    )
    assert len(solved(problem).placed) == 3


def test_a_night_between_two_heavy_duties_is_enough():
    problem = replace(
        ALONE[Rule.HEAVY_IN_A_ROW],
        steps=(step("a", 0, 10, "haul"), step("b", 1440, 1450, "haul")),
    )
    assert len(solved(problem).placed) == 2


def test_each_mentor_has_at_most_two_first_timers():
    # Four cut, one of them experienced: two first-timers beside them, and one place stays empty.
    people = [person(name) for name in ("ana", "bo", "cy")] + [person("di", knife=2)]
    problem = rotation(people, [duty("cut", 4, sharp=True)], [step("a", 0, 10, "cut")])
    answer = solve(problem, seconds=5)
    assert answer.status is Status.IMPOSSIBLE
    assert len(answer.placed) == 3
    (refusal,) = answer.refusals
    assert "1 has no mentor beside them for a first time with a knife" in refusal.fact
    helped = replace(
        problem,
        people=(*people, person("hank", part=Part.HELPER)),
        duties=(*problem.duties, duty("watch", 0, 1, filled_by=FilledBy.STAFF)),
        steps=(step("a", 0, 10, "cut", "watch"),),
    )
    assert len(solved(helped).placed) == 5


def test_a_supervised_step_without_staff_is_refused_with_its_numbers():
    problem = rotation(
        [person("ana"), person("hank", part=Part.HELPER)],
        [duty("gate"), duty("watch", filled_by=FilledBy.STAFF, core=False)],
        [
            replace(step("a", 0, 10, "gate"), supervised=True),
            step("b", 0, 10, "watch"),
        ],
    )
    answer = solve(problem, seconds=5)
    assert answer.status is Status.IMPOSSIBLE
    (refusal,) = answer.refusals
    assert refusal.rule is Rule.SUPERVISED
    assert refusal.fact == (
        "A needs the lead or a helper at its station; of 1 lead or helper, 1 is here and 1 placed "
        "elsewhere then."
    )


def test_a_household_stays_together_or_apart_as_it_asked():
    family = [person("ana", household="hill"), person("bo", household="hill")]
    problem = rotation(
        [*family, person("cy"), person("di")],
        [duty("cut", 2), duty("gate", 0, 2)],
        [step("a", 0, 10, "cut"), step("b", 20, 30, "cut")],
        households={"hill": HouseholdWish.TOGETHER},
    )
    crews = {
        frozenset(one.person for one in solved(problem).placed if one.step == at) for at in "ab"
    }
    assert crews == {frozenset({"ana", "bo"}), frozenset({"cy", "di"})}
    apart = replace(problem, households={"hill": HouseholdWish.APART})
    for at in "ab":
        crew = {one.person for one in solved(apart).placed if one.step == at}
        assert len(crew & {"ana", "bo"}) == 1


# --- the past -------------------------------------------------------------------------------


def test_the_past_stays_and_counts_though_it_would_be_forbidden_today():
    # Ana hauled at nine and her wrist hurts since: she keeps that turn, and what was covered; the
    # next haul is Bo's. What the past left undone, a gate without hands, is no shortage now.
    wrist = frozenset({Limit.NO_LIFTING})
    problem = rotation(
        [person("ana", limits=wrist), person("bo")],
        [duty("haul", heavy=True, ruled_out_by=wrist), duty("gate")],
        [step("nine", 0, 10, "haul", "gate"), step("ten", 60, 70, "haul")],
        posted=of(("nine", "haul", "ana"), ("ten", "haul", "ana")),
        locks=of(("nine", "gate", "bo")),
        keep_posted=True,
        now=30,
    )
    answer = solved(problem)
    assert set(answer.placed) == set(of(("nine", "haul", "ana"), ("ten", "haul", "bo")))
    assert value(answer, "changes to the posted plan") == 2
    assert value(answer, "coverage") == 2


def test_rest_after_what_was_done_in_the_past_is_kept():
    problem = rotation(
        [person("ana"), person("bo")],
        [duty("haul", heavy=True)],
        [step("nine", 0, 10, "haul"), step("soon", 20, 30, "haul")],
        posted=of(("nine", "haul", "ana"), ("soon", "haul", "ana")),
        keep_posted=True,
        now=15,
    )
    assert lock("soon", "haul", "bo") in solved(problem).placed


# --- the goals that the lead may put in another order ----------------------------------------


def test_wishes_are_met_where_they_can_be():
    # Four turns at the pluck: Ana must try it, Bo would rather not; Cy takes the other three.
    problem = rotation(
        [
            person("ana", wishes=(("pluck", Wish.MUST_TRY),)),
            person("bo", wishes=(("pluck", Wish.RATHER_NOT),)),
            person("cy"),
        ],
        [duty("pluck", core=False)],
        [step(f"r{n}", 100 * n, 100 * n + 50, "pluck") for n in range(4)],
    )
    answer = solved(problem)
    assert value(answer, "wishes not met") == 0
    assert "bo" not in {one.person for one in answer.placed}


def test_the_order_of_the_lead_decides_between_wishes_and_evenness():
    # Of two people one would rather not: either Ana has all four turns (her wish kept, 200 min
    # apart) or two each (nobody more than the other, two turns against the wish).
    problem = rotation(
        [person("ana"), person("bo", wishes=(("pluck", Wish.RATHER_NOT),))],
        [duty("pluck", core=False)],
        [step(f"r{n}", 100 * n, 100 * n + 50, "pluck") for n in range(4)],
    )
    wishes_first, even_first = (
        solved(replace(problem, order=order))
        for order in (
            (Concern.WISHES, Concern.EVENNESS, Concern.MIXING, Concern.STATIONS),
            (Concern.EVENNESS, Concern.WISHES, Concern.MIXING, Concern.STATIONS),
        )
    )
    assert value(wishes_first, "wishes not met") == 0
    assert value(wishes_first, "spread of work") == 200
    assert value(even_first, "spread of work") == 0
    assert value(even_first, "wishes not met") == 2


def test_dirty_work_is_shared_evenly():
    both = {(name, what) for name in ("ana", "bo") for what in ("wash", "watch")}
    problem = rotation(
        [person("ana"), person("bo")],
        [duty("wash", dirty=True), duty("watch")],
        [step(f"r{n}", 100 * n, 100 * n + 50, "wash", "watch") for n in range(2)],
        done=frozenset(both),
    )
    assert value(solved(problem), "spread of dirty work") == 0


def test_people_stay_at_a_station_where_nothing_else_speaks_for_a_change():
    # Two stations, two turns each, two people who have done both: one station each is enough.
    both = {(name, what) for name in ("ana", "bo") for what in ("wash", "watch")}
    steps = [
        replace(step(f"{what}{n}", 100 * n, 100 * n + 50, what), station=what)
        for n in range(2)
        for what in ("wash", "watch")
    ]
    problem = rotation(
        [person("ana"), person("bo")], [duty("wash"), duty("watch")], steps, done=frozenset(both)
    )
    assert value(solved(problem), "stations in a day") == 2


def test_a_past_in_which_somebody_was_in_two_places_is_planned_on_from():
    # The posted past may be wrong: Ana twice at nine. It counts as it stands, and breaks nothing.
    problem = rotation(
        [person("ana"), person("bo")],
        [duty("gate"), duty("timer")],
        [
            step("nine", 0, 10, "gate"),
            step("also nine", 0, 10, "timer"),
            step("ten", 60, 70, "gate", "timer"),
        ],
        posted=of(("nine", "gate", "ana"), ("also nine", "timer", "ana")),
        now=30,
    )
    assert len(solved(problem).placed) == 4


def test_a_lock_that_was_met_by_chance_is_not_changed_away():
    # A household that stays together is locked by one of them: the search may not undo that.
    family = [person("ana", household="hill"), person("bo", household="hill")]
    problem = rotation(
        [*family, person("cy"), person("di")],
        [duty("cut", 2), duty("gate", 0, 2)],
        [step(f"r{n}", 50 * n, 50 * n + 30, "cut", "gate") for n in range(4)],
        households={"hill": HouseholdWish.TOGETHER},
        locks=(lock("r1", "cut", "ana"), lock("r2", "gate", "ana")),
    )
    assert set(problem.locks) <= set(solved(problem).placed)
