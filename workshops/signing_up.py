"""A stranger's sign-up: one household, its people, their answers and waivers, seats or a place in
line, written in one piece. A form that arrives twice is written once.
"""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction

from workshops import enrolling, seating
from workshops.enrolling import Entry
from workshops.models import (
    CardLink,
    Enrolment,
    Household,
    ShareWanted,
    SignUp,
    Waiver,
    WaiverText,
    Workshop,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """One person of the form; ``signed_by`` is the name under the waiver, empty if not accepted."""

    entry: Entry
    signed_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """What a household typed."""

    form_id: uuid.UUID
    people: Sequence[Person]
    heard: str
    share_wanted: ShareWanted
    note: str
    only_asking: bool


class WaiverChanged(Exception):
    """The organizer changed the waiver while the form was being filled in."""

    def __init__(self) -> None:
        super().__init__(
            "The waiver was changed while you were typing. Read it below and send the form again."
        )


@transaction.atomic
def sign_up(workshop: Workshop, form: Form, *, read: int | None, now: datetime) -> Enrolment:
    """Write everything; answers the first person's seat, whose link opens the household's page.

    ``read`` is the version of the waiver that stood on the page. Raises ``WaiverChanged``.
    """
    # The lock comes first, so that of two copies of one form the second finds the first's rows.
    workshop = Workshop.objects.select_for_update().get(pk=workshop.pk)
    before = SignUp.objects.filter(form_id=form.form_id, workshop=workshop).first()
    if before:
        seats = workshop.enrolments.filter(attendee__household=before.household)
        return seats.select_related("link").order_by("pk")[0]
    text = current_waiver(workshop)
    if (text.version if text else None) != read:
        raise WaiverChanged
    household = Household(name=_name_of(form.people))
    party = [_seat(workshop, household, person.entry) for person in form.people]
    give = seating.enquire if form.only_asking else seating.ask
    give(workshop, party, now=now)
    for seat, person in zip(party, form.people, strict=True):
        enrolling.write_answers(seat, person.entry)
        CardLink.objects.create(enrolment=seat)
        if text and person.signed_by:
            accept_waiver(seat, text, person.signed_by, now=now)
    SignUp.objects.create(
        workshop=workshop,
        household=household,
        heard=form.heard,
        share_wanted=form.share_wanted,
        note=form.note,
        form_id=form.form_id,
        at=now,
    )
    return party[0]


def current_waiver(workshop: Workshop) -> WaiverText | None:
    """The newest version of the waiver, if the workshop has one."""
    return workshop.waiver_texts.first()


def accept_waiver(seat: Enrolment, text: WaiverText, name: str, *, now: datetime) -> Waiver:
    """Keep that this version was accepted; a second time changes nothing."""
    kept, _ = Waiver.objects.get_or_create(
        enrolment=seat, text=text, defaults={"name": name, "accepted_at": now}
    )
    return kept


@transaction.atomic
def edit_waiver(workshop: Workshop, words: str, *, now: datetime) -> WaiverText | None:
    """Make the next version, if the words differ; those who accepted an older one are asked."""
    locked = Workshop.objects.select_for_update().get(pk=workshop.pk)
    last = current_waiver(locked)
    if (last.text if last else "") == words:
        return last
    return WaiverText.objects.create(
        workshop=locked, version=last.version + 1 if last else 1, text=words, made_at=now
    )


def _name_of(people: Sequence[Person]) -> str:
    """The household is called by its first person's family name, else by the given one."""
    first = people[0].entry
    return first.family_name or first.given_name


def _seat(workshop: Workshop, household: Household, entry: Entry) -> Enrolment:
    """A person with an unsaved seat, in the household, which is saved with the first of them."""
    seat = enrolling.blank_seat(workshop, household)
    enrolling.fill_in(replace(entry, household_name=household.name), seat)
    household.save()
    seat.attendee.household = household
    seat.attendee.save()
    seat.attendee_id = seat.attendee.pk
    return seat
