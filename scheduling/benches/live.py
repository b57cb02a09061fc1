"""The live day under load: delay from tap to every open page, readings a second, memory.

``manage.py bench live [seconds]``, 120 by default, on SQLite; on PostgreSQL; on PostgreSQL with
Redis and two workers. Servers come from Debian's packages and are gone afterwards; without them
those lines are left out. Sixty pages listen and ten phones write, each every two seconds; the
worker and the web server are killed in mid-run and every link drops once. The rate is taken in a
second run, where each phone taps as soon as its last tap is answered.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from subprocess import run as run_command

from django.conf import settings

from scheduling.benches import Write, live_desk
from scheduling.benches.live_site import Site
from scheduling.benches.live_trial import Outcome, Plan, trial

EVERY_S = 2.0
RATE_S = 15.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUp:
    """What the app runs on."""

    words: str
    postgresql: bool = False
    redis: bool = False
    more_workers: int = 0


SET_UPS = (
    SetUp(words="SQLite, no server"),
    SetUp(words="PostgreSQL", postgresql=True),
    SetUp(words="PostgreSQL, Redis, two workers", postgresql=True, redis=True, more_workers=1),
)


def run(write: Write, words: Sequence[str]) -> None:
    """Print a block of figures for each set-up."""
    if words and words[0] == "desk":
        live_desk.run()
        return
    length_s = float(words[0]) if words else 120.0
    cores = len(os.sched_getaffinity(0))
    write(f"{live_desk.PHONES} pages listen, {live_desk.WRITERS} phones write; {cores} cores")
    for set_up in SET_UPS:
        _one(write, set_up, length_s)


def _one(write: Write, set_up: SetUp, length_s: float) -> None:
    # The tests' own servers: a bench runs from the repository.
    from tests import servers

    try:
        with site_on(set_up) as site:
            calm = trial(site, Plan(length_s=length_s, every_s=EVERY_S))
        with site_on(set_up) as site:
            fast = trial(site, Plan(length_s=RATE_S, every_s=0, kills=False))
    except servers.ServerError as missing:
        write(f"{set_up.words}: left out. {missing}")
        return
    write(f"{set_up.words}, {length_s:.0f} s")
    for line in lines(calm, fast):
        write(f"  {line}")


def lines(calm: Outcome, fast: Outcome) -> Iterator[str]:
    """The figures of the long run, and the rate of the short one."""
    yield (
        f"readings {len(calm.kept)}: lost {len(calm.lost)}, twice {calm.doubled}, "
        f"phones out of order {calm.out_of_order}, refused {len(calm.refused)}; "
        f"{calm.hung_up} answers cut off, {calm.links_lost} links lost and found"
    )
    yield f"tap to each page, links up     {spread(calm.to_page_s)}"
    yield f"tap to each screen's new part  {spread(calm.to_screen_s)}"
    yield f"tap to the last of all pages   {spread(calm.to_last_page_s)}, kills and drops included"
    yield f"job under a killed worker: {calm.job['state']} after {calm.job['attempts']} tries"
    yield "memory (PSS) " + ", ".join(f"{name} {mb:.0f} MB" for name, mb in calm.memory_mb.items())
    yield (
        f"as fast as ten phones can: {fast.per_second:.0f} readings a second "
        f"({len(fast.kept)} kept, {len(fast.lost)} lost, {fast.doubled} twice)"
    )


def spread(seconds: Sequence[float]) -> str:
    """Median, slowest hundredth and worst, in ms."""
    if not seconds:
        return "none"
    ordered = sorted(seconds)
    late = ordered[int(0.99 * (len(ordered) - 1))]
    middle, worst = statistics.median(ordered), ordered[-1]
    return f"median {1000 * middle:.0f} ms, 99 % {1000 * late:.0f} ms, worst {1000 * worst:.0f} ms"


@contextmanager
def site_on(set_up: SetUp, *, web_processes: int = 1) -> Iterator[Site]:
    """A running installation on servers of its own, in a folder of its own."""
    from tests import servers

    with tempfile.TemporaryDirectory(prefix="gambrel-live-") as made:
        folder = Path(made)
        with _servers_of(set_up) as environment:
            environment["GAMBREL_WEB_PROCESSES"] = str(web_processes)
            _manage(folder, environment, "migrate", "-v0")
            site = Site(
                folder=folder, port=servers.free_port(), environment=environment,
                more_workers=set_up.more_workers,
            )  # fmt: skip
            with site.running():
                yield site


@contextmanager
def _servers_of(set_up: SetUp) -> Iterator[dict[str, str]]:
    from tests import servers

    with ExitStack() as ends:
        environment = {"DATABASE_URL": "", "REDIS_URL": ""}
        if set_up.postgresql:
            server = ends.enter_context(servers.postgresql())
            environment["DATABASE_URL"] = ends.enter_context(servers.database_on(server))
        if set_up.redis:
            environment["REDIS_URL"] = ends.enter_context(servers.redis())
        yield environment


def _manage(folder: Path, environment: dict[str, str], *words: str) -> None:
    whole = os.environ | {"GAMBREL_VAR": str(folder)} | environment
    command = (sys.executable, "manage.py", *words)
    run_command(command, cwd=settings.BASE_DIR, env=whole, check=True)  # noqa: S603  (fixed)
