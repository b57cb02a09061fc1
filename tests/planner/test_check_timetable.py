"""The checker passes a sound plan and flags each rule when a hand breaks it."""

import pytest

from scheduling.planner.check_timetable import check_timetable
from scheduling.planner.problem import Gap, Need, Pool, StationSpec, Window
from tests.planner.timetables import full_problem, make_problem, make_step

SOUND = {
    "kill of hog 1": 480,
    "scald of hog 1": 495,
    "scrape of hog 1": 505,
    "chill of hog 1": 565,
    "kill of hog 2": 535,
    "scald of hog 2": 555,
    "scrape of hog 2": 565,
    "chill of hog 2": 625,
    "cutting of hog 1": 1920,
    "cutting of hog 2": 1920,
    "meal": 2220,
}


def test_a_sound_plan_passes():
    assert check_timetable(full_problem(), SOUND) == ()


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"kill of hog 1": 470}, "Kill of hog 1 starts at 470, outside its windows."),
        ({"chill of hog 1": 1021}, "Chill of hog 1 starts at 1021, outside its windows."),
        ({"scrape of hog 2": 700}, "Scrape of hog 2 runs into the break from 720 to 780."),
        ({"meal": 2221}, "Meal starts at 2221; it is fixed to 2220."),
        ({"scald of hog 1": 494}, "at least 5 min are asked for"),
        ({"scald of hog 2": 566}, "at most 20 min are allowed"),
        ({"scrape of hog 2": 564}, "Bench has 2 steps at once; it holds 1."),
        ({"scald of hog 2": 544}, "it needs 40 min to set up"),
        ({"scald of hog 2": 534}, "people fit for the chains: 8 are held or resting at once"),
    ],
)
def test_each_rule_broken_by_hand_is_flagged(change, said):
    assert said in " ".join(check_timetable(full_problem(), SOUND | change))


def test_a_station_for_several_is_counted():
    steps = [make_step(name) for name in ("one", "two", "three")]
    rack = StationSpec(id="bench", name="Rack", capacity=2)
    found = check_timetable(
        make_problem(*steps, stations=[rack]), {"one": 480, "two": 490, "three": 500}
    )
    assert found == ("Rack has 3 steps at once; it holds 2.",)


def test_touching_is_not_overlapping():
    """One step ends, the next starts, a break starts and ends: all on the same minutes."""
    pool = Pool(id="hands", name="hands", capacity=1)
    need = (Need(pool="hands", amount=1),)
    problem = make_problem(
        make_step("one", 30, needs=need),
        make_step("two", 30, needs=need),
        gaps=[Gap(before="one", after="two")],
        pools=[pool],
        breaks=[Window(start=510, end=520)],
        stations=[StationSpec(id="bench", name="Bench")],
    )
    assert check_timetable(problem, {"one": 480, "two": 520}) == ()


def test_missing_and_strange_starts_are_told_alone():
    found = check_timetable(make_problem(make_step("one")), {"two": 0})
    assert found == (
        "One has no start.",
        "There is a start for 'two', which is not in the problem.",
    )
