"""The phones and screens of the live trial, as threads that speak plain HTTP on loopback."""

from __future__ import annotations

import http.client
import json
import threading
import time
from bisect import bisect_left
from collections import deque
from collections.abc import Sequence
from contextlib import ExitStack, suppress
from dataclasses import dataclass, field
from random import Random
from urllib.parse import urlencode
from uuid import UUID

SILENT_S = 8.0
"""As ``live.js``: after so long a silence a page takes its link for dead."""
AGAIN_S = 0.3
LEAST_S = 0.7
"""As ``live.js``: between two fetches of one page."""
AWAY_S = 2.0
"""How long a phone is without its link when it drops."""
ANSWERED = {200, 204, 302}
Lost: tuple[type[Exception], ...] = (OSError, http.client.HTTPException)


@dataclass(frozen=True, slots=True)
class Tap:
    """One press: its id, what it notes, when the finger came down (monotonic seconds)."""

    client_id: str
    act: str
    at: float


@dataclass(slots=True, kw_only=True)
class Times:
    """When the trial ends and when this client's link drops, in monotonic seconds."""

    ends: float
    drops: float


@dataclass(slots=True, kw_only=True)
class Writer:
    """A phone at a trough: keeps what it could not send and sends it later, in order."""

    port: int
    page: str
    dip: int
    times: Times
    every_s: float
    random: Random
    taps: list[Tap] = field(default_factory=list)
    answered: dict[str, float] = field(default_factory=dict)
    refused: list[str] = field(default_factory=list)
    away: list[tuple[float, float]] = field(default_factory=list)
    hung_up: int = 0
    _waiting: deque[Tap] = field(default_factory=deque)
    _cookie: str = ""
    _link: http.client.HTTPConnection | None = None
    _away_until: float = 0.0

    def run(self) -> None:
        """Tap at its pace (or as soon as the last is answered) and send until all is sent."""
        due = time.monotonic() + self.random.random() * self.every_s
        while True:
            now = time.monotonic()
            if now >= self.times.ends and not self._waiting:
                self._hang_up()
                return
            if due <= now < self.times.ends and (self.every_s or not self._waiting):
                self._tap(due if self.every_s else now)
                due += self.every_s
            if self._waiting and now >= self._away_until:
                self._try_to_send()
            elif self.every_s:
                time.sleep(0.005)

    def _tap(self, at: float) -> None:
        client_id = str(UUID(int=self.random.getrandbits(128), version=4))
        act = "roll" if len(self.taps) % 3 == 2 else "read"
        tap = Tap(client_id, act, at)
        self.taps.append(tap)
        self._waiting.append(tap)

    def _try_to_send(self) -> None:
        tap, began = self._waiting[0], time.monotonic()
        try:
            status = self._send(tap, hang_up=began >= self.times.drops)
        except Lost:
            self._lose_link(began, AGAIN_S)
            return
        if status is None:
            # The request went out, and the link dropped before the answer came.
            self.times.drops = float("inf")
            self.hung_up += 1
            self._lose_link(began, AWAY_S)
        elif status in ANSWERED:
            self.answered[tap.client_id] = time.monotonic()
            self._waiting.popleft()
        else:
            self.refused.append(f"{tap.act}: {status}")
            self._waiting.popleft()

    def _lose_link(self, began: float, away_s: float) -> None:
        self._hang_up()
        self._away_until = time.monotonic() + away_s
        # What waited meanwhile is sent in the half second after.
        self.away.append((began, self._away_until + 0.5))

    def _hang_up(self) -> None:
        if self._link is not None:
            self._link.close()
        self._link = None

    def _send(self, tap: Tap, *, hang_up: bool) -> int | None:
        if self._link is None:
            self._link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=10)
        if not self._cookie:
            self._link.request("GET", self.page)
            answer = self._link.getresponse()
            answer.read()
            self._cookie = (answer.getheader("Set-Cookie") or "").split(";")[0]
        told = {"client_id": tap.client_id}
        if tap.act == "read":
            told |= {"water_c": f"{66 + self.random.random():.1f}", "confirmed": "true"}
        headers = {
            "Content-Type": "application/x-www-form-urlencoded",
            "Cookie": self._cookie,
            "X-CSRFToken": self._cookie.partition("=")[2],
            "X-Fragment": "1",
        }
        self._link.request("POST", f"{self.page}{self.dip}/{tap.act}/", urlencode(told), headers)
        if hang_up:
            self._link.close()
            return None
        answer = self._link.getresponse()
        answer.read()
        return answer.status


@dataclass(slots=True, kw_only=True)
class Listener:
    """An open page: hears the stream; one that shows the trough fetches its part anew."""

    port: int
    events: str
    times: Times
    shows: str = ""
    heard: list[tuple[float, int]] = field(default_factory=list)
    """When (monotonic seconds), and how many readings the page knew of then."""
    shown: list[tuple[float, int]] = field(default_factory=list)
    away: list[tuple[float, float]] = field(default_factory=list)
    is_listening: threading.Event = field(default_factory=threading.Event)
    over: threading.Event = field(default_factory=threading.Event)

    def run(self) -> None:
        """Listen, and listen again whenever the link is lost, until told that it is over."""
        lost_at = time.monotonic()
        while not self.over.is_set():
            with suppress(*Lost):
                self._listen(lost_at)
            lost_at = time.monotonic()
            self.over.wait(AGAIN_S)

    def _listen(self, lost_at: float) -> None:
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=SILENT_S)
        with ExitStack() as ends:
            ends.callback(link.close)
            link.request("GET", self.events)
            answer = ends.enter_context(link.getresponse())
            while not self.over.is_set():
                line = answer.readline()
                if not line:
                    return
                if line.startswith(b"data: "):
                    self._hear(json.loads(line[6:]), lost_at)
                if time.monotonic() >= self.times.drops:
                    self.times.drops = float("inf")
                    return

    def _hear(self, said: dict[str, dict[str, int]], lost_at: float) -> None:
        now, count = time.monotonic(), said["counts"].get("dip", 0)
        if self.heard and lost_at > self.heard[-1][0]:
            self.away.append((lost_at, now))
        self.heard.append((now, count))
        self.is_listening.set()

    def show(self) -> None:
        """Beside the stream, as a screen does: fetch the part whenever something new was heard."""
        known, link = -1, http.client.HTTPConnection("127.0.0.1", self.port, timeout=SILENT_S)
        while not self.over.is_set():
            count = self.heard[-1][1] if self.heard else -1
            if count == known:
                time.sleep(0.005)
                continue
            began = time.monotonic()
            try:
                link.request("GET", self.shows, headers={"HX-Request": "true"})
                if (answer := link.getresponse()).read() and answer.status == 200:
                    known = count
                    self.shown.append((time.monotonic(), count))
            except Lost:
                link.close()
                self.over.wait(AGAIN_S)
            self.over.wait(max(0.0, LEAST_S - (time.monotonic() - began)))
        link.close()


def first_at(known: Sequence[tuple[float, int]], count: int) -> float | None:
    """When a page first knew of so many readings; counts only grow."""
    place = bisect_left(known, count, key=lambda seen: seen[1])
    return known[place][0] if place < len(known) else None
