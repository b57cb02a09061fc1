"""Every hard rule of the rotation by name, each with its sentence.

The same name is used by the model that keeps the rule, by the checker that re-checks it and by
the refusals that report it. Rules that depend on one person and one duty alone are judged here,
in :func:`reasons_against`; the model makes no variable where one of them speaks against it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from enum import StrEnum
from typing import assert_never

from scheduling.planner.errors import BadProblem
from scheduling.planner.problem import (
    DutySpec,
    FilledBy,
    Limit,
    Part,
    PersonSpec,
    Placed,
    RotationProblem,
    TimedStep,
    Window,
)


class Rule(StrEnum):
    """A hard rule of the rotation: never broken in a plan that is offered for posting."""

    HANDS_NEEDED = "hands_needed"
    NAMED_PLACES = "named_places"
    FILLED_BY = "filled_by"
    PRESENCE = "presence"
    ADULTS = "adults"
    LIMITS = "limits"
    KNIFE_FLOOR = "knife_floor"
    LIFT_FLOOR = "lift_floor"
    LIFT_AT_PLACE = "lift_at_place"
    ONE_PLACE_AT_A_TIME = "one_place_at_a_time"
    REST_AFTER_HEAVY = "rest_after_heavy"
    LOCKS = "locks"

    @property
    def sentence(self) -> str:
        """The rule as one sentence.

        >>> Rule.ADULTS.sentence
        'Nobody under 18 takes a duty that is kept for adults.'
        """
        return _SENTENCES[self]


_SENTENCES = {
    Rule.HANDS_NEEDED: "Each duty of a step has at least its least hands and at most its most.",
    Rule.NAMED_PLACES: "Where places are named, each place has exactly one person.",
    Rule.FILLED_BY: "A duty is taken by those it is meant for: attendees, staff, or the lead.",
    Rule.PRESENCE: "Nobody is placed on a step unless they are here for all of it.",
    Rule.ADULTS: "Nobody under 18 takes a duty that is kept for adults.",
    Rule.LIMITS: "Nobody takes a duty that one of their limits rules out.",
    Rule.KNIFE_FLOOR: "A duty with a knife is taken by people with enough knife experience.",
    Rule.LIFT_FLOOR: "A lifting duty is taken by people whose comfortable lift is enough.",
    Rule.LIFT_AT_PLACE: "Nobody takes a place whose load is above their comfortable lift.",
    Rule.ONE_PLACE_AT_A_TIME: "Nobody is in two places at a time.",
    Rule.REST_AFTER_HEAVY: "Nobody holds two heavy duties without the rest time between them.",
    Rule.LOCKS: "What the lead has locked stays as it is.",
}


def why_not(person: str, duty: str, step: str, problem: RotationProblem) -> Rule | None:
    """Say why a person can never take a duty at a step, whatever the rest of the plan.

    Args:
        person, duty, step: identifiers in ``problem``.
        problem: the rotation.

    Returns:
        The first rule that speaks against it, in the order of :class:`Rule`; None if none does.

    Raises:
        BadProblem: an identifier is not in the problem.
    """
    found_person = next((one for one in problem.people if one.id == person), None)
    found_duty = next((one for one in problem.duties if one.id == duty), None)
    found_step = next((one for one in problem.steps if one.id == step), None)
    if found_person is None or found_duty is None or found_step is None:
        raise BadProblem(f"{person!r}, {duty!r} or {step!r} is not in the problem; add it.")
    return next(reasons_against(found_person, found_duty, found_step), None)


def reasons_against(
    person: PersonSpec, duty: DutySpec, step: TimedStep, place: str = ""
) -> Iterator[Rule]:
    """Each rule that keeps this person off this duty at this step, whatever the rest.

    With no ``place``, a load speaks against the duty only if it does so at each of its places.
    """
    if not is_meant_for(duty, person.part):
        yield Rule.FILLED_BY
    if not is_here(person, step):
        yield Rule.PRESENCE
    ruling = limits_against(person, duty)
    if Limit.UNDER_18 in ruling:
        yield Rule.ADULTS
    if ruling - {Limit.UNDER_18}:
        yield Rule.LIMITS
    if person.knife < duty.knife_floor:
        yield Rule.KNIFE_FLOOR
    if person.lift_kg is not None and person.lift_kg < duty.lift_floor_kg:
        yield Rule.LIFT_FLOOR
    places = (place,) if place else duty.places or ("",)
    if all(bears_too_much(person, step.load_kg(duty.id, one)) for one in places):
        yield Rule.LIFT_AT_PLACE


def bears_too_much(person: PersonSpec, load_kg: float) -> bool:
    """Whether a load is above the comfortable lift; an unknown lift is not judged.

    >>> able = PersonSpec(id="a", name="Ada", lift_kg=20.0, present=())
    >>> bears_too_much(able, 20.5), bears_too_much(able, 20.0)
    (True, False)
    """
    return person.lift_kg is not None and load_kg > person.lift_kg


def is_meant_for(duty: DutySpec, part: Part) -> bool:
    """Whether the duty is filled from people with this part on the course."""
    match duty.filled_by:
        case FilledBy.ATTENDEES:
            return part is Part.ATTENDEE
        case FilledBy.STAFF:
            return part is not Part.ATTENDEE
        case FilledBy.LEAD:
            return part is Part.LEAD
        case _ as never:
            assert_never(never)


def limits_against(person: PersonSpec, duty: DutySpec) -> frozenset[Limit]:
    """The person's limits that rule out the duty."""
    return person.limits & duty.ruled_out_by


def is_here(person: PersonSpec, step: TimedStep) -> bool:
    """Whether the person is present for all of the step; windows that touch are one stay."""
    return any(stay.start <= step.start and step.end <= stay.end for stay in stays(person.present))


def stays(windows: Iterable[Window]) -> list[Window]:
    """Join windows that touch or overlap.

    >>> stays([Window(start=60, end=90), Window(start=0, end=60)])
    [Window(start=0, end=90)]
    """
    joined: list[Window] = []
    for window in sorted(windows, key=lambda one: (one.start, one.end)):
        if joined and window.start <= joined[-1].end:
            end = max(joined[-1].end, window.end)
            joined[-1] = Window(start=joined[-1].start, end=end)
        else:
            joined.append(window)
    return joined


def overlap(one: TimedStep, other: TimedStep) -> bool:
    """Whether two steps are under way at the same time; back to back is not overlapping."""
    return one.start < other.end and other.start < one.end


def too_soon(one: TimedStep, other: TimedStep, rest_min: int) -> bool:
    """Whether heavy duties at both steps would leave less than the rest time between them."""
    return one.start < other.end + rest_min and other.start < one.end + rest_min


def answers(placed: Placed, asked: Placed) -> bool:
    """Whether a placement is the one asked for; a place left empty is any place."""
    return (placed.step, placed.duty, placed.person) == (asked.step, asked.duty, asked.person) and (
        asked.place in ("", placed.place)
    )


def candidates(problem: RotationProblem) -> tuple[Placed, ...]:
    """Every placement that no rule about one person and one duty speaks against."""
    duties = {duty.id: duty for duty in problem.duties}
    return tuple(
        Placed(step=step.id, duty=duty.id, person=person.id, place=place)
        for step in problem.steps
        for duty in (duties[name] for name in step.duties)
        for person in problem.people
        if next(reasons_against(person, duty, step), None) is None
        for place in duty.places or ("",)
        if not bears_too_much(person, step.load_kg(duty.id, place))
    )
