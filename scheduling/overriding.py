"""The lead's override: put someone at a place beyond their own screen, having looked.

The only writer of :class:`Override`. It is asked for in so many words, never silent, and the plan
shows it wherever the crew is shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

from scheduling import lifting, placing
from scheduling.models import Override, Placement, RunSheet
from stations.screening import Beyond, plan_lift
from stations.trade.places import Place
from workshops.models import Animal, Enrolment, User


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What the lead is asked: who, where, what they would hold, and what they may be asked to."""

    placement: Placement
    animal: Animal
    seat: Enrolment
    beyond: Beyond
    load_kg: float
    units: str

    @property
    def sentence(self) -> str:
        """The rule, the load, the limit, and what would satisfy it."""
        return self.beyond.sentence(self.seat.attendee.given_name, self.units)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The lead's own words, and the mark of the page they were typed on."""

    reason: str
    client_id: UUID


def question(placement: Placement, seat: Enrolment) -> Question | None:
    """What to ask before that person is locked at that place; None where nothing is to be asked.

    Asks nothing again that the lead has answered for such a load. Three queries at most.
    """
    step, sheet = placement.step, placement.step.run_sheet
    workshop = sheet.day.workshop
    handling = lifting.settings_of(workshop).get(step.station_id)
    if not placement.duty.holds_chains or handling is None or step.animal is None:
        return None
    if placement.place not in placement.duty.place_names:
        return None  # placed before the places had names
    place, lifter = Place(placement.place), lifting.lifter_of(seat)
    plan = plan_lift(handling, step.animal, {place: lifter})
    beyond, load_kg = plan.beyond(place, lifter), plan.place_loads[place]
    if beyond is None or any(
        made.covers(step, place, f"a{seat.pk}", load_kg) for made in lifting.overrides_of(sheet.day)
    ):
        return None
    return Question(
        placement=placement,
        animal=step.animal,
        seat=seat,
        beyond=beyond,
        load_kg=load_kg,
        units=workshop.units,
    )


@transaction.atomic
def place_anyway(
    sheet: RunSheet, asked: Question, answer: Answer, *, by: User, now: datetime
) -> None:
    """Lock the person at the place and write down who said so, when and why, in one go.

    A second arrival of the same page changes nothing. Raises DraftMovedError like every write to
    a draft.
    """
    if Override.objects.filter(client_id=answer.client_id).exists():
        return
    placement, step = asked.placement, asked.placement.step
    Override.objects.create(
        client_id=answer.client_id,
        day=sheet.day,
        step_code=step.code,
        animal=asked.animal,
        duty=placement.duty,
        place=placement.place,
        enrolment=asked.seat,
        load_kg=asked.load_kg,
        limit_kg=asked.beyond.limit_kg,
        limit_assumed=asked.beyond.is_assumed,
        reason=answer.reason,
        made_by=by,
        made_at=now,
    )
    if placement.enrolment_id == asked.seat.pk:
        placing.set_lock(sheet, placement, locked=True)
    else:
        placing.give_place(sheet, placement, asked.seat)
