"""What cannot be planned is named, in words that say what would help."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from ortools.sat.python import cp_model

from scheduling.planner.answer import Status
from scheduling.planner.problem import (
    Gap,
    Need,
    Pool,
    StationSpec,
    StepSpec,
    TimetableProblem,
    Window,
)
from scheduling.planner.timetable import TimetableAnswer, solve
from scheduling.planner.timetable_model import ClashModel
from scheduling.planner.timetable_refusals import smallest_clash
from scheduling.planner.timetable_rules import (
    Demand,
    TimetableRule,
    demands_of,
    spoken_window,
)
from tests.planner.timetables import MORNING, make_problem, make_step, small_problems

BENCH = StationSpec(id="bench", name="Bench")


def refused(problem: TimetableProblem) -> TimetableAnswer:
    answer = solve(problem)
    assert answer.status is Status.IMPOSSIBLE
    assert answer.starts == {}
    assert answer.slack == {}
    return answer


def only_sentence(problem: TimetableProblem) -> str:
    (refusal,) = refused(problem).refusals
    return refusal.sentence()


# --- what simple sums refuse ----------------------------------------------------------------


def test_a_need_above_the_pool():
    scald = make_step("scald of hog 2", needs=(Need(pool="chains", amount=4),))
    pool = Pool(id="chains", name="people fit for the chains", capacity=3)
    problem = make_problem(scald, pools=[pool])
    assert only_sentence(problem) == (
        "Scald of hog 2 needs 4 from people fit for the chains; the pool has 3. "
        "Add 1, or choose a way that needs fewer."
    )
    (refusal,) = refused(problem).refusals
    assert (refusal.rule, refusal.value, refusal.limit) == (TimetableRule.POOL, 4, 3)
    assert refusal.about == ("scald of hog 2", "chains")


def test_a_step_longer_than_its_windows():
    assert only_sentence(make_problem(make_step("scrape", 300))) == (
        "Scrape takes 300 min; its longest window has 240 min. "
        "Give it a window of 300 min or more, or plan it shorter."
    )


def test_a_step_longer_than_any_stretch_between_breaks():
    problem = make_problem(make_step("scrape", 150), breaks=[Window(start=580, end=600)])
    assert only_sentence(problem) == (
        "Scrape takes 150 min without a stop; between breaks its time has 120 min at most. "
        "Move or shorten a break, widen its window, or plan it shorter."
    )


def test_a_fixed_time_outside_the_windows():
    assert only_sentence(make_problem(make_step("kill", pinned_start=700))) == (
        "Kill (30 min) is fixed to day 1, 11:40; its time is day 1, 08:00 to 12:00. "
        "Fix it inside that time, or free it."
    )


def test_a_fixed_time_in_a_break():
    problem = make_problem(make_step("kill", pinned_start=500), breaks=[Window(start=520, end=540)])
    assert only_sentence(problem) == (
        "Kill (30 min) is fixed to day 1, 08:20 and would run into a break. "
        "Move the break, or fix it to another time."
    )


def test_steps_that_wait_for_one_another():
    problem = make_problem(
        make_step("kill", 10),
        make_step("scald", 10),
        make_step("other", 10),
        gaps=[Gap(before="kill", after="scald"), Gap(before="scald", after="kill")],
    )
    (refusal,) = refused(problem).refusals
    assert set(refusal.about) == {"kill", "scald"}
    assert refusal.fact.endswith(
        "wait for one another in a circle: with their gaps kept, each would start 20 min after "
        "itself."
    )


def test_a_longest_gap_shorter_than_what_lies_between():
    # Scrape at most 5 min after kill, but the scald of 30 min lies between them.
    problem = make_problem(
        *(make_step(name) for name in ("kill", "scald", "scrape")),
        gaps=[
            Gap(before="kill", after="scald"),
            Gap(before="scald", after="scrape"),
            Gap(before="kill", after="scrape", most_min=5),
        ],
    )
    (refusal,) = refused(problem).refusals
    assert refusal.value == 25
    assert refusal.remedy == "Drop one of these gaps, or loosen them by 25 min."


def test_a_chain_longer_than_the_day():
    names = ("kill", "scald", "scrape")
    problem = make_problem(
        *(make_step(name, 90) for name in names),
        gaps=[Gap(before="kill", after="scald"), Gap(before="scald", after="scrape")],
    )
    assert only_sentence(problem) == (
        "After Kill, Scald, Scrape cannot start before day 1, 11:00; its windows and breaks allow "
        "day 1, 10:30 at the latest. "
        "Start the first earlier, shorten a step or a gap, or let the last one be later."
    )


def test_every_step_in_trouble_of_its_own_is_named():
    answer = refused(make_problem(make_step("one", 300), make_step("two", 400)))
    assert [refusal.about for refusal in answer.refusals] == [("one",), ("two",)]
    assert answer.sentence() == "2 demands stand in the way of a timetable."


# --- what only a search can see -------------------------------------------------------------


def test_too_much_work_for_a_bench_names_bench_and_hours():
    # Three of 100 min on a bench for one, in 240 min. The break and the pool have no part in it.
    need = (Need(pool="hands", amount=1),)
    problem = make_problem(
        *(make_step(name, 100, needs=need) for name in ("one", "two", "three")),
        pools=[Pool(id="hands", name="hands", capacity=5)],
        breaks=[Window(start=720, end=780)],
        stations=[BENCH],
    )
    answer = refused(problem)
    assert answer.clash_is_smallest
    assert [refusal.sentence() for refusal in answer.refusals] == [
        "3 steps from One to Three (300 min in all) must lie wholly within day 1, 08:00 to 12:00. "
        "Allow more time, or plan them shorter.",
        "Bench holds one step at a time. Add a second one.",
    ]
    assert answer.sentence() == "These 2 demands cannot all be kept; free any one of them."


def test_two_fixed_steps_that_collide():
    problem = make_problem(
        make_step("one", pinned_start=500),
        make_step("two", pinned_start=510),
        make_step("three"),
        stations=[BENCH],
    )
    assert [refusal.fact for refusal in refused(problem).refusals] == [
        "One is fixed to day 1, 08:20.",
        "Two is fixed to day 1, 08:30.",
        "Bench holds one step at a time.",
    ]


def clash_of_everything() -> TimetableProblem:
    """Two hogs whose second scald must come too soon after the first."""
    steps: list[StepSpec] = []
    gaps: list[Gap] = []
    for hog in ("1", "2"):
        chains = (Need(pool="chains", amount=4, rest_min=60),)
        steps += [
            make_step(f"kill {hog}", 10, station="pen", subject=hog),
            make_step(f"scald {hog}", 10, station="trough", subject=hog, needs=chains),
            make_step(f"scrape {hog}", 60, subject=hog),
        ]
        gaps += [
            Gap(before=f"kill {hog}", after=f"scald {hog}", most_min=10),
            Gap(before=f"scald {hog}", after=f"scrape {hog}"),
        ]
    gaps.append(Gap(before="kill 1", after="kill 2", least_min=5, most_min=20))
    return make_problem(
        *steps,
        gaps=gaps,
        pools=[Pool(id="chains", name="people fit for the chains", capacity=7)],
        breaks=[Window(start=600, end=630)],
        stations=[StationSpec(id="trough", name="Trough", set_up_min=10), BENCH],
    )


def test_a_clash_over_resting_hands_names_gaps_and_pool():
    # Kill 2 starts at most 30 min after kill 1 starts. Scald 1 starts 10 min after kill 1 starts
    # or later; scald 2 at most 30 + 10 + 10 = 50 after kill 1 starts, and before scald 1 the
    # same way round is no better; four of seven rest for 60 min after a scald: impossible.
    answer = refused(clash_of_everything())
    said = [refusal.sentence() for refusal in answer.refusals]
    assert answer.clash_is_smallest
    assert "Kill 2 starts at most 20 min after Kill 1 ends. Allow a longer gap." in said
    assert (
        "The pool of people fit for the chains has 7. "
        "Add to the pool, or choose a way that needs fewer." in said
    )
    assert {refusal.rule for refusal in answer.refusals} == {
        TimetableRule.GAP_LEAST,
        TimetableRule.GAP_MOST,
        TimetableRule.POOL,
    }


def without(
    problem: TimetableProblem, rule: TimetableRule, about: tuple[str, ...]
) -> TimetableProblem:
    """The problem with one demand of a clash freed, by changing the problem itself."""
    if rule is TimetableRule.POOL:
        pools = [replace(pool, capacity=1000) for pool in problem.pools if pool.id in about]
        return replace(problem, pools=tuple(pools))
    freed = [
        replace(gap, most_min=None)
        if rule is TimetableRule.GAP_MOST and (gap.before, gap.after) == about
        else replace(gap, least_min=-500)
        if rule is TimetableRule.GAP_LEAST and {gap.before, gap.after} <= set(about)
        else gap
        for gap in problem.gaps
    ]
    return replace(problem, gaps=tuple(freed))


def test_freeing_any_member_of_a_smallest_clash_allows_a_plan():
    problem = clash_of_everything()
    for refusal in refused(problem).refusals:
        freed = without(problem, refusal.rule, refusal.about)
        assert solve(freed).status is Status.PROVED_BEST, refusal.sentence()


def holds(problem: TimetableProblem, kept: set[Demand]) -> bool:
    """Whether these demands can all be kept: one plain solve, with no assumptions."""
    rules = ClashModel(problem)
    for demand, switch in rules.switches.items():
        rules.model.add(switch == (demand in kept))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    outcome = solver.solve(rules.model)
    assert outcome in {cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.INFEASIBLE}
    return outcome != cp_model.INFEASIBLE


@settings(max_examples=80, deadline=None, derandomize=True)
@given(small_problems(longest=130))
def test_a_smallest_clash_is_a_clash_and_no_member_is_to_spare(problem):
    """Found through assumptions; checked here by solving with and without each member."""
    if solve(problem).status is not Status.IMPOSSIBLE:
        assert holds(problem, set(demands_of(problem)))
        return
    clash = smallest_clash(problem, seconds=20, seed=1)
    assert clash.is_smallest
    members = {one for one in demands_of(problem) if one.refusal(problem) in clash.refusals}
    assert len(members) == len(clash.refusals)
    assert not holds(problem, members)
    for member in members:
        assert holds(problem, members - {member})


def test_a_clash_is_the_same_every_time():
    answers = [refused(clash_of_everything()).refusals for _ in range(3)]
    assert answers[0] == answers[1] == answers[2]


def test_every_case_of_every_rule_belongs_to_one_demand():
    problem = clash_of_everything()
    cases = [(demand.rule, case) for demand in demands_of(problem) for case in demand.cases]
    assert len(cases) == len(set(cases)) == 6 + 1 + 5 + 3 + 3 + 1


@pytest.mark.parametrize(
    ("window", "said"),
    [
        (MORNING, "day 1, 08:00 to 12:00"),
        (Window(start=1200, end=1500), "day 1, 20:00 to day 2, 01:00"),
    ],
)
def test_a_window_is_said_as_people_say_it(window, said):
    assert spoken_window(window) == said
