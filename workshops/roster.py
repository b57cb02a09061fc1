"""The people of a workshop as the list shows them: short words, farm time, no health note."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from workshops.models import Enrolment, EnrolmentStatus, Knife, Limit, Workshop

SHORT = {
    Limit.NO_LIFTING: "no lifting",
    Limit.NO_KNIVES: "no knives",
    Limit.AWAY_FROM_KILL: "not at kill",
    Limit.NO_HOT_WATER: "no hot water",
    Limit.SEATED_ONLY: "seated",
    Limit.UNDER_18: "under 18",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of the list."""

    seat: Enrolment
    limits: str
    knife: str
    stay: str
    status: str


def rows(workshop: Workshop, seats: Iterable[Enrolment], *, today: date) -> list[Row]:
    """The list, in the order of the seats; ages count on the first day, else today.

    Costs a query for the days, unless they are prefetched.
    """
    days = list(workshop.days.all())
    on = days[0].date if days else today
    listed = []
    for seat in seats:
        limits = seat.limits_on(on)
        listed.append(
            Row(
                seat=seat,
                limits=", ".join(words for limit, words in SHORT.items() if limit in limits),
                knife=Knife(seat.knife).label,
                stay=stay(workshop, seat),
                status=EnrolmentStatus(seat.status).label,
            )
        )
    return listed


def stay(workshop: Workshop, seat: Enrolment) -> str:
    """When they come and go at the farm, if not for the whole course."""
    words = []
    if seat.arrives_at:
        words.append(f"from {at_the_farm(workshop, seat.arrives_at)}")
    if seat.leaves_at:
        words.append(f"until {at_the_farm(workshop, seat.leaves_at)}")
    return ", ".join(words) or "whole course"


def at_the_farm(workshop: Workshop, moment: datetime) -> str:
    """A moment as the farm's clock shows it."""
    return f"{moment.astimezone(workshop.zone):%a %d %b, %H:%M}"
