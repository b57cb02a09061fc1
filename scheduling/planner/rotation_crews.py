"""The hard rules about who stands beside whom, as constraints: mentors, supervision, households."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduling.planner.rotation_problem import HouseholdWish, Part, TimedStep
from scheduling.planner.rules import asked, is_first_timer, is_mentor, watches_over

if TYPE_CHECKING:
    from scheduling.planner.rotation_model import RotationModel


def add_crew_rules(model: RotationModel) -> None:
    """Keep every rule about people together, at the steps to come."""
    for step in model.problem.steps:
        if not model.problem.is_past(step):
            _mentors(model, step)
            _supervised(model, step)
            _households_apart(model, step)
            _households_together(model, step)


def _mentors(model: RotationModel, step: TimedStep) -> None:
    """A first-timer with a knife stands beside an experienced hand or a helper."""
    here = [one for duty in step.duties for one in model.by_duty.get((step.id, duty), [])]
    learning = [
        one
        for one in here
        if model.duties[one.duty].sharp and is_first_timer(model.people[one.person])
    ]
    if learning:
        mentors = [
            one for one in here if is_mentor(model.people[one.person], model.duties[one.duty])
        ]
        room = model.problem.learners_per_mentor
        model.cp.add(model.count(learning) <= room * model.count(mentors))


def _supervised(model: RotationModel, step: TimedStep) -> None:
    """A helper or the lead is at every station that needs one, unless that is impossible."""
    if not step.supervised:
        return
    watching = [
        one
        for other in model.problem.steps
        if watches_over(other, step)
        for duty in other.duties
        for one in model.by_duty.get((other.id, duty), [])
        if model.people[one.person].part is not Part.ATTENDEE
    ]
    unwatched = model.cp.new_bool_var(f"{step.id} unwatched")
    model.unwatched[step.id] = unwatched
    model.cp.add(model.count(watching) + unwatched >= 1)


def _households_apart(model: RotationModel, step: TimedStep) -> None:
    """A household that asked to be apart never shares a duty of a step."""
    for one, other in asked(model.problem, HouseholdWish.APART):
        for duty in step.duties:
            both = [
                *model.by_hand.get((step.id, duty, one), []),
                *model.by_hand.get((step.id, duty, other), []),
            ]
            if len(both) > 1:
                model.cp.add_at_most_one(model.take[placed] for placed in both)


def _households_together(model: RotationModel, step: TimedStep) -> None:
    """A household that asked to be together is placed on a step both or neither."""
    for one, other in asked(model.problem, HouseholdWish.TOGETHER):
        mine, theirs = (model.by_stay.get((step.id, name), []) for name in (one, other))
        if mine and theirs:
            model.cp.add(model.count(mine) == model.count(theirs))
