"""What limits a day and what frees an impossible one: tried by solving again."""

from dataclasses import replace

import pytest

from scheduling.benches.courses import kill_day
from scheduling.planner import limits
from scheduling.planner.answer import Status
from scheduling.planner.errors import BadProblem
from scheduling.planner.freeing import what_frees
from scheduling.planner.limits import what_limits
from scheduling.planner.problem import Gap, Meal, Need, Pool, StationSpec, TimetableProblem, Window
from scheduling.planner.timetable import solve
from tests.planner.timetables import make_problem, make_step

BENCH = StationSpec(id="bench", name="Bench")


def said(problem: TimetableProblem) -> list[str]:
    answer = solve(problem)
    assert answer.status is Status.PROVED_BEST
    return [one.sentence for one in what_limits(problem, answer)]


def test_a_trough_that_limits_is_named_with_what_a_second_would_save():
    # Three dips of 20 min with 40 min of heating: 480 to 620. At two troughs: two at 480, one at
    # 540 to 560. Saved: 60 min. Opening an hour earlier saves an hour as well.
    trough = StationSpec(id="bench", name="Trough", set_up_min=40)
    problem = make_problem(*(make_step(f"dip {n}", 20) for n in range(3)), stations=[trough])
    assert said(problem) == [
        "Trough limits day 1 from 08:00 to 10:20; a second one would save 60 min.",
        "Day 1 beginning an hour earlier would save 60 min.",
    ]


def test_room_for_one_more_and_one_more_pair_of_hands():
    # Three of 30 min, a rack for two: 60 min; for three: 30 min. One hand each of three: enough.
    need = (Need(pool="hands", amount=1),)
    steps = [make_step(f"step {n}", needs=need) for n in range(3)]
    rack = StationSpec(id="bench", name="Rack", capacity=2)
    three = Pool(id="hands", name="hands", capacity=3)
    assert "Rack limits day 1 from 08:00 to 09:00; room for one more would save 30 min." in said(
        make_problem(*steps, stations=[rack], pools=[three])
    )
    # Room for all, but two hands: one more hand saves the same.
    roomy = make_problem(*steps, pools=[replace(three, capacity=2)])
    assert (
        "The number of hands limits day 1 from 08:00 to 09:00; one more would save 30 min."
        in said(roomy)
    )


def test_what_saves_nothing_is_left_out():
    # One after another by their order: no station limits, only the hour of opening.
    problem = make_problem(
        make_step("kill"),
        make_step("scald"),
        gaps=[Gap(before="kill", after="scald")],
        stations=[BENCH],
    )
    assert said(problem) == ["Day 1 beginning an hour earlier would save 60 min."]


def test_a_saving_is_that_of_a_plan_made_with_one_more():
    problem = kill_day(3)
    answer = solve(problem)
    (trough,) = [one for one in what_limits(problem, answer) if one.what == "trough 1"]
    again = solve(limits.one_more_station(problem, problem.stations[1]))
    assert trough.saves_min == answer.finish[0] - again.finish[0] > 0
    assert trough.proved


def test_without_a_plan_nothing_limits_it_and_nonsense_time_is_refused():
    problem = make_problem(make_step("long", 300))
    answer = solve(problem)
    assert what_limits(problem, answer) == ()
    for look in (what_limits, what_frees):
        with pytest.raises(BadProblem, match="must be above 0"):
            look(problem, answer, seconds=0)


# --- what frees -----------------------------------------------------------------------------


def freed(problem: TimetableProblem) -> list[tuple[int | None, str]]:
    answer = solve(problem)
    assert answer.status is Status.IMPOSSIBLE
    return [(one.amount, one.sentence) for one in what_frees(problem, answer)]


def test_each_member_of_a_clash_is_loosened_by_the_least_that_helps():
    # Three of 100 min on a bench for one need 300; the window has 240: 60 min more. With a second
    # bench two go side by side: 200 min.
    problem = make_problem(*(make_step(f"n{n}", 100) for n in range(3)), stations=[BENCH])
    assert freed(problem) == [
        (60, "Tried: with hours 60 min longer there is a plan."),
        (1, "Tried: with 1 more of it there is a plan."),
    ]


def test_two_fixed_steps_that_collide_can_each_move():
    # One 500 to 530 and two from 510: either moves by 20 min, or there is a second bench.
    problem = make_problem(
        make_step("one", pinned_start=500), make_step("two", pinned_start=510), stations=[BENCH]
    )
    assert [amount for amount, _ in freed(problem)] == [20, 20, 1]


def test_gaps_and_hands_are_loosened():
    # Kill 2 at most 10 min after kill 1, but the five hands rest 30 min: 20 min more at the gap,
    # or as many hands again less the one to spare: four need 8, there are 5, so 3 more. The least
    # gap between them matters too: with an overlap of 60 min both orders are free.
    need = (Need(pool="hands", amount=4, rest_min=30),)
    problem = make_problem(
        make_step("kill 1", 30, needs=need),
        make_step("kill 2", 30, needs=need),
        gaps=[Gap(before="kill 1", after="kill 2", most_min=10)],
        pools=[Pool(id="hands", name="hands", capacity=5)],
    )
    amounts = [amount for amount, _ in freed(problem)]
    assert amounts == [90, 20, 3]


def test_a_pool_too_small_for_one_step_alone_is_loosened():
    pool = Pool(id="chains", name="chains", capacity=1)
    problem = make_problem(make_step("lift", needs=(Need(pool="chains", amount=4),)), pools=[pool])
    assert freed(problem) == [(3, "Tried: with 3 more in the pool there is a plan.")]


def test_hours_and_meals_are_loosened():
    yard = StationSpec(id="bench", name="Yard", windows=(Window(start=480, end=520),))
    two = make_problem(make_step("one"), make_step("two"), stations=[yard])
    assert freed(two)[0] == (
        20,
        "Tried: with 20 min more at the end of its hours there is a plan.",
    )
    lunch = Meal(id="lunch", name="Lunch", minutes=30, earliest=500, wished=510, latest=520)
    day = (Window(start=480, end=570),)
    problem = replace(make_problem(make_step("scald", 60, windows=day)), meals=(lunch,))
    # The scald from 480 to 540 needs the meal at 540: 20 min later than 520.
    assert freed(problem)[-1][0] == 20


def test_what_one_change_cannot_free_says_so():
    # A step of 600 min in 240 would need 360 more: within the 480 that are tried. Two pools too
    # small stand in the way on their own: neither alone is enough.
    pools = [Pool(id=name, name=name, capacity=0) for name in ("a", "b")]
    needs = tuple(Need(pool=name, amount=1) for name in ("a", "b"))
    found = freed(make_problem(make_step("lift", needs=needs), pools=pools))
    assert found == [
        (None, "No plan was found even with 8 more in the pool."),
        (None, "No plan was found even with 8 more in the pool."),
    ]
