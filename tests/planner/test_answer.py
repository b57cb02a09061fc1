"""A goal says how good it is, never better than it is."""

import pytest

from scheduling.planner.answer import Goal, Status


def make_goal(value: int, bound: int, **changes: bool) -> Goal:
    return Goal(name="waiting", value=value, bound=bound, seconds=0.1, **changes)


def test_a_value_at_its_bound_is_proved_best():
    goal = make_goal(12, 12)
    assert (goal.proved, goal.gap, goal.sentence()) == (True, 0.0, "Proved best.")


def test_the_gap_is_relative_to_the_bound():
    assert make_goal(102, 100).gap == pytest.approx(0.02)
    assert make_goal(98, 100, minimise=False).gap == pytest.approx(0.02)


def test_a_bound_of_nothing_counts_as_one():
    assert make_goal(3, 0).gap == 3.0
    assert make_goal(3, 0).sentence() == "At most 3 from the best possible."


@pytest.mark.parametrize(
    ("value", "said"),
    [(102, "Within 2 % of"), (1001, "Within 901 % of"), (101, "Within 1 % of")],
)
def test_the_per_cent_is_said(value, said):
    assert make_goal(value, 100).sentence().startswith(said)


def test_the_per_cent_is_rounded_up_never_down():
    assert make_goal(1001, 1000).sentence() == "Within 1 % of the best possible."
    assert make_goal(1011, 1000).sentence() == "Within 2 % of the best possible."


def test_a_value_better_than_its_bound_is_refused():
    with pytest.raises(ValueError, match="better than its bound"):
        make_goal(9, 10)
    with pytest.raises(ValueError, match="better than its bound"):
        make_goal(11, 10, minimise=False)


def test_only_a_found_plan_is_a_plan():
    assert {status for status in Status if status.has_plan} == {
        Status.PROVED_BEST,
        Status.WITHIN_BOUND,
    }
