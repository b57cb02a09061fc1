"""The first plan without a search, and the order of hogs that are alike."""

from dataclasses import replace

from hypothesis import given, settings

from scheduling.benches.courses import kill_day
from scheduling.planner.check_timetable import check_timetable
from scheduling.planner.problem import Gap, Meal, StationSpec, TimetableProblem
from scheduling.planner.timetable import Search, solve
from scheduling.planner.timetable_alike import alike_in_order, in_order
from scheduling.planner.timetable_first import first_plan
from scheduling.planner.timetable_goals import GoalModel
from tests.planner.timetables import MORNING, full_problem, make_problem, make_step, small_problems


def test_every_kill_day_has_a_first_plan_that_the_checker_passes():
    for hogs in (2, 4, 8, 12):
        for troughs in (1, 2):
            problem = kill_day(hogs, troughs=troughs)
            found = first_plan(problem)
            assert found is not None
            assert check_timetable(problem, found.starts, found.places) == ()


def test_a_step_that_would_wait_too_long_has_the_one_before_it_put_later():
    # The bench is taken until 09:00 by the pinned step, so the scald waits to end at 09:00.
    problem = make_problem(
        make_step("other", 60, pinned_start=480),
        make_step("scald", 12, station="trough"),
        make_step("scrape", 30),
        gaps=(Gap(before="scald", after="scrape", most_min=0),),
        stations=(StationSpec(id="bench", name="Bench"),),
    )
    found = first_plan(problem)
    assert found is not None
    assert found.starts == {"other": 480, "scald": 528, "scrape": 540}


def test_a_first_plan_leaves_meals_where_they_are_wished():
    meal = Meal(id="soup", name="Soup", minutes=30, earliest=480, wished=500, latest=600)
    problem = replace(make_problem(make_step("scald", 30)), meals=(meal,))
    found = first_plan(problem)
    assert found is not None
    assert found.starts == {"soup": 500, "scald": 530}


@settings(max_examples=50)
@given(small_problems())
def test_a_first_plan_keeps_every_rule_or_there_is_none(problem: TimetableProblem) -> None:
    found = first_plan(problem)
    if found is not None:
        assert check_timetable(problem, found.starts, found.places) == ()
        assert solve(problem).starts, "what has a plan has an answer"


def test_out_of_time_the_first_plan_is_the_answer():
    problem = kill_day(12, troughs=2)
    answer = solve(problem, seconds=0.001)
    assert check_timetable(problem, answer.starts, answer.places) == ()
    assert all(goal.bound <= goal.value for goal in answer.goals)


def test_hogs_alike_go_in_their_order_at_every_stage():
    answer = solve(kill_day(3))
    for stage in ("kill", "scald", "scrape", "hang", "split"):
        starts = [answer.starts[f"hog{hog}:{stage}"] for hog in (1, 2, 3)]
        assert starts == sorted(starts)


def test_a_pinned_hog_is_not_alike_to_the_others():
    problem = kill_day(3)
    assert len(alike_in_order(problem)) == 8  # one group of three at each of the eight stages
    pinned = tuple(
        replace(step, pinned_start=720) if step.id == "hog2:scald" else step
        for step in problem.steps
    )
    assert alike_in_order(replace(problem, steps=pinned)) == ()


def test_a_set_up_by_pairs_tells_the_hogs_apart():
    problem = kill_day(2)
    by_pairs = tuple(
        replace(station, set_up_between={("hog1:scald", "hog2:scald"): 40})
        if station.id == "trough 1"
        else station
        for station in problem.stations
    )
    assert alike_in_order(replace(problem, stations=by_pairs)) == ()


def test_a_plan_told_in_another_order_keeps_every_rule():
    one = full_problem()
    found = first_plan(one)
    assert found is not None
    assert check_timetable(one, in_order(one, found).starts) == ()


def test_keeping_the_order_of_hogs_alike_loses_nothing():
    # The same goals, with and without the order: 5 hogs at two troughs that are not alike, so
    # that the choice of the trough is part of it.
    problem = kill_day(5, troughs=2)
    slow = tuple(
        replace(station, set_up_min=50) if station.id == "trough 2" else station
        for station in problem.stations
    )
    problem = replace(problem, stations=slow)
    free = Search(GoalModel(problem), seconds=20)
    free.run(free.rules.aims())
    kept = solve(problem, seconds=20)
    assert all(goal.proved for goal in (*free.goals, *kept.goals))
    assert [goal.value for goal in kept.goals] == [goal.value for goal in free.goals]


def test_small_windows_still_give_a_plan():
    # Back to back in four hours: 8 steps of 30 min at one bench.
    problem = make_problem(
        *(make_step(f"s{n}", 30) for n in range(8)),
        stations=(StationSpec(id="bench", name="Bench"),),
    )
    found = first_plan(problem)
    assert found is not None
    assert max(found.starts.values()) == MORNING.end - 30
