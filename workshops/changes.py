"""A seat's history in sentences: how it moved, and who changed which answers."""

from __future__ import annotations

from workshops.forms.people import said
from workshops.models import Enrolment, EnrolmentStatus
from workshops.roster import at_the_farm

# The newest are read; all are kept.
SHOWN = 20


def lines(seat: Enrolment) -> list[str]:
    """The newest first. Two queries."""
    steps = [
        (step.at, f"{EnrolmentStatus(step.status).label}, {step.reason}".rstrip(", "))
        for step in seat.changes.order_by("-at", "-pk")[:SHOWN]
    ]
    answers = [
        (change.at, f"{', '.join(said(name) for name in change.what)}, {change.who}")
        for change in seat.answer_changes.select_related("by_user", "by_seat__attendee")[:SHOWN]
    ]
    found = sorted([*steps, *answers], key=lambda line: line[0], reverse=True)[:SHOWN]
    return [f"{at_the_farm(seat.workshop, at)}: {words}." for at, words in found]
