"""Private links to an attendee's card: make, renew, revoke, and what another machine made."""

from __future__ import annotations

from datetime import datetime

from workshops.models import CardLink, Enrolment, FeedLink, StaffMember
from workshops.models.links import digest_of


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


def renew_feed(member: StaffMember) -> FeedLink:
    """A new calendar feed for a member of the staff; one that was there ends."""
    feed, is_new = FeedLink.objects.get_or_create(staff=member)
    if not is_new:
        feed.renew()
    return feed


def links_of_another_secret() -> int:
    """How many links were made with a secret that is not this server's: two queries.

    They open what they opened, but their words cannot be made again here.
    """
    links = [*CardLink.objects.all(), *FeedLink.objects.all()]
    return sum(link.digest != digest_of(link.word) for link in links)
