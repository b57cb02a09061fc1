"""The server-sent stream of changes and its polling twin.

One thread a process, the hub, looks at the change counters while anybody listens; each open page
holds a stream that is woken when the counters of its workshop move. What is sent is the counters
themselves and the server's time: a page compares them with those it was rendered at, so a message
that was lost, sent twice or sent late does no harm. The twin answers the same as one JSON object.

The stream is a plain generator: under WSGI an asynchronous one would never send anything.
"""

from __future__ import annotations

import json
import logging
import threading
import time
from collections.abc import Iterator
from datetime import datetime

import redis
from django.conf import settings
from django.db import DatabaseError, connection
from django.utils import timezone

from workshops import pulse
from workshops.models import Workshop
from workshops.pulse import Counts

logger = logging.getLogger(__name__)

LOOK_S = 0.25
"""How long a change may wait for the hub's next look at the rows."""
LOOK_WITH_REDIS_S = 2.0
"""The same where a message calls: only a lost message waits so long."""
BEAT_S = 3.0
"""The longest silence of a stream: a page that hears nothing for longer knows its link is gone."""
STREAM_S = 600.0
"""Streams end after ten minutes and are opened anew, so a revoked link does not listen on."""
MOST_STREAMS = 70
"""Each takes one of the web server's 96 threads; beyond this a page is told to poll."""


class TooManyListeners(Exception):
    """Every stream there is room for is taken; the page polls instead."""


class Hub:
    """Wakes the streams of a process when the counters move."""

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._counts: dict[int, Counts] = {}
        self._looks = 0
        self._listeners = 0
        self._thread: threading.Thread | None = None

    def enter(self) -> None:
        """Take one of the places; the first listener starts the thread."""
        with self._changed:
            if self._listeners >= MOST_STREAMS:
                raise TooManyListeners
            self._listeners += 1
            if self._thread is None:
                self._thread = threading.Thread(target=self._watch, name="hub", daemon=True)
                self._thread.start()

    def leave(self) -> None:
        """Give the place back; without listeners the thread ends at its next look."""
        with self._changed:
            self._listeners -= 1

    def counts(self, workshop_id: int, *, after: Counts | None, wait_s: float) -> Counts:
        """The counters as soon as they differ from ``after``, or after the wait as they are."""

        def is_news() -> bool:
            return self._looks > 0 and self._counts.get(workshop_id, {}) != after

        with self._changed:
            self._changed.wait_for(is_news, timeout=wait_s)
            return dict(self._counts.get(workshop_id, after or {}))

    @property
    def listeners(self) -> int:
        """How many streams are open."""
        return self._listeners

    def _watch(self) -> None:
        waiter = Waiter()
        while self._is_wanted():
            try:
                found = pulse.all_counts()
            except DatabaseError:
                # A database that is being restarted: the streams beat on, and pages show their age.
                logger.warning("The change counters could not be read; trying again.")
                connection.close()
            else:
                with self._changed:
                    self._looks += 1
                    if found != self._counts or self._looks == 1:
                        self._counts = found
                        self._changed.notify_all()
            waiter.wait()
        connection.close()
        waiter.close()

    def _is_wanted(self) -> bool:
        with self._changed:
            if self._listeners == 0:
                # Under the lock: a listener who comes now starts another thread.
                self._thread, self._looks = None, 0
                return False
            return True


class Waiter:
    """Waits for the next look: a fixed time, or less when Redis calls."""

    def __init__(self) -> None:
        self._calls: redis.client.PubSub | None = None

    def wait(self) -> None:
        """Return after the time, or at a message."""
        if not settings.REDIS_URL:
            time.sleep(LOOK_S)
            return
        try:
            if self._calls is None:
                self._calls = pulse.bell().pubsub(ignore_subscribe_messages=True)  # type: ignore[no-untyped-call]  # its own types leave it out
                self._calls.subscribe(pulse.CHANNEL)
            self._calls.get_message(timeout=LOOK_WITH_REDIS_S)
        except redis.RedisError:
            # Down: look as often as without it, and try to subscribe again.
            self.close()
            time.sleep(LOOK_S)

    def close(self) -> None:
        """Let the connection go."""
        if self._calls is not None:
            self._calls.close()
            self._calls = None


HUB = Hub()


def state(workshop: Workshop, *, now: datetime) -> dict[str, object]:
    """What the twin answers: the counters and the server's time. One query."""
    return _said(pulse.counts_of(workshop.pk), now)


def _said(counts: Counts, now: datetime) -> dict[str, object]:
    return {"now_ms": int(now.timestamp() * 1000), "counts": counts}


class Stream:
    """The stream of one page, as bytes. Raises :class:`TooManyListeners` when it is made.

    Not a bare generator: one that was never begun would not give its place back when it is closed.
    """

    def __init__(self, workshop: Workshop, *, hub: Hub = HUB) -> None:
        self._workshop_id = workshop.pk
        self._hub = hub
        self._is_open = True
        hub.enter()

    def __iter__(self) -> Iterator[bytes]:
        """A message at once, at each change, and at least every ``BEAT_S`` seconds."""
        ends = time.monotonic() + STREAM_S
        counts: Counts | None = None
        _let_connection_go()
        yield b"retry: 1000\n\n"
        while self._is_open and time.monotonic() < ends:
            counts = self._hub.counts(self._workshop_id, after=counts, wait_s=BEAT_S)
            yield f"data: {json.dumps(_said(counts, timezone.now()))}\n\n".encode()

    def close(self) -> None:
        """Give the place back, once; the web server calls this however the stream ended."""
        if self._is_open:
            self._is_open = False
            self._hub.leave()


def _let_connection_go() -> None:
    """A stream asks the database nothing: sixty of them must not hold sixty connections."""
    if not connection.in_atomic_block:
        connection.close()
