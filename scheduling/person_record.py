"""What one attendee practised, what was noted of them, and the certificate that says so."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from scheduling import access, coverage, log_lines
from scheduling.clocking import Times
from scheduling.coverage import Covered
from scheduling.log_lines import Asked, LogLine
from scheduling.models import RunSheet, Step
from scheduling.timed import times_by_day
from workshops.models import Enrolment, StaffRole


@dataclass(frozen=True, slots=True, kw_only=True)
class Practised:
    """One duty of one attendee: at which steps, on which hogs, for how long."""

    title: str
    station: str
    times: int
    hogs: tuple[str, ...]
    minutes: int

    @property
    def words(self) -> str:
        """How often and on which hogs."""
        often = "once" if self.times == 1 else f"{self.times} times"
        on = f", {', '.join(self.hogs).lower()}" if self.hogs else ""
        return f"{often}{on}"


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonRecord:
    """One attendee's course."""

    seat: Enrolment
    practised: tuple[Practised, ...]
    not_yet: tuple[Covered, ...]
    lines: tuple[LogLine, ...]
    leads: tuple[str, ...]
    ends_on: datetime | None


def record_of(seat: Enrolment, *, sees_health: bool, now: datetime) -> PersonRecord:
    """A fixed number of queries. Only steps that have begun count as practised."""
    sheets = list(access.posted_days(seat.workshop))
    covered = coverage.of_attendee(seat, sheets, now=now)
    asked = Asked(workshop=seat.workshop, seat=seat, sees_health=sees_health)
    leads = seat.workshop.staff.filter(role=StaffRole.LEAD).values_list("name", flat=True)
    return PersonRecord(
        seat=seat,
        practised=tuple(practised(seat, sheets, times_by_day(seat.workshop), now=now)),
        not_yet=tuple(one for one in covered if not one.done),
        lines=tuple(log_lines.lines(asked)),
        leads=tuple(leads),
        ends_on=max((sheet.day.midnight for sheet in sheets), default=None),
    )


def practised(
    seat: Enrolment,
    sheets: Iterable[RunSheet],
    times: dict[int, dict[str, Times]],
    *,
    now: datetime,
) -> list[Practised]:
    """Each duty that this person held at a step that has begun, most often first.

    A step counts from its real start; without one, from the posted start: what nobody marked is
    taken to have gone as planned, as on the card.
    """
    held: dict[tuple[str, str], list[Step]] = {}
    for sheet in sheets:
        for step in sheet.steps.all():
            began = times.get(sheet.day_id, {}).get(step.code, Times()).started or step.starts_at
            if began > now:
                continue
            for row in step.placements.all():
                if row.enrolment_id == seat.pk:
                    held.setdefault((row.duty.name, step.station.name), []).append(step)
    found = [
        Practised(
            title=title,
            station=station,
            times=len(steps),
            hogs=tuple(dict.fromkeys(str(step.animal) for step in steps if step.animal)),
            minutes=sum(step.minutes for step in steps),
        )
        for (title, station), steps in held.items()
    ]
    return sorted(found, key=lambda one: (-one.times, one.title))
