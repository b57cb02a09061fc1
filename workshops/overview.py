"""What the first pages say about a workshop, as small values."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse

from workshops import readiness
from workshops.models import AnimalStatus, Day, Workshop
from workshops.readiness import Lack


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One workshop in a few lines."""

    workshop: Workshop
    dates: str
    seats: str
    hogs: str
    lacks: list[Lack]


@dataclass(frozen=True, slots=True, kw_only=True)
class DayLine:
    """One day, with the pages about it."""

    day: Day
    number: int
    run_sheet_url: str
    morning_url: str


def card(workshop: Workshop, *, lacks: list[Lack]) -> Card:
    """One workshop's card, with what it lacks. Uses the rows that readiness prefetches."""
    hogs = [hog for hog in workshop.animals.all() if AnimalStatus(hog.status).takes_part]
    return Card(
        workshop=workshop,
        dates=dates(workshop),
        seats=f"{len(readiness.confirmed(workshop))} of {workshop.seats} seats filled",
        hogs=f"{len(hogs)} hog{'' if len(hogs) == 1 else 's'} chosen",
        lacks=lacks,
    )


def dates(workshop: Workshop) -> str:
    """From the first day to the last, as said."""
    days = [day.date for day in workshop.days.all()]
    if not days:
        return "no dates yet"
    first, last = days[0], days[-1]
    if first == last:
        return f"{first.day} {first:%B %Y}"
    if (first.year, first.month) == (last.year, last.month):
        return f"{first.day} to {last.day} {last:%B %Y}"
    return f"{first.day} {first:%B %Y} to {last.day} {last:%B %Y}"


def days(workshop: Workshop, *, plans: bool) -> list[DayLine]:
    """The days with their pages; the morning only for those who plan."""
    return [
        DayLine(
            day=day,
            number=number,
            run_sheet_url=reverse("run-sheet", args=[workshop.slug, number]),
            morning_url=reverse("morning", args=[workshop.slug, number]) if plans else "",
        )
        for number, day in enumerate(workshop.days.all(), start=1)
    ]
