"""Running late: what is over stays as it was, and as few told times move as can be."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.benches.courses import kill_day
from scheduling.planner.answer import Goal, Status
from scheduling.planner.errors import BadProblem
from scheduling.planner.problem import Gap, Meal, Need, Pool, StationSpec, TimetableProblem
from scheduling.planner.replan_rest import Noted
from scheduling.planner.replan_times import Replanned, replan
from scheduling.planner.timetable import solve
from tests.planner.timetables import make_problem, make_step, small_problems

BENCH = StationSpec(id="bench", name="Bench")


def replanned(
    problem: TimetableProblem, posted: dict[str, int], actual: Noted, now: int
) -> Replanned:
    """The new times, passed by the checker, with what happened left as it was."""
    answer = replan(problem, posted, actual, now, seconds=5)
    assert answer.status.has_plan
    assert answer.faults() == ()
    for name, (start, _) in actual.items():
        assert answer.starts[name] == start
    for step in problem.steps:
        assert step.id in actual or answer.notes or answer.starts[step.id] >= now
    return answer


def row_of_three() -> tuple[TimetableProblem, dict[str, int]]:
    """Three steps of 30 min at one bench, the last with an hour to spare."""
    names = ("one", "two", "three")
    posted = {"one": 480, "two": 510, "three": 600}
    return make_problem(*(make_step(name) for name in names), stations=[BENCH]), posted


def test_a_day_on_time_moves_nothing():
    problem, posted = row_of_three()
    answer = replanned(problem, posted, {"one": (480, 510)}, 510)
    assert answer.starts == posted
    assert answer.moved == ()
    assert answer.sentence() == "Every posted time can be kept."


def test_a_late_step_moves_no_more_than_it_must():
    # One still runs at 520 and is over its 30 min: it is taken to end at 521. Two cannot start at
    # 510; three can stay at 600, for two fits from 521 to 551.
    problem, posted = row_of_three()
    answer = replanned(problem, posted, {"one": (480, None)}, 520)
    assert answer.starts == {"one": 480, "two": 521, "three": 600}
    assert answer.moved == ("two",)
    assert answer.sentence() == "1 posted time moves; fewer is not possible."


def test_a_step_that_runs_is_taken_to_last_as_expected():
    problem, posted = row_of_three()
    answer = replanned(problem, posted, {"one": (495, None)}, 500)
    assert answer.starts["two"] == 525
    assert answer.ends["one"] == 525


def test_one_moves_rather_than_two():
    # A ran late to 540. B (30, told 510) can go now and push C (told 540) and D (told 570), or go
    # after them at 600: one moved time rather than three.
    names = ("a", "b", "c", "d")
    problem = make_problem(*(make_step(name) for name in names), stations=[BENCH])
    posted = {"a": 480, "b": 510, "c": 540, "d": 570}
    answer = replanned(problem, posted, {"a": (480, 540)}, 540)
    assert answer.starts == {"a": 480, "b": 600, "c": 540, "d": 570}


def test_a_longest_gap_that_cannot_be_kept_is_told_and_kept_short():
    # The kill ended at 500 and the scald may follow within 20 min, but it is 540 already.
    problem = make_problem(
        make_step("kill", 20),
        make_step("scald", station="trough"),
        gaps=[Gap(before="kill", after="scald", most_min=20)],
    )
    answer = replanned(problem, {"kill": 480, "scald": 510}, {"kill": (480, 500)}, 540)
    assert answer.starts["scald"] == 540
    assert answer.breaches == ("Scald waits 20 min longer than the 20 min allowed after Kill.",)
    assert answer.goals[0].name == "overrun"
    assert answer.goals[0].value == 20


def test_a_day_that_runs_past_its_hours_says_by_how_much():
    # The window ends at 720; at 700 a step of 30 has still to come.
    problem = make_problem(make_step("scrape"))
    answer = replanned(problem, {"scrape": 600}, {}, 700)
    assert answer.starts == {"scrape": 700}
    assert answer.breaches == ("Scrape runs 10 min past its hours, to day 1, 12:00.",)


def test_a_fixed_time_that_is_over_is_told():
    answer = replanned(make_problem(make_step("vet", pinned_start=500)), {"vet": 500}, {}, 510)
    assert answer.starts == {"vet": 510}
    assert answer.breaches == ("Vet starts 10 min after its fixed time.",)


def test_two_at_a_bench_for_one_have_happened_and_are_not_argued_with():
    problem, posted = row_of_three()
    happened = {"one": (480, None), "two": (490, None)}
    answer = replanned(problem, posted, happened, 500)
    assert answer.starts["three"] == 600
    assert answer.moved == ()


def test_a_trough_still_heats_after_the_last_dip():
    # The dip ended at 500; 40 min of heating: not before 540, although the next was told 510.
    trough = StationSpec(id="bench", name="Trough", set_up_min=40)
    problem = make_problem(make_step("one"), make_step("two"), stations=[trough])
    answer = replanned(problem, {"one": 470, "two": 510}, {"one": (470, 500)}, 505)
    assert answer.starts["two"] == 540


def test_hands_that_rest_are_not_asked_too_soon():
    need = (Need(pool="chains", amount=4, rest_min=30),)
    problem = make_problem(
        make_step("one", needs=need),
        make_step("two", needs=need),
        pools=[Pool(id="chains", name="chains", capacity=4)],
    )
    answer = replanned(problem, {"one": 480, "two": 540}, {"one": (480, 520)}, 521)
    assert answer.starts["two"] == 550


def test_a_carcass_on_the_bench_still_blocks_it():
    # Scrape 1 is over, its carcass hangs at 560 at the earliest (the hoist is busy until then).
    problem = make_problem(
        make_step("scrape 1"),
        make_step("scrape 2"),
        make_step("hang 1", station="hoist"),
        make_step("other", 60, station="hoist"),
        gaps=[Gap(before="scrape 1", after="hang 1", keeps_place=True)],
        stations=[BENCH, StationSpec(id="hoist", name="Hoist")],
    )
    posted = {"scrape 1": 480, "hang 1": 510, "scrape 2": 510, "other": 540}
    answer = replanned(problem, posted, {"scrape 1": (480, 510), "other": (500, None)}, 515)
    assert answer.starts["hang 1"] == 560
    assert answer.starts["scrape 2"] == 560


def test_a_step_nobody_noted_is_over_when_the_next_has_started():
    problem = make_problem(
        make_step("kill"), make_step("scald"), gaps=[Gap(before="kill", after="scald")]
    )
    answer = replanned(problem, {"kill": 480, "scald": 510}, {"scald": (520, None)}, 525)
    assert answer.notes == (
        "Kill was not noted; it is taken as done by day 1, 08:40, for Scald has started.",
    )


def test_a_meal_under_way_is_not_cut_short():
    lunch = Meal(id="lunch", name="Lunch", minutes=45, earliest=500, wished=510, latest=540)
    problem = replace(make_problem(make_step("scald")), meals=(lunch,))
    answer = replanned(problem, {"scald": 520, "lunch": 510}, {}, 520)
    assert answer.starts == {"scald": 555, "lunch": 510}
    later = replanned(problem, {"scald": 480, "lunch": 510}, {"scald": (485, None)}, 514)
    assert later.starts == {"scald": 485, "lunch": 510}


def test_notes_that_make_no_sense_are_refused():
    problem, posted = row_of_three()
    with pytest.raises(BadProblem, match="'four', which is not in the problem"):
        replan(problem, posted, {"four": (480, None)}, 500)
    with pytest.raises(BadProblem, match="must not end before it starts, or lie in the future"):
        replan(problem, posted, {"one": (480, 530)}, 500)
    with pytest.raises(BadProblem, match="must be above 0"):
        replan(problem, posted, {}, 500, seconds=0)


def test_an_answer_short_of_proof_says_the_fewest_there_could_be():
    few = Goal(name="moved", value=4, bound=2, seconds=2.0)
    answer = Replanned(problem=make_problem(), status=Status.WITHIN_BOUND, goals=(few,))
    assert answer.sentence() == "4 posted times move; at least 2 must."
    none = Replanned(problem=make_problem(), status=Status.NO_ANSWER_IN_TIME)
    assert "could not be timed again" in none.sentence()


def late_by(minutes: int, problem: TimetableProblem, at: int) -> tuple[dict[str, int], Noted, int]:
    """A day in which what had started by ``at`` began so much late."""
    starts = dict(solve(problem, seconds=10).starts)
    now = at + minutes
    steps = {step.id: step for step in problem.steps}
    actual: dict[str, tuple[int, int | None]] = {}
    for name, start in starts.items():
        if start < at:
            end = start + minutes + steps[name].expected_min
            actual[name] = (start + minutes, end if end <= now else None)
    return starts, actual, now


@pytest.mark.parametrize("hogs", [2, 4])
def test_a_late_kill_day_is_timed_again_and_proved(hogs):
    problem = kill_day(hogs)
    posted, actual, now = late_by(20, problem, 480)
    answer = replanned(problem, posted, actual, now)
    assert next(goal for goal in answer.goals if goal.name == "moved").proved
    assert answer.moved


@settings(max_examples=60, deadline=None, derandomize=True)
@given(small_problems(), st.integers(0, 200), st.integers(-5, 40))
def test_any_late_day_is_timed_again(problem, at, late):
    """Whatever happened, the rest is planned by the rules, and no told time moves for nothing."""
    plan = solve(problem)
    if not plan.starts:
        return
    lengths = {step.id: step.expected_min for step in problem.steps}
    actual: dict[str, tuple[int, int | None]] = {}
    for name, start in plan.starts.items():
        begun, end = start, start + max(1, lengths[name] + late)
        if start < at:
            actual[name] = (begun, end if end <= at else None)
    answer = replanned(problem, dict(plan.starts), actual, at)
    if late == 0 and all(start + lengths[name] != at for name, start in plan.starts.items()):
        assert answer.moved == ()
