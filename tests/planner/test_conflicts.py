"""Why the demands cannot all hold: each member of a clash is necessary, each way out works."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import assume, given, settings

from scheduling.planner.conflicts import Clash, explain
from scheduling.planner.demanding import Kind, can_be_met, only
from scheduling.planner.problem import FilledBy, Limit, Part, RotationProblem, Window
from scheduling.planner.rotation import solve
from scheduling.planner.rotation_problem import HouseholdWish
from scheduling.planner.rule import Rule
from tests.planner.courses import chains, duty, lock, person, rotation, small_courses, step


def clash_of(problem: RotationProblem) -> Clash:
    """The clash, once each member has been proved necessary and each remedy to work."""
    clash = explain(solve(problem, seconds=4, workers=1).measures)
    assert clash is not None
    prove(problem, clash)
    return clash


def prove(problem: RotationProblem, clash: Clash) -> None:
    assert clash.proved
    rules = frozenset(clash.rules)
    assert can_be_met(only(problem, clash.demands, rules)) is False
    for demand in clash.demands:
        rest = [one for one in clash.demands if one != demand]
        assert can_be_met(only(problem, rest, rules)) is True
    for rule in clash.rules:
        assert can_be_met(only(problem, clash.demands, rules - {rule})) is True
    for remedy in clash.remedies:
        assert (can_be_met(remedy.problem) is True) == remedy.frees_all
    assert [one.cost for one in clash.remedies] == sorted(one.cost for one in clash.remedies)


def test_the_second_dip_clashes_with_the_first_for_want_of_rest():
    """Fourteen people as in the yard at seven: five may not lift, two come at eleven, seven can.

    Four of the seven are on the first dip; three are left for the second, 15 min after it.
    """
    wrist = frozenset({Limit.NO_LIFTING})
    problem = rotation(
        [
            *(person(f"wrist{n}", limits=wrist) for n in range(5)),
            *(person(f"late{n}", present=(Window(start=660, end=900),)) for n in range(2)),
            *(person(f"able{n}") for n in range(7)),
        ],
        [chains(), duty("timer")],
        [
            step("first dip", 480, 500, "chains", "timer"),
            step("second dip", 515, 535, "chains", "timer"),
        ],
        off=frozenset({Rule.HEAVY_IN_A_ROW}),
    )
    clash = clash_of(problem)
    assert [(one.step, one.duty) for one in clash.demands] == [
        ("first dip", "chains"),
        ("second dip", "chains"),
    ]
    assert clash.rules == (Rule.PRESENCE, Rule.LIMITS, Rule.REST_AFTER_HEAVY)
    assert clash.fact == (
        "Second dip: Chains needs 4; of 14 attendees, 2 are away, 5 may not lift, "
        "4 rest between heavy duties: 3 are left. It clashes with 4 for Chains at First dip. "
        "What forbids it: Nobody is placed on a step unless they are here for all of it. "
        "Nobody takes a duty that one of their limits rules out. "
        "Nobody holds two heavy duties without the rest time between them."
    )
    assert [remedy.sentence for remedy in clash.remedies] == [
        "have Late0 here for Second dip.",
        "have Late1 here for Second dip.",
        "start Second dip 15 min later, and time the day again.",
        "add 1 attendee without limits.",
    ]
    assert all(remedy.frees_all for remedy in clash.remedies)


def test_two_locks_on_one_person_are_the_whole_clash():
    problem = rotation(
        [person("ada"), person("bo")],
        [duty("gate"), duty("timer")],
        [step("dip", 0, 30, "timer"), step("yard", 20, 40, "gate"), step("later", 60, 70, "gate")],
        locks=(lock("dip", "timer", "ada"), lock("yard", "gate", "ada")),
    )
    clash = clash_of(problem)
    assert [one.kind for one in clash.demands] == [Kind.LOCK, Kind.LOCK]
    assert clash.rules == ()
    assert {remedy.sentence for remedy in clash.remedies[:2]} == {
        "take away the lock of Ada at Dip.",
        "take away the lock of Ada at Yard.",
    }


def test_a_household_that_asked_to_be_apart_can_be_the_reason():
    family = [person("ada", household="hill"), person("bo", household="hill")]
    problem = rotation(
        family,
        [duty("cut", 2)],
        [step("dip", 0, 30, "cut")],
        households={"hill": HouseholdWish.APART},
    )
    clash = clash_of(problem)
    assert clash.rules == (Rule.HOUSEHOLD,)
    assert clash.remedies[0].sentence == f"switch this rule off: {Rule.HOUSEHOLD.sentence}"


def test_a_station_without_staff_is_explained():
    problem = rotation(
        [person("ada"), person("hank", part=Part.HELPER)],
        [duty("gate"), duty("watch", filled_by=FilledBy.STAFF, core=False)],
        [
            replace(step("a", 0, 10, "gate", "watch"), supervised=True),
            replace(step("b", 0, 10, "gate", "watch"), supervised=True),
        ],
    )
    clash = clash_of(replace(problem, people=(*problem.people, person("bo"))))
    assert {one.kind for one in clash.demands} <= {Kind.STAFF, Kind.HANDS}
    assert "add 1 helper without limits." in {remedy.sentence for remedy in clash.remedies}


def test_a_course_that_is_possible_has_nothing_to_explain():
    problem = rotation([person("ada")], [duty("gate")], [step("a", 0, 10, "gate")])
    assert explain(solve(problem, seconds=2).measures) is None


@settings(max_examples=25, deadline=None)
@given(small_courses())
def test_each_member_of_a_clash_is_necessary(problem: RotationProblem) -> None:
    """The explained set cannot be met; without any one of its members it can."""
    answer = solve(problem, seconds=1, workers=1)
    assume(not answer.status.has_plan)
    clash = explain(answer.measures)
    assert clash is not None
    prove(problem, clash)
