"""The rotation: one tiny course a rule, its optimum argued; any plan passes the checker."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.planner import rotation as planner
from scheduling.planner.answer import Status
from scheduling.planner.check_rotation import check_rotation
from scheduling.planner.problem import Limit, Placed, RotationProblem, Window
from tests.planner.courses import CORNERS, chains, duty, lock, person, rotation, step

NAMES = ("ada", "bo", "cy", "di", "eve", "fay", "gus", "hal")


def solved(problem: RotationProblem, seconds: float = 5.0) -> tuple[Placed, ...]:
    """The plan, once the checker has passed it."""
    answer = planner.solve(problem, seconds=seconds)
    assert answer.status.has_plan
    assert check_rotation(problem, answer.placed) == ()
    return answer.placed


def who(placed: tuple[Placed, ...], at: str, what: str) -> set[str]:
    return {one.person for one in placed if (one.step, one.duty) == (at, what)}


def test_everyone_gets_every_duty_where_places_allow() -> None:
    """Three people, three duties, three rounds: a Latin square, so all nine pairs are covered.

    Source: a cyclic Latin square of every order n exists (L. Euler, 1782; from memory).
    """
    duties = ("kill", "scald", "scrape")
    problem = rotation(
        [person(name) for name in NAMES[:3]],
        [duty(name) for name in duties],
        [step(f"r{n}", 100 * n, 100 * n + 50, *duties) for n in range(3)],
    )
    placed = solved(problem)
    assert len({(one.person, one.duty) for one in placed}) == 9


def test_a_limit_keeps_a_person_off() -> None:
    """Of two, one may not lift: the other has the duty both times, though that is uneven."""
    lift = duty("lift", ruled_out_by=frozenset({Limit.NO_LIFTING}))
    problem = rotation(
        [person("ada", limits=frozenset({Limit.NO_LIFTING})), person("bo")],
        [lift],
        [step("one", 0, 10, "lift"), step("two", 60, 70, "lift")],
    )
    assert {one.person for one in solved(problem)} == {"bo"}


def test_who_comes_late_is_placed_late() -> None:
    """Ada arrives at 50: the first step is Bo's; coverage gives Ada the second."""
    problem = rotation(
        [person("ada", present=(Window(start=50, end=200),)), person("bo")],
        [duty("timer")],
        [step("one", 0, 20, "timer"), step("two", 60, 80, "timer")],
    )
    placed = solved(problem)
    assert (who(placed, "one", "timer"), who(placed, "two", "timer")) == ({"bo"}, {"ada"})


def test_a_rest_lies_between_two_heavy_duties() -> None:
    """Eight people, two scalds ten minutes apart: nobody is on the chains twice."""
    problem = rotation(
        [person(name) for name in NAMES],
        [chains()],
        [step("one", 0, 20, "chains"), step("two", 30, 50, "chains")],
    )
    placed = solved(problem)
    assert not who(placed, "one", "chains") & who(placed, "two", "chains")
    assert {one.place for one in placed if one.step == "one"} == set(CORNERS)


def test_a_lock_is_kept() -> None:
    """Cy is locked to hind-left; the others fill the rest."""
    problem = rotation(
        [person(name) for name in NAMES[:4]],
        [chains()],
        [step("one", 0, 20, "chains")],
        locks=(lock("one", "chains", "cy", "hind-left"),),
    )
    assert Placed(step="one", duty="chains", person="cy", place="hind-left") in solved(problem)


def test_a_posted_plan_is_changed_as_little_as_can_be() -> None:
    """Bo falls ill: only Bo's place changes hands, and only Di was free."""
    steps = [step("one", 0, 20, "timer", "gate", "bucket")]
    duties = [duty(name) for name in ("timer", "gate", "bucket")]
    told = tuple(
        Placed(step="one", duty=what, person=name)
        for name, what in zip(NAMES[:3], ("timer", "gate", "bucket"), strict=True)
    )
    people = [person(name) for name in NAMES[:4]]
    people[1] = person("bo", present=())
    problem = rotation(people, duties, steps, posted=told, keep_posted=True)
    assert set(solved(problem)) == {told[0], told[2], replace(told[1], person="di")}


def test_a_demand_that_cannot_be_met_is_named_with_its_numbers() -> None:
    """Four on the chains of five people, of whom two may not lift: one is missing."""
    people = [person(name) for name in NAMES[:3]]
    people += [person(name, limits=frozenset({Limit.NO_LIFTING})) for name in NAMES[3:5]]
    problem = rotation(people, [chains()], [step("one", 0, 20, "chains")])
    answer = planner.solve(problem, seconds=5)
    assert answer.status is Status.IMPOSSIBLE
    (refusal,) = answer.refusals
    sentence = refusal.sentence()
    assert "needs 4" in sentence
    assert "2 " in sentence
    # The draft as far as it goes: the three who can are placed.
    assert {one.person for one in answer.placed} == set(NAMES[:3])


def test_the_same_input_gives_the_same_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    """Twice, to the last place, though no goal's search is left to finish."""
    # Little effort and much time, so that a busy machine's clock cannot end the search.
    monkeypatch.setattr(planner, "EFFORT_PER_SECOND", 0.01)
    problem = rotation(
        [person(name) for name in NAMES],
        [chains(), duty("timer"), duty("bucket", 2)],
        [step(f"r{n}", 60 * n, 60 * n + 20, "chains", "timer", "bucket") for n in range(3)],
    )
    first, second = (planner.solve(problem, seconds=30).placed for _ in range(2))
    assert first == second


@st.composite
def courses(draw: st.DrawFn) -> RotationProblem:
    """Small courses, feasible or not."""
    some = st.frozensets(st.sampled_from([Limit.NO_LIFTING, Limit.NO_KNIVES]), max_size=2)
    people = [
        person(
            name,
            limits=draw(some),
            present=(Window(start=draw(st.sampled_from([0, 30])), end=500),),
        )
        for name in NAMES[: draw(st.integers(2, 6))]
    ]
    duties = [
        duty(
            "heavy", draw(st.integers(1, 2)), heavy=True, ruled_out_by=frozenset({Limit.NO_LIFTING})
        ),
        duty("sharp", 1, 2, ruled_out_by=frozenset({Limit.NO_KNIVES})),
        duty("light", 0, 2),
    ]
    kinds = st.permutations(["heavy", "sharp", "light"])
    starts = draw(st.lists(st.integers(0, 200), min_size=1, max_size=4))
    steps = [
        step(f"s{n}", start, start + draw(st.sampled_from([10, 40])), *draw(kinds)[:2])
        for n, start in enumerate(starts)
    ]
    return rotation(people, duties, steps)


@settings(max_examples=15, deadline=None)
@given(courses())
def test_a_plan_keeps_every_rule_or_says_what_is_missing(problem: RotationProblem) -> None:
    """Any plan offered passes the checker; without one there is a sentence, and never a crash."""
    answer = planner.solve(problem, seconds=3)
    if answer.status.has_plan:
        assert check_rotation(problem, answer.placed) == ()
    else:
        assert answer.status is not Status.IMPOSSIBLE or answer.refusals
