"""Why a step stands where it stands, one example for each reason."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduling.planner.problem import Gap, Need, Pool, StationSpec, TimetableProblem, Window
from scheduling.planner.reasons import reasons
from tests.planner.timetables import make_problem, make_step

TROUGH = StationSpec(id="trough", name="Trough", set_up_min=20)


def scene() -> TimetableProblem:
    hands = Need(pool="hands", amount=2)
    return make_problem(
        make_step("fire", 20, station="yard"),
        make_step("one", 10, station="trough"),
        make_step("two", 10, station="trough"),
        make_step("scrape", 30, station="bench", needs=(hands,)),
        make_step("hang", 10, station="rail", needs=(hands,)),
        make_step("sweep", 10, station="yard"),
        make_step("wash", 10, station="sink"),
        gaps=[Gap(before="fire", after="one", least_min=5)],
        pools=[Pool(id="hands", name="people fit for the chains", capacity=3)],
        breaks=[Window(start=600, end=615)],
        stations=[TROUGH],
    )


@pytest.mark.parametrize(
    ("step", "why"),
    [
        ("fire", "It starts as early as its day allows."),
        ("one", "It follows fire 5 min later."),
        ("two", "It waits at the trough for one and 20 min to make ready."),
        ("hang", "It waits for hands (people fit for the chains) from scrape."),
        ("sweep", "It starts after the break."),
        ("wash", "It is held back, so that what follows it need not wait."),
    ],
)
def test_the_reason_is_said(step: str, why: str) -> None:
    """Fire at 480; trough at 505 and 535; scrape 540 to 570, then its people hang."""
    starts = {"fire": 480, "one": 505, "two": 535, "scrape": 540, "hang": 570}
    found = reasons(scene(), starts | {"sweep": 615, "wash": 629})
    assert found[step] == why


def test_a_pin_is_said_first() -> None:
    """Whatever else would keep it."""
    problem = scene()
    first, *rest = problem.steps
    pinned = replace(problem, steps=(replace(first, pinned_start=480), *rest))
    starts = {step.id: 480 for step in problem.steps}
    assert reasons(pinned, starts)["fire"] == "The lead pinned it to this time."
