"""The hard rules of the rotation as questions about people, duties and steps.

The same name is used by the model that keeps the rule, by the checker that re-checks it and by
the refusals that report it. Rules that depend on one person and one duty alone are judged here,
in :func:`reasons_against`; the model makes no variable where one of them speaks against it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import combinations
from typing import assert_never

from scheduling.planner.basics import MINUTES_PER_DAY, Window
from scheduling.planner.errors import BadProblem
from scheduling.planner.rotation_problem import (
    DutySpec,
    FilledBy,
    HouseholdWish,
    Limit,
    Meal,
    Part,
    PersonSpec,
    Placed,
    RotationProblem,
    TimedStep,
)
from scheduling.planner.rule import Rule as Rule

MENTOR_KNIFE = 2  # of 3: has done this work before; common practice, no source


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
    """Every placement that no rule about one person and one duty speaks against.

    At steps that are past, only what was posted there: the past is judged by no rule.
    """
    duties = {duty.id: duty for duty in problem.duties}
    return (
        *past_placements(problem),
        *(
            Placed(step=step.id, duty=duty.id, person=person.id, place=place)
            for step in problem.steps
            if not problem.is_past(step)
            for duty in (duties[name] for name in step.duties)
            for person in problem.people
            if next(reasons_against(person, duty, step), None) is None
            for place in duty.places or ("",)
            if not bears_too_much(person, step.load_kg(duty.id, place))
        ),
    )


def past_placements(problem: RotationProblem) -> tuple[Placed, ...]:
    """What was posted at steps that have started, as far as the problem still knows it."""
    past = {step.id: step for step in problem.steps if problem.is_past(step)}
    people = {person.id for person in problem.people}
    return tuple(
        one
        for one in problem.posted
        if one.person in people and one.step in past and one.duty in past[one.step].duties
    )


# --- rules about two placements of one person ------------------------------------------------


class Between:
    """What must lie between two placements of one person, with the problem's times and walks."""

    def __init__(self, problem: RotationProblem) -> None:
        self.rest_min = problem.rest_after_heavy_min
        self.walks = {
            ends: walk.minutes
            for walk in problem.walks
            for ends in ((walk.one, walk.other), (walk.other, walk.one))
            if problem.keeps(Rule.WALKING)
        }

    def against(
        self, one: TimedStep, duty: DutySpec, other: TimedStep, other_duty: DutySpec
    ) -> Rule | None:
        """The rule that keeps one person from holding both, None if nothing does."""
        if one.id == other.id or overlap(one, other):
            return Rule.ONE_PLACE_AT_A_TIME
        if duty.heavy and other_duty.heavy and too_soon(one, other, self.rest_min):
            return Rule.REST_AFTER_HEAVY
        if too_soon(one, other, self.walks.get((one.station, other.station), 0)):
            return Rule.WALKING
        return None


def day_of(step: TimedStep) -> int:
    """The number of the day on which a step starts."""
    return step.start // MINUTES_PER_DAY


def free_stretches(meal: Meal, steps: Iterable[TimedStep]) -> list[frozenset[str]]:
    """For each time the meal may begin, the steps that it would run into.

    A meal may as well begin as early as it can: when its window opens or when a step ends.
    """
    near = [step for step in steps if step.start < meal.end and meal.start < step.end]
    begins = sorted({meal.start, *(step.end for step in near)})
    return [
        frozenset(s.id for s in near if s.start < begin + meal.minutes and begin < s.end)
        for begin in begins
        if begin + meal.minutes <= meal.end
    ]


def is_here_for(person: PersonSpec, meal: Meal) -> bool:
    """Whether the person is present for all of a meal's window, so that the meal is owed them."""
    return any(stay.start <= meal.start and meal.end <= stay.end for stay in stays(person.present))


# --- rules about who stands beside whom ------------------------------------------------------


def is_first_timer(person: PersonSpec) -> bool:
    """Whether the person has never held a knife at this work."""
    return person.part is Part.ATTENDEE and person.knife == 0


def is_mentor(person: PersonSpec, duty: DutySpec) -> bool:
    """Whether the person at this duty can stand beside a first-timer at the same step.

    An experienced hand counts at a sharp duty, the lead and helpers at any.
    """
    return person.part is not Part.ATTENDEE or (duty.sharp and person.knife >= MENTOR_KNIFE)


def watches_over(step: TimedStep, watched: TimedStep) -> bool:
    """Whether staff at ``step`` are at the station of ``watched`` for all of it."""
    return step.id == watched.id or (
        step.station == watched.station and step.start <= watched.start and watched.end <= step.end
    )


def asked(problem: RotationProblem, wish: HouseholdWish) -> list[tuple[str, str]]:
    """Pairs of people whose household asked for this."""
    if not problem.keeps(Rule.HOUSEHOLD):
        return []
    wanted = {name for name, given in problem.households.items() if given is wish}
    asking = [person for person in problem.people if person.household in wanted]
    return [
        (one.id, other.id)
        for one, other in combinations(asking, 2)
        if one.household == other.household
    ]
