"""The odds of a plan: a run is a plan, no width gives the plan back, and each rule by example."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.benches.simulate import course_of
from scheduling.planner.check_timetable import check_timetable
from scheduling.planner.day_runs import NOBODY, Runs, run_days
from scheduling.planner.durations import Draws, Law, draw_minutes
from scheduling.planner.errors import BadProblem
from scheduling.planner.problem import (
    Gap,
    Meal,
    Need,
    Pool,
    StationSpec,
    TimetableProblem,
    Window,
)
from scheduling.planner.simulate import simulate
from scheduling.planner.timetable import solve
from tests.planner.timetables import full_problem, make_problem, make_step, small_problems

LONG = (Window(start=0, end=5000),)


def ran(problem: TimetableProblem, starts: dict[str, int], **minutes: int) -> dict[str, int]:
    """One run in which the named steps take so long, and the others as expected."""
    drawn = {step.id: np.array([minutes.get(step.id, step.expected_min)]) for step in problem.steps}
    return run_days(problem, starts, drawn).starts_of(0)


def widened(problem: TimetableProblem, drawn: np.ndarray) -> TimetableProblem:
    """The problem with these lengths, and without what a late day may break.

    That is: ends of windows, longest gaps, meals and pins; starts of windows are kept.
    """
    steps = tuple(
        replace(
            step,
            least_min=None,
            most_min=None,
            expected_min=int(minutes),
            windows=(Window(start=min(one.start for one in step.windows), end=100_000),),
            pinned_start=None,
        )
        for step, minutes in zip(problem.steps, drawn, strict=True)
    )
    gaps = tuple(replace(gap, most_min=None) for gap in problem.gaps)
    return replace(problem, steps=steps, gaps=gaps, breaks=())


# --- properties -------------------------------------------------------------------------------


@settings(max_examples=25, deadline=None)
@given(small_problems())
def test_no_width_gives_the_plan_back_exactly(problem: TimetableProblem) -> None:
    """Every step takes what was expected, so every step starts when it was posted."""
    plan = solve(problem, seconds=5)
    if plan.starts:
        assert ran(problem, dict(plan.starts)) == plan.starts


@settings(max_examples=25, deadline=None)
@given(small_problems(), st.integers(0, 1000))
def test_the_checker_agrees_with_every_run(problem: TimetableProblem, seed: int) -> None:
    """Least gaps, places, set-ups, hands and rests hold in each run, whatever was drawn."""
    problem = replace(
        problem,
        steps=tuple(
            replace(step, least_min=max(1, step.expected_min // 2), most_min=step.expected_min * 2)
            for step in problem.steps
        ),
    )
    plan = solve(problem, seconds=5)
    if not plan.starts:
        return
    drawn = draw_minutes(problem.steps, Draws(runs=5, seed=seed))
    minutes = {step.id: drawn[:, n] for n, step in enumerate(problem.steps)}
    runs = run_days(problem, plan.starts, minutes)
    for run in range(5):
        assert check_timetable(widened(problem, drawn[run]), runs.starts_of(run)) == ()


def test_the_example_with_every_feature_comes_back_and_holds() -> None:
    """Two hogs, two days, set-up, rest, break, pin and longest gaps."""
    problem = full_problem()
    plan = solve(problem, seconds=10)
    assert ran(problem, dict(plan.starts)) == plan.starts


def test_the_same_seed_gives_the_same_odds() -> None:
    """And another seed nearly the same promise: two thousand runs are enough."""
    problem, starts = course_of(3)
    one, again = (simulate(problem, starts, draws=Draws(seed=1)) for _ in range(2))
    other = simulate(problem, starts, draws=Draws(seed=2))
    assert one == again
    assert abs(one.days[0].promise_min - other.days[0].promise_min) <= 10


# --- one example per rule ---------------------------------------------------------------------


def test_nothing_starts_before_its_posted_time() -> None:
    """The first is over at 500 rather than 510; the second was posted for 510."""
    problem = make_problem(
        make_step("scald"), make_step("scrape"), gaps=[Gap(before="scald", after="scrape")]
    )
    assert ran(problem, {"scald": 480, "scrape": 510}, scald=20)["scrape"] == 510


def test_what_must_follow_at_once_follows_a_step_that_is_over_early() -> None:
    """Stuck at 487 when stunned by then, though posted for 490; not when it is pinned."""
    at_once = [Gap(before="stun", after="stick", most_min=0)]
    stick = make_step("stick", 5)
    problem = make_problem(make_step("stun", 10), stick, gaps=at_once)
    assert ran(problem, {"stun": 480, "stick": 490}, stun=7)["stick"] == 487
    pinned = make_problem(make_step("stun", 10), replace(stick, pinned_start=490), gaps=at_once)
    assert ran(pinned, {"stun": 480, "stick": 490}, stun=7)["stick"] == 490


def test_a_station_keeps_the_order_of_the_plan_and_its_set_up() -> None:
    """Hog one is 25 min late at the trough; hog two waits for it and for the fire."""
    trough = StationSpec(id="trough", name="Trough", set_up_min=30)
    problem = make_problem(
        make_step("rinse", 10),
        make_step("one", 10, station="trough"),
        make_step("two", 10, station="trough"),
        gaps=[Gap(before="rinse", after="one")],
        stations=[trough],
    )
    starts = {"rinse": 480, "one": 490, "two": 530}
    assert ran(problem, starts, rinse=35) == {"rinse": 480, "one": 515, "two": 555}


def test_hands_go_to_whichever_step_is_ready_first_and_rest_after_a_heavy_one() -> None:
    """Of three hands two rest until 550; the wash, ready first, keeps the third until then."""
    hands = Pool(id="hands", name="hands", capacity=3)
    heavy = Need(pool="hands", amount=2, rest_min=30)
    problem = make_problem(
        make_step("lift", 20, needs=(heavy,)),
        make_step("wash", 10, needs=(Need(pool="hands", amount=2),)),
        make_step("sweep", 10, needs=(Need(pool="hands", amount=1),)),
        pools=[hands],
    )
    starts = {"lift": 480, "wash": 530, "sweep": 532}
    assert ran(problem, starts, lift=40) == {"lift": 480, "wash": 550, "sweep": 550}
    first = {"lift": 480, "wash": 530, "sweep": 500}
    assert ran(problem, first, lift=40)["sweep"] == 500


def test_a_step_that_would_run_into_a_meal_waits_unless_it_must_not() -> None:
    """Pushed to 585 with 30 min to do before dinner at 600: after dinner; hot, it goes on."""
    dinner = [Window(start=600, end=660)]
    given = {"scald": 540, "scrape": 565}
    cold = make_problem(
        make_step("scald", 20),
        make_step("scrape", 30),
        gaps=[Gap(before="scald", after="scrape")],
        breaks=dinner,
    )
    hot = replace(cold, gaps=(Gap(before="scald", after="scrape", most_min=5),))
    assert ran(cold, given, scald=45)["scrape"] == 660
    assert ran(hot, given, scald=45)["scrape"] == 585


def test_a_meal_bends_by_ten_minutes() -> None:
    """Due to be over at 605 or 615, with dinner at 600."""
    problem = make_problem(
        make_step("scald", 20),
        make_step("scrape", 30),
        gaps=[Gap(before="scald", after="scrape")],
        breaks=[Window(start=600, end=660)],
    )
    given = {"scald": 540, "scrape": 570}
    assert ran(problem, given, scald=35)["scrape"] == 575
    assert ran(problem, given, scald=45)["scrape"] == 660


def test_the_kill_is_held_back_while_the_bench_is_late() -> None:
    """Hog one's scrape is 40 min late and not over at 540, so the lead expects it to go on.

    At 540 it has taken 70 of 60 min: expected over now. So the next kill is not held then. With a
    bench begun 30 min late the lead sees that it will be over at 570, so hog two, which must be
    scraped at most 5 min after its kill, is killed at 560 instead of 530.
    """
    problem = make_problem(
        make_step("fire", 20, station="yard"),
        make_step("scrape one", 60),
        make_step("kill two", 10, station="pen"),
        make_step("scrape two", 60),
        gaps=[
            Gap(before="fire", after="scrape one"),
            Gap(before="kill two", after="scrape two", most_min=5),
        ],
        stations=[StationSpec(id="bench", name="Bench")],
    )
    starts = {"fire": 460, "scrape one": 480, "kill two": 530, "scrape two": 540}
    drawn = {step.id: np.array([step.expected_min]) for step in problem.steps}
    drawn["fire"] = np.array([50])
    late = run_days(problem, starts, drawn).starts_of(0)
    assert late == {"fire": 460, "scrape one": 510, "kill two": 560, "scrape two": 570}


# --- what is counted --------------------------------------------------------------------------


def test_the_odds_of_one_step_are_those_of_its_triangle() -> None:
    """Of 40, 60, 80 min half are done by 60, and 4/5 by 80 - sqrt(0.2 x 40 x 20) = 67.35."""
    problem = make_problem(make_step("scrape", 60, least_min=40, most_min=80, windows=LONG))
    draws = Draws(runs=50_000)
    (day,) = simulate(problem, {"scrape": 480}, draws=draws, by={0: {"dark": 540}}).days
    assert day.planned_min == day.even_min == 540
    assert day.promise_min == 547
    # Whole minutes: 60.4 counts as 60, so a little more than half (1/2 + 0.5 / 20).
    assert day.by["dark"] == pytest.approx(0.525, abs=0.01)
    assert (day.curve[0][0], day.curve[-1][0]) == (520, 560)


def test_a_gap_is_broken_as_often_as_it_is() -> None:
    """The hoist is taken until 530; the hog comes off the bench between 500 and 520, evenly."""
    problem = make_problem(
        make_step("scrape", 30, least_min=20, most_min=40, windows=LONG),
        make_step("hang", 10, station="hoist", pinned_start=535, windows=LONG),
        gaps=[Gap(before="scrape", after="hang", most_min=25)],
    )
    odds = simulate(problem, {"scrape": 480, "hang": 535}, draws=Draws(runs=20_000))
    (gap,) = odds.gaps
    # Over at 509 or before: below 29.5 of 20, 30, 40, which is 1/2 - 0.5 / 10 + (0.5 / 10)^2 / 2.
    assert gap.broken == pytest.approx(0.451, abs=0.015)
    assert (gap.before, gap.after, gap.most_min) == ("scrape", "hang", 25)


def test_the_step_to_watch_is_the_one_that_spreads_the_end() -> None:
    """Of two in a row that are both on the way to the end, the wider one is to be watched."""
    problem = make_problem(
        make_step("scald", 10, least_min=8, most_min=12, windows=LONG),
        make_step("scrape", 60, least_min=30, most_min=120, windows=LONG),
        make_step("sweep", 5, station="yard", windows=LONG),
        gaps=[Gap(before="scald", after="scrape", most_min=5)],
    )
    (day,) = simulate(problem, {"scald": 480, "scrape": 490, "sweep": 480}).days
    assert day.watch.step == "scrape"
    shares = {one.step: one.critical for one in day.steps}
    assert set(shares) == {"scald", "scrape"}
    assert shares["scrape"] == 1.0
    # The clock, not the scald, lets the scrape start when the scald is over early.
    assert 0.6 < shares["scald"] < 0.8


def test_a_day_without_width_has_no_step_to_watch() -> None:
    """Nothing varies, so nothing decides."""
    problem = make_problem(make_step("scald"))
    (day,) = simulate(problem, {"scald": 480}).days
    assert day.watch is None
    assert {minute for minute, _ in day.curve} == {510}


def test_steps_alike_spread_the_end_more() -> None:
    """Ten steps in a row: independent draws even out, common ones do not."""
    steps = [make_step(f"s{n}", 30, least_min=20, most_min=60, windows=LONG) for n in range(10)]
    problem = make_problem(*steps, stations=[StationSpec(id="bench", name="Bench")])
    starts = {f"s{n}": 480 + 30 * n for n in range(10)}
    apart, alike = (simulate(problem, starts, draws=Draws(alike=a)).days[0] for a in (0.0, 0.5))
    width = [day.curve[-2][0] - day.curve[1][0] for day in (apart, alike)]
    assert width[1] > 1.5 * width[0]


@pytest.mark.parametrize("law", list(Law))
def test_draws_stay_within_their_range(law: Law) -> None:
    """Least and most are limits."""
    step = make_step("scrape", 60, least_min=45, most_min=90)
    drawn = draw_minutes((step,), Draws(runs=5000, law=law))
    assert drawn.min() >= 45
    assert drawn.max() <= 90


def test_nonsense_is_refused_in_words() -> None:
    """No runs, a share above one, a plan with a hole."""
    with pytest.raises(BadProblem, match="0 runs with seed 1"):
        Draws(runs=0)
    with pytest.raises(BadProblem, match="a share from 0 to 1"):
        Draws(alike=1.5)
    with pytest.raises(BadProblem, match="Scald has no start"):
        simulate(make_problem(make_step("scald")), {})
    with pytest.raises(BadProblem, match="Scald has no drawn minutes"):
        run_days(make_problem(make_step("scald")), {"scald": 480}, {})


def test_a_cause_is_kept_for_each_wait() -> None:
    """The scrape waits for the scald; the scald for nobody."""
    problem = make_problem(
        make_step("scald"), make_step("scrape"), gaps=[Gap(before="scald", after="scrape")]
    )
    drawn = {"scald": np.array([40]), "scrape": np.array([30])}
    runs: Runs = run_days(problem, {"scald": 480, "scrape": 510}, drawn)
    assert runs.waited_for.tolist() == [[NOBODY, 0]]


# --- what a station or a meal asks for --------------------------------------------------------


def test_a_pair_s_own_set_up_is_kept() -> None:
    """From one to two 5 min suffice, though 30 are the rule."""
    trough = StationSpec(
        id="trough", name="Trough", set_up_min=30, set_up_between={("one", "two"): 5}
    )
    problem = make_problem(
        make_step("one", 10, station="trough"),
        make_step("two", 10, station="trough"),
        stations=[trough],
    )
    assert ran(problem, {"one": 480, "two": 495}, one=12)["two"] == 497


def test_of_two_troughs_each_serves_its_own() -> None:
    """Two hogs at once, at two troughs; the third takes the one that comes free."""
    problem = make_problem(
        *(make_step(f"hog {n}", 20, station="left", or_at=("right",)) for n in (1, 2, 3)),
        stations=[StationSpec(id="left", name="Left"), StationSpec(id="right", name="Right")],
    )
    posted = {"hog 1": 480, "hog 2": 480, "hog 3": 500}
    drawn = {step.id: np.array([20]) for step in problem.steps}
    assert run_days(problem, posted, drawn).starts_of(0) == posted


def test_a_meal_that_was_moved_is_kept_where_the_plan_has_it() -> None:
    """Wished at 600, planned at 620: a late step waits until 650."""
    meal = Meal(id="tea", name="Tea", minutes=30, earliest=600, wished=600, latest=640)
    problem = replace(
        make_problem(
            make_step("scald", 20),
            make_step("scrape", 30),
            gaps=[Gap(before="scald", after="scrape")],
        ),
        meals=(meal,),
    )
    posted = {"scald": 560, "scrape": 580, "tea": 620}
    assert ran(problem, posted, scald=45)["scrape"] == 650


def test_a_yard_that_is_dark_for_a_while_is_closed_then() -> None:
    """The trough may be used to 520 and from 600 on."""
    trough = StationSpec(
        id="trough", name="Trough", windows=(Window(start=0, end=520), Window(start=600, end=900))
    )
    problem = make_problem(
        make_step("rinse", 10),
        make_step("scald", 20, station="trough", windows=LONG),
        gaps=[Gap(before="rinse", after="scald")],
        stations=[trough],
    )
    assert ran(problem, {"rinse": 480, "scald": 490}, rinse=30)["scald"] == 600


def test_what_the_runs_do_not_know_is_refused_in_words() -> None:
    """A bench kept until the hoist takes the carcass."""
    problem = make_problem(
        make_step("scrape"),
        make_step("hang", station="hoist"),
        gaps=[Gap(before="scrape", after="hang", keeps_place=True)],
    )
    with pytest.raises(BadProblem, match=r"keeps its place .* odds are not worked out"):
        simulate(problem, {"scrape": 480, "hang": 510})


def test_what_nobody_stands_by_takes_its_expected_time() -> None:
    """A chill of 900 min that may be left for 1000."""
    chill = make_step("chill", 900, most_min=1000, unattended=True)
    assert set(draw_minutes((chill,), Draws(runs=50)).flatten()) == {900}
