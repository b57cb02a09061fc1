"""What a household changes of its own answers, by private link.

They see and change what they were asked at sign-up, and nothing of how the seat stands. A health
note that is kept is not shown: whoever holds the address would read it. A new one replaces it.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from django.db import transaction

from workshops import enrolling
from workshops.enrolling import ChangedMeanwhile, Entry
from workshops.models import CardLink, Enrolment, EnrolmentStatus

# Whatever these are meanwhile, the answers are the same version: an offer may come any minute.
NOT_THEIRS = ("status", "household_name", "arrives_at", "leaves_at", "health_note")


def may_answer(link: CardLink, *, now: datetime) -> bool:
    """Grown-ups answer for their household, until the course is over."""
    return not link.enrolment.is_minor() and not link.enrolment.workshop.is_over(now=now)


def version_of(saved: Entry) -> str:
    """A short digest of the answers alone."""
    blank: dict[str, object] = {"status": EnrolmentStatus.ENQUIRY, "household_name": ""}
    blank |= {"arrives_at": None, "leaves_at": None, "health_note": None}
    return replace(saved, **blank).version  # type: ignore[arg-type]  # each of its field's type


@transaction.atomic
def answer(
    seat: Enrolment, entry: Entry, *, health: str, seen: str, by: Enrolment, now: datetime
) -> Enrolment:
    """Replace the answers, provided they are still the version that was seen.

    ``health`` replaces the note, unless it is empty. Raises ``ChangedMeanwhile``: two of one
    household, or the organizer, may save at once.
    """
    current = enrolling.locked(seat)
    saved = enrolling.entry_of(current, with_health=False)
    kept = {name: getattr(saved, name) for name in NOT_THEIRS}
    wanted = replace(entry, **kept)
    if version_of(saved) != seen and wanted != saved:
        raise ChangedMeanwhile(saved)
    wanted = replace(wanted, health_note=health or None)
    enrolling.write(current, wanted, before=saved, now=now, by_seat=by)
    return current
