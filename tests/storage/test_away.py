"""PostgreSQL and Redis gone for half a minute while phones press: said, and then all goes on."""

from __future__ import annotations

import os
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import Event

from tests import servers
from tests.conftest import missing
from tests.servers import free_port
from tests.storage.site import Phone, Site, site
from tests.storage.test_crashes import CLOCK, WEB, WORKER, Writer, settled

GONE_S = float(os.environ.get("GAMBREL_GONE_S", "30"))


@dataclass
class Servers:
    """Both, at addresses that stay the same while they are away."""

    folder: Path
    database: int = field(default_factory=free_port)
    broker: int = field(default_factory=free_port)

    def start(self) -> ExitStack:
        """Both there, with what PostgreSQL held before; closing the stack takes them away."""
        with ExitStack() as stack:
            stack.enter_context(servers.postgresql(port=self.database, folder=self.folder))
            stack.enter_context(servers.redis(port=self.broker))
            return stack.pop_all()

    @property
    def settings(self) -> dict[str, str]:
        """What the site is told."""
        return {
            "DATABASE_URL": f"postgresql://gambrel@127.0.0.1:{self.database}/postgres",
            "REDIS_URL": f"redis://127.0.0.1:{self.broker}/0",
        }


def wait_for(writers: list[Writer], more: int) -> None:
    """Until each has been acknowledged so many times more."""
    enough = [len(writer.acknowledged) + more for writer in writers]
    ends = time.monotonic() + 90
    while any(len(w.acknowledged) < n for w, n in zip(writers, enough, strict=True)):
        assert time.monotonic() < ends, "no write was acknowledged for a minute and a half"
        time.sleep(0.2)


def stand_through(found: Site, there: ExitStack, both: Servers, writers: list[Writer]) -> ExitStack:
    """Written, away, back, written again; what a person sees meanwhile."""
    wait_for(writers, 5)
    there.close()
    started = time.monotonic()
    status, page = Phone(found.port).get("/sign-in/")
    assert (status, time.monotonic() - started < 20) in {(200, True), (503, True)}
    status, page = Phone(found.port).get("/health/")
    assert status == 503
    assert "The data cannot be reached" in page
    time.sleep(max(0.0, GONE_S - (time.monotonic() - started)))
    back = both.start()
    wait_for(writers, 5)
    return back


def test_nothing_acknowledged_is_lost_when_both_servers_go_and_come_back(tmp_path: Path) -> None:
    """The same programs go on by themselves; a plan asked for on the way is made."""
    if servers.postgresql_programs() is None or servers.redis_program() is None:
        missing("PostgreSQL's server or Redis")
    over = Event()
    with ExitStack() as after:
        # Not in tmp_path, which only this user may enter: PostgreSQL may run as somebody else.
        both = Servers(Path(after.enter_context(TemporaryDirectory(prefix="gambrel-away-"))))
        there = both.start()
        after.callback(lambda: there.close())
        found = after.enter_context(site(tmp_path / "site", **both.settings))
        made = found.ask("tests.storage.course", "make")
        for name in (WEB, WORKER, CLOCK):
            found.start(name)
        found.wait()
        writers = [Writer(site=found, over=over) for _each in range(2)]
        with ThreadPoolExecutor(2) as pool:
            tasks = [
                pool.submit(writers[0].press, made["links"][0], made["dip"]),
                pool.submit(writers[1].plan),
            ]
            try:
                there = stand_through(found, there, both, writers)
            finally:
                over.set()
            for task in tasks:
                task.result()
        count = settled(found)
    acknowledged = writers[0].acknowledged
    assert [word for word in acknowledged if word not in count["presses"]] == []
    assert set(count["presses"].values()) == {1}
    assert set(count["jobs"]) == {"done"}
    assert count["posted"] == 1
    assert count["places"] == [[2]] * (count["postings"] + 1)
