"""Who has a seat: the only writer of an enrolment's status.

A **party** is the seats that one household asked for together: it is offered, taken and given up as
one. A seat is held by whoever is confirmed, or has an offer that has not run out. Two people may
reach for the last seat at once, so every act here locks the workshop's row first.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from django.db import transaction

from workshops import letters
from workshops.models import Enrolment, EnrolmentStatus, Household, LetterKind, SeatChange, Workshop
from workshops.models.enrolment import EnrolmentQuerySet

LETTER_FOR = {
    EnrolmentStatus.ENQUIRY: LetterKind.ENQUIRY,
    EnrolmentStatus.WAITING: LetterKind.WAITING,
    EnrolmentStatus.OFFERED: LetterKind.OFFERED,
    EnrolmentStatus.CONFIRMED: LetterKind.CONFIRMED,
    EnrolmentStatus.WITHDRAWN: LetterKind.WITHDRAWN,
}


class NoSeatLeft(Exception):
    """Every seat of the workshop is held."""

    def __init__(self, workshop: Workshop) -> None:
        self.workshop = workshop
        super().__init__(
            f"All {workshop.seats} seats of {workshop.name} are filled. "
            "Put this person on the waiting list, withdraw someone, or raise the number of seats."
        )


class OfferGone(Exception):
    """There is no offer to take: it ran out, or was answered already."""

    def __init__(self) -> None:
        super().__init__(
            "This offer no longer stands: it has run out or was answered. "
            "Ask for a seat again to join the waiting list."
        )


def held(workshop: Workshop, *, now: datetime) -> int:
    """How many seats are confirmed or on offer."""
    return workshop.enrolments.holding(now=now).count()


def free(workshop: Workshop, *, now: datetime) -> int:
    """How many seats nobody holds."""
    return max(0, workshop.seats - held(workshop, now=now))


def is_line(workshop: Workshop) -> bool:
    """Whether anyone waits."""
    return workshop.enrolments.in_line().exists()


@transaction.atomic
def settle(seat: Enrolment, status: EnrolmentStatus, *, now: datetime) -> None:
    """Save the seat with that status, by the organizer's hand.

    Raises ``NoSeatLeft`` rather than let more people hold seats than there are. Those who hold one
    already keep it, even if the number of seats was lowered since.
    """
    workshop = _locked(seat.workshop_id)
    before = Enrolment.objects.filter(pk=seat.pk).values_list("status", flat=True).first()
    if before == status:
        # Nothing about the seat itself changes; its moments stay as they are.
        seat.status = before
        seat.save()
        return
    others = workshop.enrolments.holding(now=now).exclude(pk=seat.pk).count()
    wants = status in {EnrolmentStatus.CONFIRMED, EnrolmentStatus.OFFERED}
    if wants and others >= workshop.seats and not _holds(seat, now=now):
        raise NoSeatLeft(workshop)
    _write([seat], status, workshop, now=now, reason="by the organizer")
    if before is not None:
        letters.write(LETTER_FOR[status], [seat], now=now)


@transaction.atomic
def ask(workshop: Workshop, party: Sequence[Enrolment], *, now: datetime) -> EnrolmentStatus:
    """Seats for a new party: confirmed while there is room for all of it and nobody waits, else in
    line. Answers which. A newcomer never overtakes those who wait.
    """
    locked = _locked(workshop.pk)
    fits = len(party) <= free(locked, now=now) and not is_line(locked)
    status = EnrolmentStatus.CONFIRMED if fits else EnrolmentStatus.WAITING
    _write(party, status, locked, now=now, reason="signed up")
    letters.write(LETTER_FOR[status], party, now=now)
    return status


@transaction.atomic
def enquire(workshop: Workshop, party: Sequence[Enrolment], *, now: datetime) -> EnrolmentStatus:
    """A party that only asks: it holds nothing and waits for nothing."""
    _write(party, EnrolmentStatus.ENQUIRY, _locked(workshop.pk), now=now, reason="only asking")
    letters.write(LetterKind.ENQUIRY, party, now=now)
    return EnrolmentStatus.ENQUIRY


@transaction.atomic
def move_line(workshop: Workshop, *, now: datetime) -> int:
    """End offers that have run out, then offer what is free down the line; answers how many seats.

    In the order of waiting, each party that fits whole into what is free gets its offer; a party
    that is too large keeps its place. Run twice, the second run finds nothing to do.
    """
    locked = _locked(workshop.pk)
    for party in parties(_run_out(locked, now=now)):
        _write(party, EnrolmentStatus.WITHDRAWN, locked, now=now, reason="the offer ran out")
        letters.write(LetterKind.LAPSED, party, now=now)
    left, offered = 0 if locked.is_over(now=now) else free(locked, now=now), 0
    for party in parties(locked.enrolments.in_line().select_related("attendee__household")):
        if len(party) <= left:
            _write(party, EnrolmentStatus.OFFERED, locked, now=now, reason="a seat came free")
            letters.write(LetterKind.OFFERED, party, now=now)
            left -= len(party)
            offered += len(party)
    return offered


def with_something_to_move(*, now: datetime) -> list[Workshop]:
    """The workshops where an offer has run out, or where someone waits and a seat is free."""
    moving = [EnrolmentStatus.WAITING, EnrolmentStatus.OFFERED]
    return [
        workshop
        for workshop in Workshop.objects.filter(enrolments__status__in=moving).distinct()
        if _run_out(workshop, now=now).exists()
        or (is_line(workshop) and free(workshop, now=now) > 0)
    ]


@transaction.atomic
def take(workshop: Workshop, household: Household, *, now: datetime) -> int:
    """The household takes what it was offered; answers how many seats.

    Pressed twice, the second press changes nothing and answers the same number of seats.
    """
    locked = _locked(workshop.pk)
    party = list(_party(locked, household).live_offers(now=now))
    if not party:
        confirmed = _party(locked, household).confirmed().count()
        if confirmed:
            return confirmed
        raise OfferGone
    _write(party, EnrolmentStatus.CONFIRMED, locked, now=now, reason="took the offer")
    letters.write(LetterKind.CONFIRMED, party, now=now)
    return len(party)


@transaction.atomic
def withdraw(workshop: Workshop, household: Household, *, now: datetime) -> int:
    """The household gives up its seats, its offer or its place in line; answers how many."""
    locked = _locked(workshop.pk)
    party = list(_party(locked, household).exclude(status=EnrolmentStatus.WITHDRAWN))
    _write(party, EnrolmentStatus.WITHDRAWN, locked, now=now, reason="gave it up")
    letters.write(LetterKind.WITHDRAWN, party, now=now)
    return len(party)


@transaction.atomic
def ask_again(workshop: Workshop, household: Household, *, now: datetime) -> EnrolmentStatus | None:
    """A household that only asked, gave up or let its offer run out asks for its seats anew."""
    locked = _locked(workshop.pk)
    out = [EnrolmentStatus.WITHDRAWN, EnrolmentStatus.ENQUIRY]
    party = list(_party(locked, household).filter(status__in=out))
    return ask(locked, party, now=now) if party else None


def parties(seats: EnrolmentQuerySet) -> list[list[Enrolment]]:
    """The seats by household, in the order in which each household's first one comes."""
    by_household: dict[int, list[Enrolment]] = {}
    for seat in seats:
        by_household.setdefault(seat.attendee.household_id, []).append(seat)
    return list(by_household.values())


def _locked(workshop_id: int) -> Workshop:
    """The workshop's row, held to the end of the transaction."""
    return Workshop.objects.select_for_update().get(pk=workshop_id)


def _party(workshop: Workshop, household: Household) -> EnrolmentQuerySet:
    seats = Enrolment.objects.for_workshop(workshop).filter(attendee__household=household)
    return seats.select_related("attendee__household").order_by("pk")


def _run_out(workshop: Workshop, *, now: datetime) -> EnrolmentQuerySet:
    offers = Enrolment.objects.for_workshop(workshop).filter(status=EnrolmentStatus.OFFERED)
    return offers.filter(offer_ends_at__lte=now).select_related("attendee__household")


def _holds(seat: Enrolment, *, now: datetime) -> bool:
    """Whether the seat is held in the database already."""
    return Enrolment.objects.holding(now=now).filter(pk=seat.pk).exists()


def _write(
    party: Sequence[Enrolment],
    status: EnrolmentStatus,
    workshop: Workshop,
    *,
    now: datetime,
    reason: str,
) -> None:
    """Set the status with the moments that belong to it, and keep the step. Under the lock."""
    for seat in party:
        seat.status = status
        seat.waiting_since = now if status == EnrolmentStatus.WAITING else None
        seat.offer_ends_at = (
            now + timedelta(hours=workshop.offer_hours)
            if status == EnrolmentStatus.OFFERED
            else None
        )
        seat.fee_cents = workshop.seat_price_cents if status == EnrolmentStatus.CONFIRMED else None
        seat.save()
    SeatChange.objects.bulk_create(
        SeatChange(enrolment=seat, status=status, at=now, reason=reason) for seat in party
    )
