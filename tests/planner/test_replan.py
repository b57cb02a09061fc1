"""Placing again from now: the past stays, few hear of a change, and the change reads well."""

from __future__ import annotations

from dataclasses import replace

from scheduling.planner.check_rotation import check_rotation
from scheduling.planner.problem import Placed, RotationProblem, Window
from scheduling.planner.replan import Replan, replan
from scheduling.planner.rotation import solve
from scheduling.planner.rotation_problem import PersonSpec
from tests.planner.courses import CORNERS, chains, demo_course, duty, lock, person, rotation, step

NAMES = ("ada", "bo", "cy", "di", "eve")


def again(problem: RotationProblem, now: int) -> Replan:
    """The re-plan, once the checker has passed it."""
    found = replan(problem, now=now)
    assert found.answer.status.has_plan
    assert check_rotation(found.answer.problem, found.answer.placed) == ()
    return found


def gone(problem: RotationProblem, name: str, now: int) -> RotationProblem:
    """The problem with one person away from a moment on."""

    def changed(one: PersonSpec) -> PersonSpec:
        present = tuple(
            Window(start=stay.start, end=min(stay.end, now))
            for stay in one.present
            if stay.start < now
        )
        return replace(one, present=present) if one.id == name else one

    return replace(problem, people=tuple(changed(one) for one in problem.people))


def test_one_takes_a_place_from_another_and_nothing_else_changes():
    told = tuple(
        Placed(step="dip", duty="chains", person=name, place=place)
        for name, place in zip(NAMES, CORNERS, strict=False)
    )
    problem = rotation(
        [person(name) for name in NAMES], [chains()], [step("dip", 60, 80, "chains")], posted=told
    )
    found = again(gone(problem, "di", 30), 30)
    assert (found.fewest.value, found.fewest.bound) == (2, 2)
    assert found.sentences() == (
        "Di is free at Dip; Eve has Chains (hind-right).",
        "Eve takes Chains (hind-right) at Dip from Di.",
    )
    assert found.to_tell == ("di", "eve")


def test_who_is_moved_is_told_both_places():
    # Only Bo can take the gate from Ada, and Cy the bucket that Bo leaves.
    told = (lock("dip", "gate", "ada"), lock("dip", "bucket", "bo"))
    problem = rotation(
        [person("ada", present=()), person("bo", knife=1), person("cy")],
        [duty("gate", knife_floor=1), duty("bucket")],
        [step("dip", 60, 80, "gate", "bucket")],
        posted=told,
    )
    assert again(problem, 0).sentences() == (
        "Ada is free at Dip; no longer at Gate.",
        "Bo takes Gate at Dip from Ada, and leaves Bucket.",
        "Cy takes Bucket at Dip from Bo.",
    )


def test_a_hog_that_slips_by_an_hour_moves_only_whom_it_must():
    # The dip slips onto the rinse: Ada, on both, must leave one of them; Cy was free.
    told = (lock("dip", "timer", "ada"), lock("rinse", "hose", "ada"), lock("dip", "gate", "bo"))
    problem = rotation(
        [person(name) for name in NAMES[:3]],
        [duty("timer"), duty("hose"), duty("gate")],
        [step("dip", 120, 140, "timer", "gate"), step("rinse", 130, 150, "hose")],
        posted=told,
    )
    found = again(problem, 0)
    assert (found.fewest.value, found.fewest.bound) == (2, 2)
    assert set(found.to_tell) == {"ada", "cy"}


def test_on_a_course_like_the_demo_the_past_stays_and_the_fewest_are_proved():
    problem = demo_course()
    plan = solve(problem, seconds=3).placed
    now = 10 * 60
    posted = replace(problem, posted=plan)
    found = again(gone(posted, "a07", now), now)
    steps = {one.id: one for one in problem.steps}
    past = {one for one in plan if steps[one.step].start < now}
    assert past <= set(found.answer.placed)
    lost = [one for one in plan if one.person == "a07" and steps[one.step].end > now]
    lost = [one for one in lost if steps[one.step].start >= now]
    assert found.fewest.proved
    assert found.fewest.value >= len(lost)
    assert all(one.person != "a07" or one in past for one in found.answer.placed)
