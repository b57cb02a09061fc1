"""Raises and reads the change counters. ``scheduling.events`` tells the open pages.

The row is the truth and is written with the change, so a page that missed a message learns of it
at the next look. With Redis a message only rings the bell sooner.
"""

from __future__ import annotations

import logging
from functools import cache

import redis
from django.conf import settings
from django.db import transaction
from django.db.models import F

from workshops.models import Pulse, Topic

logger = logging.getLogger(__name__)

CHANNEL = "gambrel:pulse"
# A request must not hang on a Redis that is down: the listeners look at the rows anyway.
REDIS_WAIT_S = 0.3

Counts = dict[str, int]


def beat(workshop_id: int, topic: Topic) -> None:
    """Count one more change; call it last inside the transaction of the change.

    Last, because the row is then held only until the commit, and because everyone who holds other
    rows takes this one after them: two writers cannot wait for each other.
    """
    rows = Pulse.objects.filter(workshop_id=workshop_id, topic=topic)
    if not rows.update(count=F("count") + 1):
        # The first change of its kind; somebody else may be making the row this very moment.
        Pulse.objects.get_or_create(workshop_id=workshop_id, topic=topic)
        rows.update(count=F("count") + 1)
    if settings.REDIS_URL:
        transaction.on_commit(ring)


def counts_of(workshop_id: int) -> Counts:
    """The counters of one workshop, read before the page they stand on: one query."""
    rows = Pulse.objects.filter(workshop_id=workshop_id)
    return dict(rows.values_list("topic", "count"))


def all_counts() -> dict[int, Counts]:
    """The counters of every workshop: one query."""
    found: dict[int, Counts] = {}
    for workshop_id, topic, count in Pulse.objects.values_list("workshop_id", "topic", "count"):
        found.setdefault(workshop_id, {})[topic] = count
    return found


@cache
def bell() -> redis.Redis:
    """This process's connections to Redis."""
    return redis.Redis.from_url(
        settings.REDIS_URL, socket_timeout=REDIS_WAIT_S, socket_connect_timeout=REDIS_WAIT_S
    )


def ring() -> None:
    """Tell every web process to look now. A Redis that is down is no error: they look anyway."""
    try:
        bell().publish(CHANNEL, "")
    except redis.RedisError:
        logger.warning("Redis did not take the message of a change; pages learn of it later.")
