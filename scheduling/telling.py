"""Who has to be told that their day changed, and who has heard. The only writer of notices."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from django.db import transaction

from scheduling.comparing import Change
from scheduling.models import Heard, Notice, Posting
from workshops.models import Day, Enrolment, Topic, User
from workshops.pulse import beat


def write_notices(posting: Posting, changes: Iterable[Change]) -> list[Notice]:
    """One notice for each attendee whose day changed; staff stand beside the lead and need none."""
    said: dict[int, list[str]] = {}
    for change in changes:
        for key in change.people:
            if key.startswith("a"):
                said.setdefault(int(key[1:]), []).append(change.sentence)
    return Notice.objects.bulk_create(
        Notice(posting=posting, enrolment_id=seat, sentences=sentences)
        for seat, sentences in sorted(said.items())
    )


@transaction.atomic
def tell(day: Day, seat: Enrolment, *, by: User, now: datetime) -> int:
    """The lead has told this person everything that is open; how many notices that closes."""
    # Two people may tick at once, or tick while the card is read: the first one counts.
    notices = Notice.objects.of_day(day).open().filter(enrolment=seat)
    closed = notices.update(heard=Heard.TOLD, heard_at=now, told_by=by)
    beat(day.workshop_id, Topic.MORNING)
    return closed


@transaction.atomic
def read(seat: Enrolment, *, now: datetime) -> int:
    """This person has read on their card what is open; how many notices that closes."""
    notices = Notice.objects.open().filter(enrolment=seat)
    closed = notices.update(heard=Heard.READ, heard_at=now)
    beat(seat.workshop_id, Topic.MORNING)
    return closed


def unread(seat: Enrolment) -> list[str]:
    """What this person has not heard yet, oldest first: one query."""
    rows = Notice.objects.open().filter(enrolment=seat).order_by("pk")
    return [sentence for row in rows for sentence in row.sentences]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToTell:
    """One attendee and all that they have not heard."""

    seat: Enrolment
    sentences: tuple[str, ...]


def to_tell(day: Day) -> list[ToTell]:
    """Everyone of the day who has not heard something, by name: one query."""
    rows = list(Notice.objects.of_day(day).open().with_people())
    rows.sort(key=lambda row: (row.enrolment.attendee.given_name, row.enrolment_id, row.pk))
    return [
        ToTell(
            seat=mine[0].enrolment,
            sentences=tuple(sentence for row in mine for sentence in row.sentences),
        )
        for _, group in groupby(rows, key=lambda row: row.enrolment_id)
        if (mine := list(group))
    ]
