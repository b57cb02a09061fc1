"""Running late without a search: what happened stays, the rest moves only as far as it must."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.planner.check_timetable import check_timetable
from scheduling.planner.errors import BadProblem
from scheduling.planner.problem import Gap, StationSpec, TimetableProblem, Window
from scheduling.planner.push_back import push_back
from scheduling.planner.timetable import solve
from tests.planner.timetables import full_problem, make_problem, make_step, small_problems


def two_hogs() -> tuple[TimetableProblem, dict[str, int]]:
    trough = StationSpec(id="trough", name="Trough", set_up_min=20)
    problem = make_problem(
        make_step("one", 10, station="trough"),
        make_step("two", 10, station="trough"),
        make_step("sweep", 10, station="yard"),
        stations=[trough],
    )
    return problem, {"one": 480, "two": 510, "sweep": 600}


def test_only_what_must_move_moves() -> None:
    """Hog one went in 15 min late, so hog two does too; the sweep keeps its time."""
    problem, posted = two_hogs()
    assert push_back(problem, posted, {"one": (495, None)}, 500) == {
        "one": 495,
        "two": 525,
        "sweep": 600,
    }


def test_slack_takes_the_lateness_up() -> None:
    """Hog one ended 5 min early enough for the re-heat: nothing moves."""
    problem, posted = two_hogs()
    late = push_back(problem, posted, {"one": (478, 489)}, 490)
    assert (late["two"], late["sweep"]) == (510, 600)


def test_what_is_not_begun_starts_now_at_the_earliest() -> None:
    """At 530 nobody has begun: one at once, two after it and the re-heat."""
    problem, posted = two_hogs()
    assert push_back(problem, posted, {}, 530) == {"one": 530, "two": 560, "sweep": 600}


def test_a_step_that_runs_longer_than_expected_is_expected_to_end_now() -> None:
    """Begun at 480 and still in at 505: the earliest end is now."""
    problem, posted = two_hogs()
    assert push_back(problem, posted, {"one": (480, None)}, 505)["two"] == 525


def test_on_time_nothing_moves() -> None:
    """Before the day, and with a step that went as posted."""
    problem = full_problem()
    posted = dict(solve(problem, seconds=10).starts)
    assert push_back(problem, posted, {}, 0) == posted


@settings(max_examples=25, deadline=None)
@given(small_problems(), st.integers(0, 200))
def test_nothing_moves_forward_and_the_checker_agrees(problem: TimetableProblem, now: int) -> None:
    """Whatever the moment: every rule but ends of windows, longest gaps and meals holds."""
    plan = solve(problem, seconds=5)
    if not plan.starts:
        return
    found = push_back(problem, plan.starts, {}, now)
    assert all(found[code] >= max(start, now) for code, start in plan.starts.items())
    loose = replace(
        problem,
        steps=tuple(
            replace(step, windows=(Window(start=0, end=100_000),)) for step in problem.steps
        ),
        gaps=tuple(replace(gap, most_min=None) for gap in problem.gaps),
        breaks=(),
    )
    assert check_timetable(loose, found) == ()


def test_wrong_times_are_refused_in_words() -> None:
    """Ended before it began; a step that was never posted."""
    problem, posted = two_hogs()
    with pytest.raises(BadProblem, match="one ended before it started; correct the times"):
        push_back(problem, posted, {"one": (500, 490)}, 510)
    with pytest.raises(BadProblem, match="Sweep has no start"):
        push_back(problem, {"one": 480, "two": 510}, {}, 500)


def test_a_hot_carcass_goes_before_the_meal() -> None:
    """Late to 585 with dinner at 600, and 5 min to be on the bench: on through dinner."""
    problem = make_problem(
        make_step("scald", 20),
        make_step("scrape", 30),
        gaps=[Gap(before="scald", after="scrape", most_min=5)],
        breaks=[Window(start=600, end=660)],
    )
    late = push_back(problem, {"scald": 540, "scrape": 560}, {"scald": (565, None)}, 570)
    assert late["scrape"] == 585


def test_a_whole_morning_late_keeps_the_order_of_the_plan() -> None:
    """Nothing has begun at 700, and everything was posted before: gaps and order still lead."""
    problem = full_problem()
    posted = dict(solve(problem, seconds=10).starts)
    late = push_back(problem, posted, {}, 700)
    for hog in ("hog 1", "hog 2"):
        assert late[f"kill of {hog}"] < late[f"scald of {hog}"] < late[f"scrape of {hog}"]
    assert abs(late["scald of hog 1"] - late["scald of hog 2"]) >= 10 + 40
