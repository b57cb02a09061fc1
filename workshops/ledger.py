"""Money: what each household owes, written down by hand; entries are reversed, never deleted."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from workshops.models import (
    Enrolment,
    EnrolmentStatus,
    Household,
    LedgerEntry,
    LedgerKind,
    User,
    Workshop,
)
from workshops.money import said


class AlreadyReversed(Exception):
    """The entry was reversed before, or is itself a reversal."""

    def __init__(self, entry: LedgerEntry) -> None:
        super().__init__(f"{entry} cannot be reversed: it is a reversal, or was reversed already.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """How one household stands in one workshop, in cents."""

    household: Household
    currency: str
    seats: int
    fees: int
    entries: tuple[LedgerEntry, ...]

    @property
    def paid(self) -> int:
        """Payments less what was given back."""
        kinds = {LedgerKind.PAYMENT, LedgerKind.REFUND}
        return -sum(entry.effect_cents for entry in self.entries if entry.kind in kinds)

    @property
    def charged(self) -> int:
        """Fees of confirmed seats, with charges and reductions."""
        kinds = {LedgerKind.CHARGE, LedgerKind.REDUCTION}
        return self.fees + sum(entry.effect_cents for entry in self.entries if entry.kind in kinds)

    @property
    def owed(self) -> int:
        """What is still to be paid; below zero, what the household has too much in."""
        return self.charged - self.paid

    @property
    def sentence(self) -> str:
        """How it stands, in words."""
        if self.owed > 0:
            return f"{said(self.owed, self.currency)} is still to be paid."
        if self.owed < 0:
            return f"{said(-self.owed, self.currency)} too much is paid; give it back or keep it."
        return "Nothing is owed."

    @property
    def charged_said(self) -> str:
        """The sum asked."""
        return said(self.charged, self.currency)

    @property
    def paid_said(self) -> str:
        """The sum paid."""
        return said(self.paid, self.currency)

    @property
    def owed_said(self) -> str:
        """The sum owed."""
        return said(self.owed, self.currency)


def account(workshop: Workshop, household: Household) -> Account:
    """One household's account: two queries."""
    seats = workshop.enrolments.confirmed().filter(attendee__household=household)
    entries = workshop.ledger.filter(household=household).select_related("reversal")
    return _account(workshop, household, list(seats), list(entries))


def accounts(workshop: Workshop) -> list[Account]:
    """Every household with a confirmed seat or an entry, by name: two queries in all."""
    seats: dict[Household, list[Enrolment]] = {}
    entries: dict[Household, list[LedgerEntry]] = {}
    for seat in workshop.enrolments.confirmed().select_related("attendee__household"):
        seats.setdefault(seat.attendee.household, []).append(seat)
    for entry in workshop.ledger.select_related("household", "reversal"):
        entries.setdefault(entry.household, []).append(entry)
    households = sorted({*seats, *entries}, key=lambda household: (household.name, household.pk))
    return [
        _account(workshop, household, seats.get(household, []), entries.get(household, []))
        for household in households
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """What is to be written down."""

    kind: LedgerKind
    cents: int
    on: date
    note: str
    form_id: uuid.UUID


@transaction.atomic
def post(
    workshop: Workshop, household: Household, draft: Draft, *, by: User, now: datetime
) -> LedgerEntry:
    """Write one amount down. A form that arrives twice is written once."""
    entry, _ = LedgerEntry.objects.get_or_create(
        form_id=draft.form_id,
        defaults={
            "workshop": workshop,
            "household": household,
            "kind": draft.kind,
            "cents": draft.cents,
            "on": draft.on,
            "note": draft.note,
            "made_at": now,
            "made_by": by,
        },
    )
    return entry


@transaction.atomic
def reverse(entry: LedgerEntry, *, by: User, now: datetime) -> LedgerEntry:
    """Undo an entry by another that points at it. Two who press at once make one reversal."""
    locked = LedgerEntry.objects.select_for_update().get(pk=entry.pk)
    if locked.reverses_id or LedgerEntry.objects.filter(reverses=locked).exists():
        raise AlreadyReversed(locked)
    return LedgerEntry.objects.create(
        workshop_id=locked.workshop_id,
        household_id=locked.household_id,
        kind=locked.kind,
        cents=locked.cents,
        on=now.astimezone(locked.workshop.zone).date(),
        reverses=locked,
        made_at=now,
        made_by=by,
    )


def _account(
    workshop: Workshop,
    household: Household,
    seats: Iterable[Enrolment],
    entries: Iterable[LedgerEntry],
) -> Account:
    rows = [seat for seat in seats if seat.status == EnrolmentStatus.CONFIRMED]
    return Account(
        household=household,
        currency=workshop.currency,
        seats=len(rows),
        fees=sum(seat.fee(workshop.seat_price_cents) for seat in rows),
        entries=tuple(entries),
    )
