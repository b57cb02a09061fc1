"""Limits on how often something may be tried: sign-ins, sign-ups, unknown private links.

Counted in the database, so that every web process counts together and a restart forgets nothing.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.db.models import F
from django.http import HttpRequest

from workshops.models import Attempt

KEEP = timedelta(days=2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """So many tries in so many minutes. ``what`` tells the limits apart."""

    what: str
    tries: int
    minutes: int


# Common practice, no source: enough for cold fingers, too few for guessing.
SIGN_IN_OF_A_NAME = Limit(what="sign-in name", tries=8, minutes=15)
SIGN_IN_FROM_A_PLACE = Limit(what="sign-in place", tries=40, minutes=15)
SIGN_UP = Limit(what="sign-up", tries=30, minutes=60)
UNKNOWN_LINK = Limit(what="unknown link", tries=60, minutes=15)
# The same unknown link again is no new guess: an old card that a phone asks for every few seconds
# must not lock out the whole farm, which reaches a public server from one address.
SAME_LINK = Limit(what="same unknown link", tries=1, minutes=15)


class TooOften(Exception):
    """The limit is reached until ``opens_at``."""

    def __init__(self, limit: Limit, opens_at: datetime, *, now: datetime) -> None:
        self.limit, self.opens_at = limit, opens_at
        minutes = max(1, -(-int((opens_at - now).total_seconds()) // 60))
        super().__init__(
            f"Tried {limit.tries} times within {limit.minutes} minutes, which is the most. "
            f"Wait {minutes} minute{'s' if minutes > 1 else ''} and try again."
        )


def check(limit: Limit, who: str, *, now: datetime) -> None:
    """Raise ``TooOften`` if the limit is reached already. Counts nothing."""
    window = _window(limit, now)
    row = Attempt.objects.filter(key=_key(limit, who), window=window).first()
    if row and row.count >= limit.tries:
        raise TooOften(limit, window + timedelta(minutes=limit.minutes), now=now)


@transaction.atomic
def count(limit: Limit, who: str, *, now: datetime) -> None:
    """Count one try. Others may count at once: the database adds."""
    row, _ = Attempt.objects.get_or_create(key=_key(limit, who), window=_window(limit, now))
    Attempt.objects.filter(pk=row.pk).update(count=F("count") + 1)


@transaction.atomic
def count_guess(word: str, place: str, *, now: datetime) -> None:
    """Count an unknown private link against the place it came from, once for each word."""
    _, is_new = Attempt.objects.get_or_create(
        key=_key(SAME_LINK, f"{place}|{word}"), window=_window(SAME_LINK, now)
    )
    if is_new:
        count(UNKNOWN_LINK, place, now=now)


def forget(limit: Limit, who: str) -> None:
    """A success clears the count."""
    Attempt.objects.filter(key=_key(limit, who)).delete()


def sweep(*, now: datetime) -> None:
    """Remove old counts."""
    Attempt.objects.filter(window__lt=now - KEEP).delete()


def place_of(request: HttpRequest) -> str:
    """Where a request comes from. Behind the public server's proxy, what the proxy itself saw."""
    forwarded = request.headers.get("X-Forwarded-For", "") if settings.PUBLIC else ""
    return forwarded.rpartition(",")[2].strip() or request.META.get("REMOTE_ADDR", "")


def _key(limit: Limit, who: str) -> str:
    salted = f"{settings.SECRET_KEY}|{limit.what}|{who.casefold()}"
    return hashlib.sha256(salted.encode()).hexdigest()


def _window(limit: Limit, now: datetime) -> datetime:
    """The start of the window that ``now`` lies in."""
    length = limit.minutes * 60
    return datetime.fromtimestamp(int(now.timestamp()) // length * length, UTC)
