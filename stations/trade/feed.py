"""When to take the feed away before the kill: an empty gut, and not more than a day without."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from stations.trade.errors import OutOfRange
from stations.trade.sources import Source, Trust

OMAFRA = Source(
    title="OMAFRA factsheet 05-065",
    place="feed withdrawal, best 12 to 18 h before the kill",
    trust=Trust.PUBLISHED,
)
FB_2265_FEED = Source(
    title="USDA Farmers' Bulletin 2265, 1978",
    place="feed off and water on for 24 h",
    trust=Trust.PUBLISHED,
)
HELD_LONGER = Source(
    title="9 CFR 313.2", place="feed if held longer than 24 h, water always", trust=Trust.PUBLISHED
)
LEAST_H, MOST_H = 12, 24
MIDDLE_H = 15
"""OMAFRA's worked example: off at seven in the evening, killed at ten the next morning."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedOff:
    """Between which times the feed goes, for all the hogs of one pen, and a time in between."""

    earliest: datetime
    latest: datetime
    suggested: datetime


def feed_off(*, first_kill: datetime, last_kill: datetime) -> FeedOff:
    """When to take feed away so that each hog has been 12 to 24 h without; water stays.

    earliest = last kill - 24 h, latest = first kill - 12 h; suggested = first kill - 15 h, moved
    into that stretch.

    Args:
        first_kill: the first hog's kill, aware.
        last_kill: the last hog's kill of that day, aware, not before the first.

    Returns: the stretch and the suggestion.

    Raises: OutOfRange when the kills lie further apart than 12 h: such hogs need two pens.

    >>> from datetime import UTC
    >>> off = feed_off(first_kill=datetime(2027, 1, 15, 8, tzinfo=UTC),
    ...                last_kill=datetime(2027, 1, 15, 10, tzinfo=UTC))
    >>> f"{off.earliest:%a %H:%M} {off.suggested:%H:%M} {off.latest:%H:%M}"
    'Thu 10:00 17:00 20:00'

    Source: ``OMAFRA``, ``FB_2265_FEED`` (published; they differ, so both are kept as a stretch),
    ``HELD_LONGER`` (published).
    """
    apart_h = (last_kill - first_kill).total_seconds() / 3600
    if not 0 <= apart_h <= MOST_H - LEAST_H:
        raise OutOfRange(
            "time from first to last kill", got=apart_h, low=0, high=MOST_H - LEAST_H, unit="h",
            rule="feed withdrawal of one pen; pen the later hogs apart",
        )  # fmt: skip
    earliest = last_kill - timedelta(hours=MOST_H)
    latest = first_kill - timedelta(hours=LEAST_H)
    suggested = max(earliest, first_kill - timedelta(hours=MIDDLE_H))
    return FeedOff(earliest=earliest, latest=latest, suggested=suggested)
