"""The live day on trial: the real server, sixty listening pages, ten phones that write.

In mid-run the web server and a worker are killed and started again by the supervisor, and each
client's link drops once. Afterwards every reading must be there once and in order.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

from scheduling.benches.live_clients import Listener, Times, Writer, first_at
from scheduling.benches.live_site import Site, TrialError

START_S = 120.0
SEND_S = 60.0
JOB_S = 60.0
SEED = 8
NEVER = float("inf")


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """How long, how fast, and at what part of the run something is killed or a link drops.

    ``every_s`` of 0: each phone taps as soon as its last tap is answered.
    """

    length_s: float
    every_s: float
    kills: bool = True
    kill_worker: float = 0.1
    kill_web: float = 0.4
    drops: tuple[float, float] = (0.6, 0.85)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What was tapped, what was kept, and how long it took to every page."""

    tapped: list[list[str]]
    """The ids of each phone's taps, in order."""
    kept: list[str]
    refused: list[str]
    hung_up: int
    links_lost: int
    never_heard: int
    to_page_s: list[float]
    """Each tap to each page; both links were up meanwhile."""
    to_last_page_s: list[float]
    """Each tap to the last page of all, whatever happened meanwhile."""
    to_screen_s: list[float]
    """Each tap to each screen that fetches what it shows; both links were up meanwhile."""
    per_second: float
    job: dict[str, Any]
    memory_mb: dict[str, float]

    @property
    def lost(self) -> set[str]:
        """Readings that were tapped and are not there."""
        return {one for taps in self.tapped for one in taps} - set(self.kept)

    @property
    def doubled(self) -> int:
        """How many rows there are too many."""
        return len(self.kept) - len(set(self.kept))

    @property
    def out_of_order(self) -> int:
        """How many phones' rows stand in another order than their taps."""
        place = {client_id: number for number, client_id in enumerate(self.kept)}
        rows = [[place[one] for one in taps if one in place] for taps in self.tapped]
        return sum(places != sorted(places) for places in rows)


def trial(site: Site, plan: Plan) -> Outcome:
    """Run it on a site that is starting or up, and count afterwards."""
    course = site.ask("course")
    first = f"/card/{course['phones'][0]}/events/now/"
    _until(lambda: site.answers(first), START_S, "The web server does not answer.")
    random = Random(SEED)  # noqa: S311  (a trial, no secret)
    ends = time.monotonic() + plan.length_s
    listeners = [
        Listener(
            port=site.port, events=f"/card/{word}/events/", times=_times(plan, random, ends=ends)
        )
        for word in course["phones"]
    ]
    _make_screens(listeners, course)
    _start(*(page.run for page in listeners))
    _until(lambda: all(page.is_listening.is_set() for page in listeners), 30, "A page is deaf.")
    _start(*(page.show for page in listeners if page.shows))
    writers = [
        Writer(
            port=site.port,
            page=f"/card/{one['word']}/trough/{one['letter']}/",
            dip=one["dip"],
            times=_times(plan, random, ends=ends),
            every_s=plan.every_s,
            random=Random(random.random()),  # noqa: S311
        )
        for one in course["writers"]
    ]
    began = time.monotonic()
    threads = _start(*(writer.run for writer in writers))
    if plan.kills:
        _make_trouble(site, plan, began=began)
    for thread in threads:
        thread.join(max(0.0, ends + SEND_S - time.monotonic()))
    if any(thread.is_alive() for thread in threads):
        raise TrialError("Not every reading could be sent.")
    kept = site.ask("tally")["entries"]
    _wait(lambda: all(first_at(page.heard, len(kept)) for page in listeners), 10)
    memory = site.memory_mb()
    for page in listeners:
        page.over.set()
    if plan.kills:
        _wait(lambda: site.ask("state")["state"] in {"done", "failed"}, JOB_S)
    job = site.ask("state") if plan.kills else {}
    return _counted(writers, listeners, kept, began=began, job=job, memory=memory)


def _times(plan: Plan, random: Random, *, ends: float) -> Times:
    early, late = plan.drops
    left = plan.length_s * (1 - random.uniform(early, late))
    return Times(ends=ends, drops=ends - left if plan.kills else NEVER)


def _make_screens(listeners: list[Listener], course: dict[str, Any]) -> None:
    """Two of the pages are a board and a trough, which fetch what they show."""
    trough = course["writers"][0]
    listeners[0].shows = f"/card/{trough['word']}/trough/{trough['letter']}/{trough['dip']}/now/"
    listeners[-1].shows = f"/card/{course['phones'][-1]}/board/"


def _make_trouble(site: Site, plan: Plan, *, began: float) -> None:
    """Kill the worker as soon as it is at work on a job; later the web server."""
    _sleep_until(began + plan.kill_worker * plan.length_s)
    site.ask("job")
    _wait(lambda: site.ask("state")["state"] != "queued", JOB_S)
    site.kill("worker")
    _sleep_until(began + plan.kill_web * plan.length_s)
    site.kill("gunicorn")


def _counted(
    writers: Sequence[Writer],
    listeners: Sequence[Listener],
    kept: list[str],
    *,
    began: float,
    job: dict[str, Any],
    memory: dict[str, float],
) -> Outcome:
    """Every change raises the counter by one, so the n-th row is on a page that knows of n."""
    rank = {client_id: number for number, client_id in enumerate(kept, start=1)}
    taps = [(tap, writer) for writer in writers for tap in writer.taps if tap.client_id in rank]
    to_page, to_last, to_screen, never = [], [], [], 0
    for tap, writer in taps:
        answered = writer.answered.get(tap.client_id, NEVER)
        last = 0.0
        for page in listeners:
            heard = first_at(page.heard, rank[tap.client_id])
            if heard is None:
                never += 1
                continue
            last = max(last, heard - tap.at)
            is_calm = not any(
                start < max(heard, answered) and end > tap.at
                for start, end in (*page.away, *writer.away)
            )
            if is_calm:
                to_page.append(heard - tap.at)
                shown = first_at(page.shown, rank[tap.client_id])
                if shown is not None:
                    to_screen.append(shown - tap.at)
        to_last.append(last)
    lasted = max(max(writer.answered.values(), default=began) for writer in writers) - began
    return Outcome(
        tapped=[[tap.client_id for tap in writer.taps] for writer in writers],
        kept=kept,
        refused=[words for writer in writers for words in writer.refused],
        hung_up=sum(writer.hung_up for writer in writers),
        links_lost=sum(len(page.away) for page in listeners),
        never_heard=never,
        to_page_s=to_page,
        to_last_page_s=to_last,
        to_screen_s=to_screen,
        per_second=len(kept) / max(lasted, 0.001),
        job=job,
        memory_mb=memory,
    )


def _start(*works: Callable[[], None]) -> list[threading.Thread]:
    threads = [threading.Thread(target=work, daemon=True) for work in works]
    for thread in threads:
        thread.start()
    return threads


def _sleep_until(moment: float) -> None:
    time.sleep(max(0.0, moment - time.monotonic()))


def _wait(is_so: Callable[[], object], longest_s: float) -> bool:
    ends = time.monotonic() + longest_s
    while not is_so():
        if time.monotonic() > ends:
            return False
        time.sleep(0.1)
    return True


def _until(is_so: Callable[[], object], longest_s: float, words: str) -> None:
    if not _wait(is_so, longest_s):
        raise TrialError(words)
