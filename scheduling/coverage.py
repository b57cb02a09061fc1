"""Who has done which core duty, derived from posted placements."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from scheduling.models import RunSheet
from stations.models import Duty
from workshops.models import Enrolment


@dataclass(frozen=True, slots=True, kw_only=True)
class Covered:
    """One core duty of one attendee."""

    duty: Duty
    done: bool
    planned: bool
    ruled_out: bool

    @property
    def word(self) -> str:
        """What the card says."""
        if self.done:
            return "done"
        if self.planned:
            return "to come"
        return "not for you" if self.ruled_out else "not placed yet"


def of_attendee(seat: Enrolment, sheets: Iterable[RunSheet], *, now: datetime) -> list[Covered]:
    """Every core duty of the course, with whether this attendee has done or will do it.

    ``sheets`` are the posted sheets with steps, placements and duties loaded; one query more for
    the core duties.
    """
    begun: set[int] = set()
    ahead: set[int] = set()
    for sheet in sheets:
        for step in sheet.steps.all():
            for row in step.placements.all():
                if row.enrolment_id == seat.pk:
                    (begun if step.starts_at <= now else ahead).add(row.duty_id)
    duties = (
        Duty.objects.filter(
            station__workshop=seat.workshop, core=True, filled_by="attendees", stages__isnull=False
        )
        .select_related("station")
        .distinct()
    )
    limits = seat.limits_on(now.date())
    return [
        Covered(
            duty=duty,
            done=duty.pk in begun,
            planned=duty.pk in ahead,
            ruled_out=bool(limits & duty.ruled_out_by),
        )
        for duty in duties
    ]
