"""The timetable planner: one tiny solved example per rule, then what any plan must be."""

import pytest
from hypothesis import given, settings

from scheduling.planner.answer import Goal, Status
from scheduling.planner.check_timetable import check_timetable
from scheduling.planner.errors import BadProblem
from scheduling.planner.problem import (
    Gap,
    Need,
    Pool,
    StationSpec,
    TimetableProblem,
    Window,
)
from scheduling.planner.timetable import TimetableAnswer, solve
from scheduling.planner.timetable_answer import finish_minutes, late_minutes, waiting_minutes
from tests.planner.timetables import MORNING, full_problem, make_problem, make_step, small_problems

ONE_AT_A_TIME = StationSpec(id="bench", name="Bench")


def solved(problem: TimetableProblem) -> TimetableAnswer:
    """The answer, proved best and passed by the checker."""
    answer = solve(problem)
    assert answer.status is Status.PROVED_BEST, answer.refusals
    assert check_timetable(problem, answer.starts) == ()
    return answer


# --- one example per rule -------------------------------------------------------------------


def test_a_step_starts_as_early_as_its_window_lets_it():
    # Alone, 30 min: the window opens at 480, so 480 to 510.
    answer = solved(make_problem(make_step("scald")))
    assert answer.starts == {"scald": 480}
    assert answer.finish == {0: 510}


def test_a_step_lies_wholly_inside_one_window():
    # 30 min do not fit in 480 to 500, nor across the two; the second window opens at 500.
    windows = (Window(start=480, end=500), Window(start=500, end=600))
    assert solved(make_problem(make_step("scald", windows=windows))).starts == {"scald": 500}


def test_an_unattended_step_need_only_start_in_its_window_and_runs_through_breaks():
    # 900 min of chill from 480: through the break and the night, and no day's end is counted.
    chill = make_step("chill", 900, unattended=True)
    answer = solved(make_problem(chill, breaks=[Window(start=500, end=560)]))
    assert answer.starts == {"chill": 480}
    assert answer.finish == {}


def test_no_attended_step_overlaps_a_break():
    # 30 min from 480 would run into the break at 500; after it the first minute is 530.
    problem = make_problem(make_step("scrape"), breaks=[Window(start=500, end=530)])
    assert solved(problem).starts == {"scrape": 530}


def test_the_least_gap_is_kept():
    # Kill 480 to 510, then 15 min: scald at 525.
    problem = make_problem(
        make_step("kill"),
        make_step("scald"),
        gaps=[Gap(before="kill", after="scald", least_min=15)],
    )
    assert solved(problem).starts == {"kill": 480, "scald": 525}


def test_the_longest_gap_holds_the_earlier_step_back():
    # Scald can only be at 600. At most 10 min after the kill's end: kill ends at 590 or later;
    # carcasses here do not wait, and the earliest kill that is allowed is 560.
    problem = make_problem(
        make_step("kill"),
        make_step("scald", pinned_start=600),
        gaps=[Gap(before="kill", after="scald", most_min=10, carcass_waits=False)],
    )
    assert solved(problem).starts == {"kill": 560, "scald": 600}


def test_a_station_for_one_takes_one_after_another():
    # Two of 30 min at a bench for one: the second cannot end before 540.
    answer = solved(make_problem(make_step("one"), make_step("two"), stations=[ONE_AT_A_TIME]))
    assert sorted(answer.starts.values()) == [480, 510]


def test_a_station_for_two_takes_two_at_a_time():
    # Three of 30 min, two places: two at 480, one at 510.
    answer = solved(
        make_problem(
            *(make_step(name) for name in ("one", "two", "three")),
            stations=[StationSpec(id="bench", name="Bench", capacity=2)],
        )
    )
    assert sorted(answer.starts.values()) == [480, 480, 510]


def test_a_trough_heats_again_between_two_hogs_but_not_after_the_last():
    # 30 + 40 + 30 = 100 min fit exactly in a window of 100 min.
    windows = (Window(start=480, end=580),)
    problem = make_problem(
        make_step("one", windows=windows),
        make_step("two", windows=windows),
        stations=[StationSpec(id="bench", name="Trough", set_up_min=40)],
    )
    assert sorted(solved(problem).starts.values()) == [480, 550]


def test_a_pool_is_shared_out():
    # Two steps need 2 of 3 hands each: one after another, although the bench holds ten.
    need = (Need(pool="hands", amount=2),)
    problem = make_problem(
        make_step("one", needs=need),
        make_step("two", needs=need),
        pools=[Pool(id="hands", name="hands", capacity=3)],
    )
    assert sorted(solved(problem).starts.values()) == [480, 510]


def test_hands_rest_before_they_are_needed_again():
    # Four on the chains rest 25 min after the first lift: the second starts at 535.
    need = (Need(pool="chains", amount=4, rest_min=25),)
    problem = make_problem(
        make_step("one", needs=need),
        make_step("two", needs=need),
        pools=[Pool(id="chains", name="chains", capacity=4)],
    )
    assert sorted(solved(problem).starts.values()) == [480, 535]


def test_a_fixed_step_stays_and_the_others_go_round_it():
    # Fixed to 490, so 480 to 490 is too short for the other: it follows at 520.
    problem = make_problem(
        make_step("fixed", pinned_start=490), make_step("free"), stations=[ONE_AT_A_TIME]
    )
    assert solved(problem).starts == {"fixed": 490, "free": 520}


# --- goals, in their order ------------------------------------------------------------------


def test_lateness_comes_before_the_finish():
    # "either" (30 min) fits on day 1 after the kill, or on day 2, where nothing else is. On day 1
    # the days end at 540, in sum 540; on day 2 at 510 and 510, in sum 1020. Without a wish day 1
    # is better; with a wish for 510 on day 1 it would be 30 min late, so it moves to day 2.
    day_two = Window(start=1440 + 480, end=1440 + 720)
    steps = (make_step("kill"), make_step("either", windows=(MORNING, day_two)))
    wished = make_problem(*steps, stations=[ONE_AT_A_TIME], finish_by={0: 510})
    free = make_problem(*steps, stations=[ONE_AT_A_TIME])
    assert solved(free).finish == {0: 540}
    answer = solved(wished)
    assert answer.finish == {0: 510, 1: 1440 + 510}
    assert [(goal.name, goal.value) for goal in answer.goals] == [
        ("late", 0),
        ("finish", 1020),
        ("waiting", 0),
    ]


def test_a_day_that_must_end_late_says_by_how_much():
    answer = solved(make_problem(make_step("scrape", 60), finish_by={0: 500}))
    assert answer.late_minutes == 40


def test_finishing_early_comes_before_short_waiting():
    # Bench for one: kill 1 (30), kill 2 (30), and the scrapes of 30 elsewhere, one at a time. The
    # day ends at 480 + 30 + 30 + 30 = 570 at best: kills at 480 and 510, scrapes at 510 and 540.
    # Then nobody waits at all, so waiting is 0 without a later finish.
    names = ("1", "2")
    problem = make_problem(
        *(make_step(f"kill {name}") for name in names),
        *(make_step(f"scrape {name}", station="slab") for name in names),
        gaps=[Gap(before=f"kill {name}", after=f"scrape {name}") for name in names],
        stations=[ONE_AT_A_TIME, StationSpec(id="slab", name="Slab")],
    )
    answer = solved(problem)
    assert (answer.finish, answer.waiting_minutes) == ({0: 570}, 0)


def test_a_carcass_waits_no_longer_than_it_must():
    # The scrape is fixed to 600. Of all kills that allow it, only 570 leaves no waiting.
    problem = make_problem(
        make_step("kill"),
        make_step("scrape", pinned_start=600),
        gaps=[Gap(before="kill", after="scrape")],
    )
    answer = solved(problem)
    assert answer.starts["kill"] == 570
    assert answer.waiting_minutes == 0


def test_dough_that_waits_does_not_count():
    problem = make_problem(
        make_step("dough"),
        make_step("baking", pinned_start=600),
        gaps=[Gap(before="dough", after="baking", carcass_waits=False)],
    )
    answer = solved(problem)
    assert answer.starts["dough"] == 480
    assert answer.waiting_minutes == 0


# --- slack and critical steps ---------------------------------------------------------------


def test_slack_is_the_room_to_the_end_of_the_day():
    # long 480 to 570 ends the day; short (30) could start as late as 540: slack 60.
    answer = solved(make_problem(make_step("long", 90), make_step("short", 30)))
    assert answer.slack == {"long": 0, "short": 60}
    assert answer.critical == ("long",)


def test_the_order_at_a_station_leaves_no_slack():
    # One bench, no pause between them: the first holds the second, both are critical.
    answer = solved(make_problem(make_step("one"), make_step("two"), stations=[ONE_AT_A_TIME]))
    assert set(answer.slack.values()) == {0}


def test_hands_that_nobody_waits_for_take_no_slack():
    # Two of fourteen hands, one each: no order between the two, although one ends first.
    need = (Need(pool="hands", amount=1),)
    problem = make_problem(
        make_step("long", 90, needs=need),
        make_step("early", 30, needs=need),
        make_step("later", 30, needs=need, pinned_start=520),
        pools=[Pool(id="hands", name="hands", capacity=14)],
    )
    assert solved(problem).slack == {"long": 0, "early": 60, "later": 0}


def test_slack_stops_at_a_break():
    # The day ends at 600. The short one (30) must end by the break at 540, or start after it at
    # 570 and end at 600: its latest start is 570, slack 90. A step of 60 cannot jump the break
    # and still end by 600: it ends by 540, so its slack is 0.
    problem = make_problem(
        make_step("short", 30),
        make_step("hour", 60),
        make_step("last", 30, pinned_start=570),
        breaks=[Window(start=540, end=570)],
    )
    assert solved(problem).slack == {"short": 90, "hour": 0, "last": 0}


def test_a_longest_gap_ties_the_later_step_to_the_earlier():
    # kill is fixed; scald may wait at most 10 min, though the day is long: slack 10.
    problem = make_problem(
        make_step("kill", pinned_start=480),
        make_step("scald"),
        make_step("long", 200),
        gaps=[Gap(before="kill", after="scald", most_min=10)],
    )
    assert solved(problem).slack == {"kill": 0, "scald": 10, "long": 0}


# --- everything at once, and always ---------------------------------------------------------


def test_a_course_with_every_feature_is_planned_as_argued():
    # Day 1: kill 480, 5 min, scald 495, scrape 505 to 565. One bench: the second scrape ends at
    # 625 at the earliest, which the trough (505 + 40 = 545) allows, and the chains too
    # (505 + 30 = 535). Wish 640: not late. Scalds end when their scrapes start and so on: no
    # carcass waits. Day 2: the meal, fixed to 2220, ends it at 2280, as wished.
    problem = full_problem()
    answer = solved(problem)
    assert answer.finish == {0: 625, 1: 2280}
    assert [(goal.name, goal.value) for goal in answer.goals] == [
        ("late", 0),
        ("finish", 625 + 840),
        ("waiting", 0),
    ]
    assert answer.sentence() == "Proved best on every goal."


def test_an_answer_short_of_proof_says_how_short():
    goals = (
        Goal(name="finish", value=612, bound=600, seconds=5.0),
        Goal(name="waiting", value=0, bound=0, seconds=0.1),
    )
    answer = TimetableAnswer(problem=make_problem(), status=Status.WITHIN_BOUND, goals=goals)
    assert answer.sentence() == "finish: Within 2 % of the best possible."


def test_an_answer_without_a_plan_has_nothing_to_measure():
    answer = TimetableAnswer(problem=full_problem(), status=Status.NO_ANSWER_IN_TIME)
    assert answer.sentence() == ("No timetable was found in the time allowed. Allow more time.")
    assert (answer.finish, answer.slack, answer.critical) == ({}, {}, ())
    assert (answer.late_minutes, answer.waiting_minutes) == (0, 0)


def test_nothing_to_plan_is_planned():
    assert solved(make_problem()).starts == {}


def test_nonsense_time_or_workers_are_refused():
    with pytest.raises(BadProblem, match="must be above 0"):
        solve(make_problem(), seconds=0)
    with pytest.raises(BadProblem, match="1 or more"):
        solve(make_problem(), workers=0)


@pytest.mark.parametrize("workers", [1, 2])
def test_the_same_problem_and_seed_give_the_same_plan(workers):
    plans = [solve(full_problem(), seed=7, workers=workers).starts for _ in range(3)]
    assert plans[0] == plans[1] == plans[2]


@settings(max_examples=60, deadline=None, derandomize=True)
@given(small_problems())
def test_any_plan_passes_the_checker_and_measures_what_the_solver_proved(problem):
    """The bounds are the solver's, the measures the plan's own: where proved, they agree."""
    answer = solve(problem, workers=1)
    if answer.status is Status.IMPOSSIBLE:
        assert answer.refusals
        return
    assert answer.status is Status.PROVED_BEST
    assert check_timetable(problem, answer.starts) == ()
    bounds = {goal.name: goal.bound for goal in answer.goals}
    assert bounds.get("late", 0) == late_minutes(problem, answer.starts)
    assert bounds["finish"] == finish_minutes(problem, answer.starts)
    assert bounds["waiting"] == waiting_minutes(problem, answer.starts)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(small_problems())
def test_a_step_that_slips_by_its_slack_leaves_a_sound_day(problem):
    """Fixed that much later, a plan still exists in which no day ends later than before."""
    answer = solve(problem, workers=1)
    for step_id, slack in answer.slack.items():
        assert slack >= 0
        slipped = tuple(
            make_step(
                step.id,
                step.expected_min,
                station=step.station,
                windows=step.windows,
                unattended=step.unattended,
                needs=step.needs,
                pinned_start=answer.starts[step_id] + slack if step.id == step_id else None,
            )
            for step in problem.steps
        )
        again = solve(
            make_problem(
                *slipped,
                gaps=problem.gaps,
                pools=problem.pools,
                breaks=problem.breaks,
                stations=problem.stations,
            ),
            workers=1,
        )
        assert again.status is Status.PROVED_BEST
        assert finish_minutes(problem, again.starts) <= finish_minutes(problem, answer.starts)
