"""One tiny course for each rule about a day, a crew or the past, kept and broken."""

from __future__ import annotations

from dataclasses import replace

from scheduling.planner.problem import FilledBy, Part, Placed, Window
from scheduling.planner.rotation_problem import Cap, HouseholdWish, Meal, Walk
from scheduling.planner.rule import Rule
from tests.planner.courses import duty, lock, person, rotation, step

DAY = (Window(start=0, end=1000),)


def of(*rows: tuple[str, str, str]) -> tuple[Placed, ...]:
    """Placements by step, duty and person."""
    return tuple(lock(*row) for row in rows)


LATER_CASES = {
    Rule.HEAVY_IN_A_ROW: (
        rotation(
            [person("ana"), person("bo")],
            [duty("haul", heavy=True), duty("gate", 0, 1)],
            [step("a", 0, 10, "haul"), step("b", 20, 30, "gate"), step("c", 100, 110, "haul")],
        ),
        of(("a", "haul", "ana"), ("b", "gate", "ana"), ("c", "haul", "ana")),
        of(("a", "haul", "ana"), ("b", "gate", "bo"), ("c", "haul", "ana")),
        "Ana has heavy duties in a row at A and C; put a lighter duty between, or someone else "
        "on one of them.",
    ),
    Rule.WALKING: (
        rotation(
            [person("ana"), person("bo")],
            [duty("gate"), duty("timer")],
            [step("yard", 0, 10, "gate"), step("barn", 14, 20, "timer")],
            walks=(Walk(one="barn", other="yard", minutes=5),),
        ),
        of(("yard", "gate", "ana"), ("barn", "timer", "bo")),
        of(("yard", "gate", "ana"), ("barn", "timer", "ana")),
        "Ana is at Yard and at Barn with less than the 5 min of walking between.",
    ),
    Rule.TIME_CAP: (
        rotation(
            [person("ana"), person("bo")],
            [duty("rinse"), duty("wash")],
            [step("a", 0, 30, "rinse"), step("b", 40, 71, "wash")],
            caps=(Cap(name="wet work", duties=frozenset({"rinse", "wash"}), most_min=60),),
        ),
        of(("a", "rinse", "ana"), ("b", "wash", "bo")),
        of(("a", "rinse", "ana"), ("b", "wash", "ana")),
        "Ana is 61 min at wet work in a day; 60 min is the most.",
    ),
    Rule.MEAL_BREAK: (
        rotation(
            [person("ana", present=DAY), person("bo", present=DAY)],
            [duty("gate")],
            [step("a", 700, 730, "gate"), step("b", 745, 780, "gate")],
            meals=(Meal(name="dinner", start=720, end=780, minutes=20),),
        ),
        of(("a", "gate", "ana"), ("b", "gate", "bo")),
        of(("a", "gate", "ana"), ("b", "gate", "ana")),
        "Ana has no 20 min free for dinner.",
    ),
    Rule.MENTOR: (
        rotation(
            [person("ana"), person("bo"), person("cy", knife=2)],
            [duty("cut", 2, sharp=True)],
            [step("a", 0, 10, "cut")],
        ),
        of(("a", "cut", "ana"), ("a", "cut", "cy")),
        of(("a", "cut", "ana"), ("a", "cut", "bo")),
        "A has 2 first-timers with a knife and mentors for 0. A first-timer with a knife stands "
        "beside an experienced hand or a helper.",
    ),
    Rule.SUPERVISED: (
        rotation(
            [person("ana"), person("hank", part=Part.HELPER)],
            [duty("gate"), duty("watch", 0, 1, filled_by=FilledBy.STAFF)],
            [replace(step("a", 0, 10, "gate", "watch"), supervised=True)],
        ),
        of(("a", "gate", "ana"), ("a", "watch", "hank")),
        of(("a", "gate", "ana")),
        "A has neither the lead nor a helper at its station. A helper or the lead is at every "
        "station that needs one.",
    ),
    Rule.HOUSEHOLD: (
        rotation(
            [person("ana", household="hill"), person("bo", household="hill"), person("cy")],
            [duty("cut", 2)],
            [step("a", 0, 10, "cut")],
            households={"hill": HouseholdWish.APART},
        ),
        of(("a", "cut", "ana"), ("a", "cut", "cy")),
        of(("a", "cut", "ana"), ("a", "cut", "bo")),
        "Ana and Bo asked to be apart, and at A they are not.",
    ),
    Rule.PAST: (
        rotation(
            [person("ana"), person("bo")],
            [duty("gate")],
            [step("a", 0, 10, "gate")],
            posted=of(("a", "gate", "ana")),
            now=5,
        ),
        of(("a", "gate", "ana")),
        of(("a", "gate", "ana"), ("a", "gate", "bo")),
        "Bo on Gate at A, which is past, was not posted. What was done stays as it was posted.",
    ),
}
