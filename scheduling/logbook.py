"""The duty log: written once for each press, corrected by a new entry that points at the old.

Readings, buckets, rolls and hair tests stay entries of their dip, starts and finishes rows of the
clock, alarms rows of their own; the log shows all of them in one order and stores none twice.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db import IntegrityError, transaction

from scheduling.models import LogEntry, LogKind
from stations.dipping import Hand
from stations.models import Station
from workshops.models import Animal, Enrolment, StaffMember, Topic, Workshop
from workshops.pulse import beat

AHEAD = timedelta(minutes=2)
"""A phone's clock may run ahead of the laptop's by so much (a judgement, no source)."""


class LogRefusedError(Exception):
    """The entry cannot be right; the sentence says why, and nothing is written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What somebody writes down. ``detail`` is health: for organizer and lead alone."""

    kind: LogKind
    text: str
    at: datetime
    detail: str = ""
    station: Station | None = None
    animal: Animal | None = None
    about: Enrolment | None = None
    about_staff: StaffMember | None = None


def write(workshop: Workshop, told: Told, *, by: Hand, client_id: UUID, now: datetime) -> LogEntry:
    """Add an entry; the second arrival of a press answers with the entry of the first.

    Raises :class:`LogRefusedError` for a time to come, and for a row of another workshop.
    """
    if told.at > now + AHEAD:
        clock = told.at.astimezone(workshop.zone)
        raise LogRefusedError(f"{clock:%H:%M} is still to come. Type when it happened.")
    for row in (told.station, told.animal, told.about, told.about_staff):
        if row is not None and row.workshop_id != workshop.pk:
            raise LogRefusedError(f"{row} is not of this course. Choose from the list.")
    return _add(
        LogEntry(
            workshop=workshop,
            client_id=client_id,
            kind=told.kind,
            text=told.text,
            at=min(told.at, now),
            received_at=now,
            detail=told.detail,
            station=told.station,
            animal=told.animal,
            about=told.about,
            about_staff=told.about_staff,
            by_user=by.user,
            by_enrolment=by.enrolment,
        )
    )


def correct(
    entry: LogEntry, text: str, *, by: Hand, client_id: UUID, now: datetime, detail: str = ""
) -> LogEntry:
    """A new entry that points at the one that was wrong; both stay, and the new one counts.

    Raises :class:`LogRefusedError` if somebody corrected that entry already.
    """
    if before := LogEntry.objects.filter(client_id=client_id).first():
        return before
    if LogEntry.objects.filter(corrects=entry).exists():
        raise LogRefusedError("This entry was corrected already. Correct the newest one.")
    return _add(
        LogEntry(
            workshop=entry.workshop,
            client_id=client_id,
            kind=LogKind.CORRECTION,
            text=text,
            detail=detail,
            # It happened when it happened; ``received_at`` says when this was written.
            at=entry.at,
            received_at=now,
            station=entry.station,
            animal=entry.animal,
            about=entry.about,
            about_staff=entry.about_staff,
            corrects=entry,
            by_user=by.user,
            by_enrolment=by.enrolment,
        )
    )


def _add(entry: LogEntry) -> LogEntry:
    if before := LogEntry.objects.filter(client_id=entry.client_id).first():
        return before
    try:
        with transaction.atomic():
            entry.save()
            beat(entry.workshop_id, Topic.LOG)
    except IntegrityError:
        # The same press came in twice at once, or two people corrected one entry at once.
        if before := LogEntry.objects.filter(client_id=entry.client_id).first():
            return before
        raise LogRefusedError(
            "Someone corrected this entry at the same moment. Look at theirs first."
        ) from None
    return entry


def forget_details_of(seat: Enrolment) -> int:
    """Empty what the log says of a person's health; what happened, when and where stays.

    Called when somebody asks to be forgotten. Returns how many entries that touched.
    """
    return LogEntry.objects.filter(about=seat).exclude(detail="").forget_details()
