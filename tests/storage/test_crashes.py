"""Web server and worker killed at random moments under writes: nothing acknowledged is lost.

Fifty kills; ``GAMBREL_KILLS`` asks for another number. The moments are drawn from a seed that a
failure prints, but no two runs meet the programs at the same instruction.
"""

from __future__ import annotations

import os
import random
import time
import uuid
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from threading import Event
from typing import Any

from tests.storage.course import WORD
from tests.storage.site import LOST, Phone, Site, site

KILLS = int(os.environ.get("GAMBREL_KILLS", "50"))
WEB, WORKER, CLOCK = "web server", "background worker", "clock"
# The web server most often: it is what acknowledges.
TURNS = (WEB, WEB, WORKER)
SETTLE_S = 90.0
# A connection that broke, or a page that says the storage fails: the phone sends it again.
NOT_NOW = (None, 503)


@dataclass(kw_only=True)
class Writer:
    """One person who presses on until the answer comes, as the page's script does."""

    site: Site
    over: Event
    acknowledged: list[str] = field(default_factory=list)
    lost: int = 0

    def ask(self, send: Callable[[], tuple[int, str]]) -> int | None:
        """The status, or None when the connection broke: then nobody knows what was written."""
        try:
            status, page = send()
        except LOST:
            self.lost += 1
            time.sleep(0.05)
            return None
        if status == 503:
            self.lost += 1
            assert "The data cannot be reached" in page
        return status

    def press(self, link: str, dip: int) -> None:
        """Buckets and rolls by card; each press has an id and is sent until it is acknowledged."""
        phone = Phone(self.site.port)
        while not self.over.is_set():
            if "csrftoken" not in phone.cookies:
                self.ask(lambda: phone.get(f"{link}trough/T/"))
                continue
            act, word = random.choice(("pour-hot", "roll")), str(uuid.uuid4())
            while (status := self._send(phone, f"{link}trough/T/{dip}/{act}/", word)) in NOT_NOW:
                if self.over.is_set():
                    return  # sent perhaps, never acknowledged: either is right
            assert status == 302, status
            self.acknowledged.append(word)
            time.sleep(0.02)

    def _send(self, phone: Phone, path: str, word: str) -> int | None:
        return self.ask(lambda: phone.post(path, {"client_id": word}))

    def plan(self) -> None:
        """The lead plans the course and posts its first day, again and again."""
        phone, signed_in = Phone(self.site.port), False
        typed = {"username": "lead", "password": WORD}
        while not self.over.is_set():
            if not signed_in:
                self.ask(lambda: phone.get("/sign-in/"))
                signed_in = self.ask(lambda: phone.post("/sign-in/", typed)) == 302
                continue
            if self.ask(lambda: phone.post("/w/winter/plan/", {})) == 302:
                self.acknowledged.append("plan")
            self.over.wait(0.7)
            self.ask(lambda: phone.post("/w/winter/day/1/post/", {}))


def killed_and_counted(found: Site, kills: int, seed: int) -> tuple[list[Writer], dict[str, Any]]:
    """Write while killing, then let the programs settle; what was acknowledged, what is there."""
    made = found.ask("tests.storage.course", "make")
    dice, over = random.Random(seed), Event()
    for name in (WEB, WORKER, CLOCK):
        found.start(name)
    found.wait()
    writers = [Writer(site=found, over=over) for _each in range(3)]
    with ThreadPoolExecutor(len(writers)) as pool:
        tasks = [
            *(pool.submit(writers[i].press, made["links"][i], made["dip"]) for i in range(2)),
            pool.submit(writers[2].plan),
        ]
        try:
            for _kill in range(kills):
                time.sleep(dice.uniform(0.0, 1.5))
                kill_one(found, dice.choice(TURNS))
            found.wait()
            time.sleep(1.0)
        finally:
            over.set()
        for task in tasks:
            task.result()
    return writers, settled(found)


def kill_one(found: Site, name: str) -> None:
    """No next kill before the web server answers again: else nothing would be written."""
    found.kill(name)
    found.start(name)
    if name == WEB:
        found.wait()


def settled(found: Site) -> dict[str, Any]:
    """The count once no job waits or runs."""
    ends = time.monotonic() + SETTLE_S
    while True:
        count: dict[str, Any] = found.ask("tests.storage.course", "count")
        live = {state: n for state, n in count["jobs"].items() if state in {"queued", "running"}}
        if not live:
            return count
        assert time.monotonic() < ends, (
            f"{live} after {SETTLE_S} s: {found.log.read_text()[-3000:]}"
        )
        time.sleep(1.0)


def test_what_was_acknowledged_is_there_once_after_every_kill(tmp_path: Path) -> None:
    """Each press once; each posted version whole, one of them in force; no job hangs."""
    seed = random.randrange(10**6)
    with site(tmp_path, GAMBREL_JOB_LEASE_S="5") as found:
        writers, count = killed_and_counted(found, KILLS, seed)
        check = found.manage("check_data")
    acknowledged = [word for writer in writers[:2] for word in writer.acknowledged]
    assert len(acknowledged) > 2 * KILLS, "too little was written between the kills"
    assert sum(writer.lost for writer in writers) > 0, "no kill met a request"
    absent = [word for word in acknowledged if word not in count["presses"]]
    assert absent == [], f"seed {seed}"
    assert set(count["presses"].values()) == {1}, f"seed {seed}"
    # Unacknowledged presses are there at most once too, and there is one at most of each phone.
    assert len(count["presses"]) - len(acknowledged) <= 2
    assert count["posted"] == 1
    assert count["postings"] > KILLS // 20, "too few plans were posted between the kills"
    assert count["places"] == [[2]] * (count["postings"] + 1), f"seed {seed}"
    assert check.returncode == 0, check.stdout + check.stderr
