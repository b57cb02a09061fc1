"""Rows for the load on many courses: 100 workshops of twenty, each posted, with a trough."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from scheduling.benches.live_desk import Row, seat_of, trough_of
from scheduling.models import RunSheet, SheetStatus
from workshops.models import Day, Units, Workshop

COURSES = 100
ATTENDEES = 20


@transaction.atomic
def courses(*, now: datetime) -> Row:
    """The links of two thousand; every tenth stands at a trough."""
    zone = f"Etc/GMT{now.hour - 12:+d}"  # noon, so that no trial runs across midnight
    words: list[str] = []
    writers: list[Row] = []
    for number in range(COURSES):
        workshop = Workshop.objects.create(
            name=f"Course {number}", slug=f"course-{number}", farm="Trial Farm", time_zone=zone,
            units=Units.METRIC,
        )  # fmt: skip
        day = Day.objects.create(workshop=workshop, date=now.astimezone(workshop.zone).date())
        sheet = RunSheet.objects.create(day=day, version=1, status=SheetStatus.POSTED)
        seats = [seat_of(workshop, number * ATTENDEES + each) for each in range(ATTENDEES)]
        crew = seats[: ATTENDEES // 10]
        writers += trough_of(sheet, 0, crew, now=now)
        words += [seat.link.word for seat in seats]
    # Spread over the courses, so that sixty phones belong to sixty of them.
    spread = [words[i * ATTENDEES + i % ATTENDEES] for i in range(COURSES)]
    return {"phones": spread, "writers": writers}
