"""What a stranger reads about a course, as small values."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from workshops import overview, seating
from workshops.models import WaiverText, Workshop
from workshops.money import said


@dataclass(frozen=True, slots=True, kw_only=True)
class PublicPage:
    """The course in words."""

    dates: str
    days: list[str]
    price: str
    seats: str
    is_over: bool
    waiver: WaiverText | None


def read(workshop: Workshop, *, now: datetime) -> PublicPage:
    """Everything the page says above the form. Uses prefetched days and waivers."""
    left, line = seating.free(workshop, now=now), seating.is_line(workshop)
    waivers = list(workshop.waiver_texts.all())
    return PublicPage(
        dates=overview.dates(workshop),
        days=[
            f"{day.date:%A} {day.date.day} {day.date:%B}, {day.opens:%H:%M} to {day.closes:%H:%M}"
            + (f": {day.title}" if day.title else "")
            for day in workshop.days.all()
        ],
        price=_price(workshop),
        seats=_seats(workshop, left, line=line),
        is_over=workshop.is_over(now=now),
        waiver=waivers[0] if waivers else None,
    )


def _price(workshop: Workshop) -> str:
    if not workshop.seat_price_cents:
        return "no price is set; ask the organizer"
    return f"{said(workshop.seat_price_cents, workshop.currency)} a seat"


def _seats(workshop: Workshop, left: int, *, line: bool) -> str:
    if line or not left:
        return (
            f"All {workshop.seats} seats are taken or promised. Sign up for the waiting list: "
            "when seats come free they are offered in order, and kept "
            f"{workshop.offer_hours} hours."
        )
    return f"{left} of {workshop.seats} seats left"
