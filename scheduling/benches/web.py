"""The site under load: requests a second, how long each takes, and how many fail.

``manage.py bench web [seconds]``, 20 by default, in two set-ups. First the laptop's own: SQLite, no
server, sixty phones of one course that load their pages and the trough's, ten of which write. Then
the largest we claim: 2,000 attendees of 100 workshops on PostgreSQL and Redis, two web processes
and two workers. Each is asked twice: at the pace of people, one request every two seconds a phone,
and as fast as the phones can. Clients and servers share the machine, so a real server does better.
"""

from __future__ import annotations

import http.client
import os
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from random import Random
from urllib.parse import urlencode
from uuid import uuid4

from scheduling.benches import Write
from scheduling.benches.live import SetUp, site_on
from scheduling.benches.live_site import Site

PHONES = 60
EVERY_S = 2.0
READY_S = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """What is loaded, on what."""

    words: str
    set_up: SetUp
    course: str
    web_processes: int = 1


TRIALS = (
    Trial(
        words="the laptop: SQLite, one course, 60 phones",
        set_up=SetUp(words="SQLite"),
        course="course",
    ),
    Trial(
        words="2 web processes, PostgreSQL, Redis: 100 courses, 2,000 attendees, 60 phones",
        set_up=SetUp(words="PostgreSQL", postgresql=True, redis=True, more_workers=1),
        course="courses",
        web_processes=2,
    ),
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Phone:
    """One person's pages, and the trough where they press, if they do."""

    pages: Sequence[str]
    trough: str = ""
    dip: int = 0


@dataclass(slots=True, kw_only=True)
class Load:
    """What came back: seconds for each request by kind, and each failure."""

    length_s: float
    took: dict[str, list[float]] = field(default_factory=dict)
    failed: list[str] = field(default_factory=list)

    def note(self, kind: str, seconds: float, status: int | None) -> None:
        """One request; lists are added to by one thread at a time, the GIL sees to that."""
        if status in {200, 302}:
            self.took.setdefault(kind, []).append(seconds)
        else:
            self.failed.append(f"{kind}: {status or 'no answer'}")


def run(write: Write, words: Sequence[str]) -> None:
    """Print the figures of each trial."""
    from tests import servers

    length_s = float(words[0]) if words else 20.0
    write(f"{len(os.sched_getaffinity(0))} cores, clients on the same machine")
    for trial in TRIALS:
        write(trial.words)
        try:
            with site_on(trial.set_up, web_processes=trial.web_processes) as site:
                for line in _figures(site, trial, length_s):
                    write(f"  {line}")
        except servers.ServerError as missing:
            write(f"  left out. {missing}")


def _figures(site: Site, trial: Trial, length_s: float) -> Iterator[str]:
    phones = _phones(site.ask(trial.course))
    _wait_for(site)
    load(site.port, phones, length_s=3.0, every_s=0.0)  # everything is loaded once before it counts
    for words, every_s in (("paced", EVERY_S), ("as fast as they can", 0.0)):
        found = load(site.port, phones, length_s=length_s, every_s=every_s)
        every = [seconds for kind in found.took.values() for seconds in kind]
        yield (
            f"{words}: {len(every) / length_s:.0f} requests a second, {spread(every)}, "
            f"{len(found.failed)} failed {sorted(set(found.failed))[:3] or ''}"
        )
        yield from (f"  {kind}: {spread(took)}" for kind, took in sorted(found.took.items()))


def spread(seconds: Sequence[float]) -> str:
    """The median and the slowest twentieth and hundredth, in ms."""
    if not seconds:
        return "none"
    ordered = sorted(seconds)
    shares = ((50, 0.5), (95, 0.95), (99, 0.99))
    return ", ".join(
        f"p{name} {1000 * ordered[int(share * (len(ordered) - 1))]:.0f} ms"
        for name, share in shares
    )


def _phones(rows: dict[str, list[object]]) -> list[Phone]:
    """Sixty people: those who write stand at a trough."""
    standing = {row["word"]: row for row in rows["writers"] if isinstance(row, dict)}
    phones = []
    for word in rows["phones"][:PHONES]:
        pages = (f"/card/{word}/", f"/card/{word}/board/", f"/seat/{word}/")
        row = standing.get(word)
        if row is None:
            phones.append(Phone(pages=pages))
        else:
            trough = f"/card/{word}/trough/{row['letter']}/"
            phones.append(Phone(pages=(*pages, trough), trough=trough, dip=int(row["dip"])))
    return phones


def _wait_for(site: Site) -> None:
    ends = time.monotonic() + READY_S
    while not site.answers("/health/"):
        if time.monotonic() > ends:
            raise RuntimeError("The site did not start.")
        time.sleep(0.2)


def load(port: int, phones: Sequence[Phone], *, length_s: float, every_s: float) -> Load:
    """Have every phone ask for so long; with ``every_s`` 0 each asks as soon as it is answered."""
    found = Load(length_s=length_s)
    ends = time.monotonic() + length_s
    threads = [
        threading.Thread(target=_ask_on, args=(port, phone, found, ends, every_s, Random(number)))  # noqa: S311
        for number, phone in enumerate(phones)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return found


def _ask_on(
    port: int, phone: Phone, found: Load, ends: float, every_s: float, dice: Random
) -> None:
    browser = Browser(port)
    time.sleep(dice.uniform(0.0, every_s))
    while time.monotonic() < ends:
        started = time.monotonic()
        kind, status = browser.act(phone, dice)
        found.note(kind, time.monotonic() - started, status)
        time.sleep(max(0.0, every_s - (time.monotonic() - started)))
    browser.close()


class Browser:
    """A connection that is kept, as a phone keeps one, and the token of the forms."""

    def __init__(self, port: int) -> None:
        self._link = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        self._token = ""

    def act(self, phone: Phone, dice: Random) -> tuple[str, int | None]:
        """One request of this person: a press in three of those who stand at a trough."""
        if phone.trough and self._token and dice.random() < 1 / 3:
            kind = dice.choice(("roll", "pour-hot"))
            return "a press at the trough", self._ask(
                lambda: self._post(f"{phone.trough}{phone.dip}/{kind}/")
            )
        page = dice.choice(phone.pages)
        kinds = {"board": "the board", "trough": "the trough", "seat": "own page"}
        kind = next((words for part, words in kinds.items() if part in page), "the card")
        return kind, self._ask(lambda: self._get(page))

    def _ask(self, send: Callable[[], int]) -> int | None:
        try:
            return send()
        except (OSError, http.client.HTTPException):
            self._link.close()
            return None

    def _get(self, path: str) -> int:
        self._link.request("GET", path, headers={"Accept-Encoding": "gzip"})
        return self._read()

    def _post(self, path: str) -> int:
        body = urlencode({"client_id": str(uuid4()), "csrfmiddlewaretoken": self._token})
        headers = {
            "Content-Type": "application/x-www-form-urlencoded",
            "Cookie": f"csrftoken={self._token}",
        }
        self._link.request("POST", path, body, headers)
        return self._read()

    def _read(self) -> int:
        answer = self._link.getresponse()
        answer.read()
        for line in answer.headers.get_all("Set-Cookie") or []:
            if line.startswith("csrftoken="):
                self._token = line.split(";")[0].removeprefix("csrftoken=")
        return answer.status

    def close(self) -> None:
        """Hang up."""
        self._link.close()
