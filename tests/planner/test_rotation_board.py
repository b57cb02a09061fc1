"""The board that changes are tried on: it counts what the plan counts, and keeps what it keeps."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from hypothesis import given, settings

from scheduling.planner import rotation_start
from scheduling.planner.check_rotation import check_rotation
from scheduling.planner.measuring import RotationMeasures
from scheduling.planner.problem import RotationProblem
from scheduling.planner.rotation_board import Board
from scheduling.planner.rotation_goals import aims
from scheduling.planner.rotation_search import improve
from scheduling.planner.rule import Rule
from scheduling.planner.rules import past_placements
from tests.planner.courses import demo_course, small_courses

GIVE_WAY = {Rule.HANDS_NEEDED, Rule.NAMED_PLACES, Rule.LOCKS, Rule.SUPERVISED}


def improved(problem: RotationProblem, tries: int) -> Board:
    board = Board(problem)
    if problem.keep_posted:
        rotation_start.keep_posted(board)
    else:
        rotation_start.fill(board)
    names = ["demands not met", *(aim.name for aim in aims(problem))]
    improve(board, names, tries=tries, seed=1)
    return board


def unfair_past(problem: RotationProblem) -> bool:
    """Whether what was posted of the past had more hands than a duty takes, or hands not there."""
    most = {duty.id: duty.most for duty in problem.duties}
    past = past_placements(problem)
    crews = Counter((one.step, one.duty) for one in past)
    too_many = any(hands > most[duty] for (_, duty), hands in crews.items())
    breaches = check_rotation(replace(problem, now=None), past)
    broken = {breach.rule for breach in breaches}
    return too_many or bool(broken & {Rule.ONE_PLACE_AT_A_TIME, Rule.PRESENCE})


@settings(max_examples=100, deadline=None)
@given(small_courses())
def test_a_board_keeps_the_rules_and_counts_what_the_plan_counts(problem: RotationProblem) -> None:
    board = improved(problem, tries=60)
    assert {breach.rule for breach in check_rotation(problem, board.placed())} <= GIVE_WAY
    measures = RotationMeasures(problem=problem, placed=board.placed())
    read = board.tally.values()
    for aim in aims(problem):
        counted = read[aim.name]()
        assert aim.measure(measures) == (counted if aim.minimise else -counted), aim.name
        if unfair_past(problem):
            continue  # the bounds count on one place for each hand, and on hands that are here
        limit = aim.limit(measures)
        assert limit <= counted if aim.minimise else limit >= -counted, aim.name


def test_a_search_never_makes_a_plan_worse_and_ends_the_same_way_twice():
    problem = demo_course()
    names = ["demands not met", *(aim.name for aim in aims(problem))]
    board = improved(problem, tries=0)
    before = [board.tally.values()[name]() for name in names]
    improve(board, names, tries=2000, seed=1)
    assert [board.tally.values()[name]() for name in names] < before
    assert board.placed() == improved(problem, tries=2000).placed()


def test_a_plan_is_taken_over_by_a_board_as_it_is():
    problem = demo_course()
    plan = improved(problem, tries=500).placed()
    board = Board(problem)
    board.load(plan)
    assert board.placed() == plan
