"""A person's data is deleted on request; that somebody had a seat is kept, so that counts stand."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from django.db import transaction

from workshops import seating
from workshops.models import (
    Attendee,
    CardLink,
    Enrolment,
    EnrolmentStatus,
    Household,
    Letter,
    PeopleImport,
    Waiver,
)

FORGOTTEN = "Somebody"

Wipe = Callable[[Enrolment], object]
WIPED_ABOVE: list[Wipe] = []
"""What the higher chapters hold of a person: each adds its own when the app starts."""


@transaction.atomic
def forget(person: Attendee, *, now: datetime) -> None:
    """Wipe what tells who they are, in every workshop; give back seats of courses to come.

    Kept without a name: the seat and its steps, the share of a hog, the amounts of the household.
    The household goes the same way with its last person.
    """
    household = Household.objects.select_for_update().get(pk=person.household_id)
    for seat in Enrolment.objects.filter(attendee=person).select_related("workshop"):
        _forget_seat(seat, now=now)
    person.allergens.all().delete()
    person.given_name, person.family_name = FORGOTTEN, ""
    person.born, person.height_cm = None, None
    person.diet, person.guardian = "", ""
    person.save()
    if not household.attendees.exclude(given_name=FORGOTTEN, family_name="").exists():
        _forget_household(household)


def _forget_seat(seat: Enrolment, *, now: datetime) -> None:
    if not seat.workshop.is_over(now=now) and seat.status != EnrolmentStatus.WITHDRAWN:
        seating.settle(seat, EnrolmentStatus.WITHDRAWN, now=now)
    seat.health_note, seat.lift_kg = "", None
    seat.arrives_at = seat.leaves_at = None
    seat.save()
    seat.limits.all().delete()
    seat.wishes.all().delete()
    Waiver.objects.filter(enrolment=seat).delete()
    Letter.objects.filter(seat=seat).delete()
    CardLink.objects.filter(enrolment=seat).delete()
    for wipe in WIPED_ABOVE:
        wipe(seat)
    # A list brought in and not yet applied may hold the same person.
    PeopleImport.objects.filter(workshop=seat.workshop, applied_at=None).delete()


def _forget_household(household: Household) -> None:
    household.name = f"Household {household.pk}"
    household.email = household.phone = ""
    household.emergency_contact = household.emergency_phone = ""
    household.save()
    household.sign_ups.update(heard="", note="")
    household.ledger.update(note="")
