"""The checker of rotations: each rule, broken by hand, is found, and a sound plan passes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduling.planner.check_rotation import check_rotation
from scheduling.planner.problem import (
    DutySpec,
    FilledBy,
    Limit,
    Part,
    PersonSpec,
    Placed,
    RotationProblem,
    Window,
)
from scheduling.planner.rules import Rule
from tests.planner.courses import CORNERS, chains, duty, lock, person, rotation, step

FOUR = ("ada", "bo", "cy", "di")


def scald(**changes: object) -> RotationProblem:
    """Two scalds with half an hour between, five people, four on the chains and a timer."""
    people = [person(name) for name in (*FOUR, "eve")]
    steps = [step("one", 0, 20, "chains", "timer"), step("two", 60, 80, "chains", "timer")]
    return replace(rotation(people, [chains(), duty("timer")], steps), **changes)  # type: ignore[arg-type]  # any field of the problem


def crew(at: str, names: tuple[str, ...] = FOUR, timer: str = "eve") -> list[Placed]:
    """Four at their corners and one with the clock."""
    corners = [
        Placed(step=at, duty="chains", person=name, place=place)
        for name, place in zip(names, CORNERS, strict=True)
    ]
    return [*corners, Placed(step=at, duty="timer", person=timer)]


SOUND = [*crew("one"), *crew("two")]


def broken(problem: RotationProblem, placed: list[Placed]) -> set[Rule]:
    return {breach.rule for breach in check_rotation(problem, placed)}


def test_a_sound_plan_passes() -> None:
    """Forty minutes of rest between the two scalds are enough."""
    assert check_rotation(scald(), SOUND) == ()


def test_too_few_and_too_many_hands_are_found() -> None:
    """The timer is left out, then doubled."""
    assert broken(scald(), SOUND[:-1]) == {Rule.HANDS_NEEDED}
    doubled = [*SOUND, Placed(step="two", duty="timer", person="ada")]
    assert Rule.HANDS_NEEDED in broken(scald(), doubled)


def test_two_at_one_corner_are_found() -> None:
    """Two at fore-left, nobody at fore-right."""
    moved = [*SOUND]
    moved[1] = replace(moved[1], place="fore-left")
    assert broken(scald(), moved) == {Rule.NAMED_PLACES}


def test_a_placement_at_a_duty_that_the_step_has_not_is_found() -> None:
    """Nobody scrapes in the trough."""
    stray = Placed(step="one", duty="scrape", person="eve")
    assert Rule.HANDS_NEEDED in broken(scald(), [*SOUND, stray])


def test_one_person_at_two_steps_at_once_is_found() -> None:
    """The second scald begins while the first runs."""
    steps = (step("one", 0, 20, "timer"), step("two", 10, 30, "timer"))
    both = [Placed(step=at, duty="timer", person="eve") for at in ("one", "two")]
    assert broken(scald(steps=steps), both) == {Rule.ONE_PLACE_AT_A_TIME}


def test_a_heavy_duty_too_soon_after_another_is_found() -> None:
    """Forty minutes lie between; the rest asked for is forty-one."""
    assert broken(scald(rest_after_heavy_min=41), SOUND) == {Rule.REST_AFTER_HEAVY}
    assert broken(scald(rest_after_heavy_min=40), SOUND) == set()


def test_a_lock_that_is_not_kept_is_found() -> None:
    """Ada was locked to hind-right."""
    locks = (lock("one", "chains", "ada", "hind-right"),)
    assert broken(scald(locks=locks), SOUND) == {Rule.LOCKS}


@pytest.mark.parametrize(
    ("rule", "who", "what"),
    [
        (Rule.PRESENCE, person("eve", present=(Window(start=0, end=19),)), duty("timer")),
        (
            Rule.ADULTS,
            person("eve", limits=frozenset({Limit.UNDER_18})),
            duty("timer", ruled_out_by=frozenset({Limit.UNDER_18})),
        ),
        (
            Rule.LIMITS,
            person("eve", limits=frozenset({Limit.NO_KNIVES})),
            duty("timer", ruled_out_by=frozenset({Limit.NO_KNIVES})),
        ),
        (Rule.FILLED_BY, person("eve"), duty("timer", filled_by=FilledBy.STAFF)),
        (
            Rule.FILLED_BY,
            person("eve", part=Part.HELPER),
            duty("timer", filled_by=FilledBy.LEAD),
        ),
        (Rule.KNIFE_FLOOR, person("eve", knife=1), duty("timer", knife_floor=2)),
        (Rule.LIFT_FLOOR, person("eve", lift_kg=12.0), duty("timer", lift_floor_kg=15.0)),
    ],
)
def test_someone_who_may_not_is_found(rule: Rule, who: PersonSpec, what: DutySpec) -> None:
    """Each reason against one person at one duty, with the name in the sentence."""
    problem = rotation([who], [what], [step("one", 0, 20, "timer")])
    (breach,) = check_rotation(problem, [Placed(step="one", duty="timer", person="eve")])
    assert breach.rule == rule
    assert breach.sentence.startswith("Eve is on Timer at One.")


def test_a_lift_that_is_not_known_rules_nothing_out() -> None:
    """Blank is not zero."""
    problem = rotation(
        [person("eve", lift_kg=None)],
        [duty("timer", lift_floor_kg=15.0)],
        [step("one", 0, 20, "timer")],
    )
    assert check_rotation(problem, [Placed(step="one", duty="timer", person="eve")]) == ()
