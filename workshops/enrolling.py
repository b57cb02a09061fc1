"""A person's whole entry (household, attendee, seat, limits), read and written in one piece.

Two people may edit the same entry, or two of one household, at once. Whoever saves says which
version they had seen; a newer one in the database is never overwritten unseen.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, fields, replace
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from workshops import seating
from workshops.models import (
    Allergen,
    AnswerChange,
    Attendee,
    AttendeeAllergen,
    CardLink,
    Enrolment,
    EnrolmentLimit,
    EnrolmentStatus,
    EnrolmentWish,
    Household,
    Knife,
    Limit,
    TradeJob,
    User,
    WishKind,
    Workshop,
)

HOUSEHOLD = {
    "household_name": "name",
    "email": "email",
    "phone": "phone",
    "emergency_contact": "emergency_contact",
    "emergency_phone": "emergency_phone",
}
ATTENDEE = ("given_name", "family_name", "born", "height_cm", "diet", "guardian")
SEAT = ("lift_kg", "knife", "arrives_at", "leaves_at")


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What is written down about one person. ``health_note`` is None for those who may not see."""

    given_name: str
    family_name: str
    born: date | None
    height_cm: int | None
    diet: str
    guardian: str
    household_name: str
    email: str
    phone: str
    emergency_contact: str
    emergency_phone: str
    status: EnrolmentStatus
    lift_kg: Decimal | None
    knife: Knife
    arrives_at: datetime | None
    leaves_at: datetime | None
    limits: tuple[Limit, ...]
    allergens: tuple[Allergen, ...]
    must_try: tuple[TradeJob, ...]
    rather_not: tuple[TradeJob, ...]
    health_note: str | None

    @property
    def version(self) -> str:
        """A short digest: two equal entries have the same one."""
        return hashlib.sha256(repr(self).encode()).hexdigest()[:16]

    def differences(self, other: Entry) -> list[str]:
        """The names of what differs."""
        names = [field.name for field in fields(self)]
        return [name for name in names if getattr(self, name) != getattr(other, name)]


class ChangedMeanwhile(Exception):
    """Someone else saved this person first. ``saved`` is what they left."""

    def __init__(self, saved: Entry) -> None:
        self.saved = saved
        super().__init__("Someone else saved this person while you were typing.")


def entry_of(seat: Enrolment, *, with_health: bool) -> Entry:
    """What is written down about the holder of a seat. Uses what ``with_answers`` prefetches."""
    household = seat.attendee.household
    texts = {ours: getattr(household, theirs) for ours, theirs in HOUSEHOLD.items()}
    person = {name: getattr(seat.attendee, name) for name in ATTENDEE}
    wishes: dict[str, list[TradeJob]] = {kind: [] for kind in WishKind}
    for wish in seat.wishes.all():
        wishes[wish.kind].append(TradeJob(wish.job))
    return Entry(
        **texts,
        **person,
        status=EnrolmentStatus(seat.status),
        lift_kg=seat.lift_kg,
        knife=Knife(seat.knife),
        arrives_at=seat.arrives_at,
        leaves_at=seat.leaves_at,
        limits=tuple(sorted(Limit(row.limit) for row in seat.limits.all())),
        allergens=tuple(sorted(Allergen(row.allergen) for row in seat.attendee.allergens.all())),
        must_try=tuple(sorted(wishes[WishKind.MUST_TRY])),
        rather_not=tuple(sorted(wishes[WishKind.RATHER_NOT])),
        health_note=seat.health_note if with_health else None,
    )


def fill_in(entry: Entry, seat: Enrolment) -> None:
    """Set the entry's values on the seat, its attendee and their household, unsaved."""
    for ours, theirs in HOUSEHOLD.items():
        setattr(seat.attendee.household, theirs, getattr(entry, ours))
    for name in ATTENDEE:
        setattr(seat.attendee, name, getattr(entry, name))
    for name in SEAT:
        setattr(seat, name, getattr(entry, name))
    if entry.health_note is not None:
        seat.health_note = entry.health_note


@transaction.atomic
def enrol(
    workshop: Workshop, entry: Entry, household: Household | None, *, now: datetime
) -> Enrolment:
    """A new person, in a household that is here already or in a new one, with a private link."""
    seat = blank_seat(workshop, household)
    fill_in(entry if household is None else _keeping(household, entry), seat)
    seat.attendee.household.save()
    seat.attendee.save()
    seating.settle(seat, entry.status, now=now)
    write_answers(seat, entry)
    CardLink.objects.create(enrolment=seat)
    return seat


@transaction.atomic
def amend(
    seat: Enrolment, entry: Entry, *, seen: str, now: datetime, by: User | None = None
) -> Enrolment:
    """Replace what is written down, provided it is still the version that was seen.

    Raises ``ChangedMeanwhile``.
    """
    current = locked(seat)
    saved = entry_of(current, with_health=entry.health_note is not None)
    if saved.version != seen and saved != entry:
        raise ChangedMeanwhile(saved)
    write(current, entry, before=saved, now=now, by=by)
    return current


def locked(seat: Enrolment) -> Enrolment:
    """The seat as it is now, with its person and household, held until the transaction ends.

    Of two who save at once the second then finds the first's values.
    """
    rows = Enrolment.objects.select_related("attendee__household").select_for_update(
        of=("self", "attendee", "attendee__household")
    )
    return rows.get(pk=seat.pk)


def write(
    seat: Enrolment,
    entry: Entry,
    *,
    before: Entry,
    now: datetime,
    by: User | None = None,
    by_seat: Enrolment | None = None,
) -> None:
    """Write the entry on a seat that is locked, and what it changed in the seat's history."""
    changed = entry.differences(replace(before, health_note=seat.health_note))
    if entry.health_note is None and "health_note" in changed:
        changed.remove("health_note")
    fill_in(entry, seat)
    seat.attendee.household.save()
    seat.attendee.save()
    seating.settle(seat, entry.status, now=now)
    write_answers(seat, entry)
    if changed:
        AnswerChange.objects.create(
            enrolment=seat, what=changed, at=now, by_user=by, by_seat=by_seat
        )


def blank_seat(workshop: Workshop, household: Household | None = None) -> Enrolment:
    """An unsaved seat with its attendee and household, to be filled in."""
    return Enrolment(
        workshop=workshop, attendee=Attendee(household=household or Household(name=""))
    )


def _keeping(household: Household, entry: Entry) -> Entry:
    """The entry with the household's own name and numbers."""
    kept = {ours: getattr(household, theirs) for ours, theirs in HOUSEHOLD.items()}
    return replace(entry, **kept)


def write_answers(seat: Enrolment, entry: Entry) -> None:
    """Make the seat's limits and wishes, and the person's allergens, exactly those of the entry."""
    seat.limits.exclude(limit__in=entry.limits).delete()
    there = set(seat.limits.values_list("limit", flat=True))
    EnrolmentLimit.objects.bulk_create(
        EnrolmentLimit(enrolment=seat, limit=limit) for limit in entry.limits if limit not in there
    )
    person = seat.attendee
    person.allergens.exclude(allergen__in=entry.allergens).delete()
    known = set(person.allergens.values_list("allergen", flat=True))
    AttendeeAllergen.objects.bulk_create(
        AttendeeAllergen(attendee=person, allergen=allergen)
        for allergen in entry.allergens
        if allergen not in known
    )
    seat.wishes.all().delete()
    wishes = [(WishKind.MUST_TRY, entry.must_try), (WishKind.RATHER_NOT, entry.rather_not)]
    EnrolmentWish.objects.bulk_create(
        EnrolmentWish(enrolment=seat, job=job, kind=kind) for kind, jobs in wishes for job in jobs
    )
