"""What a household reads on its own page, as small values."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from workshops import answering, seating, signing_up
from workshops.models import CardLink, Enrolment, EnrolmentStatus, WaiverText, Workshop
from workshops.models.enrolment import EnrolmentQuerySet
from workshops.roster import at_the_farm


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One person of the household."""

    seat: Enrolment
    sentence: str
    signed: str
    may_sign: bool
    card_path: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnPage:
    """The page: who, how the seats stand, and what may be done now."""

    lines: list[Line]
    sentence: str
    text: WaiverText | None
    may_act: bool
    offer: bool
    can_withdraw: bool
    can_ask: bool
    can_answer: bool


def read(link: CardLink, seats: EnrolmentQuerySet, *, now: datetime) -> OwnPage:
    """Everything the page says. An under-18's link shows it and does nothing."""
    workshop, rows = link.enrolment.workshop, list(seats)
    text = signing_up.current_waiver(workshop)
    minor = link.enrolment.is_minor()
    states = {EnrolmentStatus(seat.status) for seat in rows}
    gone = {EnrolmentStatus.WITHDRAWN, EnrolmentStatus.ENQUIRY}
    return OwnPage(
        lines=[_line(link, seat, text, acts=not minor, now=now) for seat in rows],
        sentence=_summary(workshop, rows, now=now),
        text=text,
        may_act=not minor,
        offer=any(_stands(seat, now=now) for seat in rows),
        can_withdraw=bool(states - gone),
        can_ask=bool(states & gone) and not workshop.is_over(now=now),
        can_answer=answering.may_answer(link, now=now),
    )


def _line(
    link: CardLink, seat: Enrolment, text: WaiverText | None, *, acts: bool, now: datetime
) -> Line:
    signed = [waiver for waiver in seat.waivers.all() if text and waiver.text_id == text.pk]
    zone = seat.workshop.zone
    own_card = seat.pk == link.enrolment_id and seat.status == EnrolmentStatus.CONFIRMED
    return Line(
        seat=seat,
        sentence=sentence(seat, now=now),
        signed=f"accepted by {signed[0].name}, {signed[0].accepted_at.astimezone(zone):%d %b %Y}"
        if signed
        else "",
        may_sign=acts and text is not None and not signed,
        card_path=link.path if own_card else "",
    )


def sentence(seat: Enrolment, *, now: datetime) -> str:
    """How one seat stands."""
    match EnrolmentStatus(seat.status):
        case EnrolmentStatus.CONFIRMED:
            return "has a seat"
        case EnrolmentStatus.WAITING:
            return "is on the waiting list"
        case EnrolmentStatus.OFFERED if _stands(seat, now=now) and seat.offer_ends_at:
            return f"has an offer until {at_the_farm(seat.workshop, seat.offer_ends_at)}"
        case EnrolmentStatus.OFFERED:
            return "had an offer, which has run out"
        case EnrolmentStatus.ENQUIRY:
            return "has asked, and holds no seat"
        case EnrolmentStatus.WITHDRAWN:
            return "is not coming"


def _summary(workshop: Workshop, rows: list[Enrolment], *, now: datetime) -> str:
    """The first thing to read."""
    if any(_stands(seat, now=now) for seat in rows):
        return "Seats are kept for you. Take them, or let them go for the next in line."
    states = {EnrolmentStatus(seat.status) for seat in rows}
    if EnrolmentStatus.CONFIRMED in states:
        return "You are coming."
    if EnrolmentStatus.WAITING in states:
        before = _parties_before(workshop, rows)
        if before:
            return f"You are on the waiting list, after {before} other household{_s(before)}."
        return "You are next on the waiting list."
    if EnrolmentStatus.ENQUIRY in states:
        return "You have asked; no seat is kept for you yet."
    return "You hold no seat."


def _parties_before(workshop: Workshop, rows: list[Enrolment]) -> int:
    own = rows[0].attendee.household_id
    line = seating.parties(workshop.enrolments.in_line().select_related("attendee"))
    households = [party[0].attendee.household_id for party in line]
    return households.index(own) if own in households else 0


def _stands(seat: Enrolment, *, now: datetime) -> bool:
    """Whether the seat has an offer that has not run out."""
    ends = seat.offer_ends_at
    return seat.status == EnrolmentStatus.OFFERED and ends is not None and ends > now


def _s(number: int) -> str:
    return "" if number == 1 else "s"
