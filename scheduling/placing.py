"""The morning: who is here, what hurts today, who is locked where. Writes drafts and attendance."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from django.db import transaction

from scheduling import drafting
from scheduling.models import Attendance, Placement, RunSheet, TodayLimit, Turnout
from workshops.models import Day, Enrolment, Limit, Topic
from workshops.pulse import beat


@dataclass(frozen=True, slots=True, kw_only=True)
class Morning:
    """What the lead ticked for one person."""

    turnout: Turnout
    hurts: frozenset[Limit] = field(default_factory=frozenset)


@transaction.atomic
def write_attendance(day: Day, ticks: Mapping[Enrolment, Morning]) -> None:
    """Keep the morning's ticks; people not named stay as they were."""
    for seat, morning in ticks.items():
        row, _ = Attendance.objects.update_or_create(
            day=day, enrolment=seat, defaults={"turnout": morning.turnout}
        )
        row.limits.exclude(limit__in=morning.hurts).delete()
        for limit in morning.hurts:
            TodayLimit.objects.get_or_create(attendance=row, limit=limit)
    beat(day.workshop_id, Topic.MORNING)


@transaction.atomic
def set_lock(sheet: RunSheet, placement: Placement, *, locked: bool) -> None:
    """Keep a person at a place through the next placing, or let go."""
    drafting.take_turn(sheet)
    placement.locked = locked
    placement.save(update_fields=["locked"])


@transaction.atomic
def give_place(sheet: RunSheet, placement: Placement, seat: Enrolment) -> None:
    """Put another attendee at this place and lock them there.

    If they already hold a place at the same step, the two change places.
    """
    drafting.take_turn(sheet)
    other = Placement.objects.filter(step=placement.step, enrolment=seat).first()
    if other == placement:
        return
    before = placement.enrolment_id
    if other:
        # The database allows a person one place a step, so one row goes before both are written.
        other.delete()
    placement.enrolment, placement.staff, placement.locked = seat, None, True
    placement.save()
    if other and before:
        other.pk, other.enrolment_id, other.locked = None, before, False
        other._state.adding = True
        other.save(force_insert=True)
