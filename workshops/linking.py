"""Private links to an attendee's card: make, renew, revoke."""

from __future__ import annotations

from datetime import datetime

from workshops.models import CardLink, Enrolment


def renew(seat: Enrolment) -> CardLink:
    """A new link for the seat; one that was there stops working.

    Two who renew at once end with one row and one working link: the later one's.
    """
    link, is_new = CardLink.objects.get_or_create(enrolment=seat)
    if not is_new:
        link.renew()
    return link


def revoke(seat: Enrolment, *, now: datetime) -> None:
    """End the seat's link, if it has one that works."""
    for link in CardLink.objects.filter(enrolment=seat, revoked_at__isnull=True):
        link.revoke(now=now)
