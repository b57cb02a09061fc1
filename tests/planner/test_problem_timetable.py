"""What a timetable problem refuses when it is made."""

import pytest

from scheduling.planner.errors import BadProblem
from scheduling.planner.problem import Gap, Need, Pool, StationSpec, TimetableProblem, Window
from tests.planner.timetables import make_problem, make_step


def test_a_window_ends_after_it_starts():
    with pytest.raises(BadProblem, match="starts at 20 after its end at 10"):
        Window(start=20, end=10)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"capacity": 0}, "capacity 0; it needs 1 or more"),
        ({"set_up_min": -1}, "set-up of -1 min"),
        ({"capacity": 2, "set_up_min": 30}, "only where one step at a time is held"),
    ],
)
def test_a_station_makes_sense(changes, said):
    with pytest.raises(BadProblem, match=said):
        StationSpec(id="trough", name="Trough", **changes)


def test_a_pool_may_be_empty_but_not_less():
    assert Pool(id="chains", name="chains", capacity=0).capacity == 0
    with pytest.raises(BadProblem, match="0 or more"):
        Pool(id="chains", name="chains", capacity=-1)


@pytest.mark.parametrize("changes", [{"amount": 0}, {"amount": 1, "rest_min": -5}])
def test_a_need_is_of_something(changes):
    with pytest.raises(BadProblem, match="A need of"):
        Need(pool="chains", **changes)


@pytest.mark.parametrize(
    ("minutes", "changes"), [(0, {}), (30, {"least_min": 40}), (30, {"most_min": 20})]
)
def test_durations_are_in_order(minutes, changes):
    with pytest.raises(BadProblem, match="must be above 0 and in this order"):
        make_step("scald", minutes, **changes)


def test_a_step_needs_a_window():
    with pytest.raises(BadProblem, match="no window of time"):
        make_step("scald", windows=())


def test_the_longest_gap_is_not_below_the_least():
    with pytest.raises(BadProblem, match="at least 10 min exceeds at most 5 min"):
        Gap(before="kill", after="scald", least_min=10, most_min=5)


def test_nothing_is_listed_twice():
    with pytest.raises(BadProblem, match="Step 'scald' is listed twice"):
        make_problem(make_step("scald"), make_step("scald"))


def test_nothing_is_named_that_is_not_there():
    with pytest.raises(BadProblem, match="names station 'bench'"):
        TimetableProblem(stations=(), steps=(make_step("scald"),))
    with pytest.raises(BadProblem, match="names pool 'chains'"):
        make_problem(make_step("scald", needs=(Need(pool="chains", amount=4),)))
    with pytest.raises(BadProblem, match="names step 'kill'"):
        make_problem(make_step("scald"), gaps=[Gap(before="kill", after="scald")])
