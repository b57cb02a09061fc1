"""The live day on the real server, with kills and lost links; the long run is a bench."""

from __future__ import annotations

from pathlib import Path

from scheduling.benches import live_desk
from scheduling.benches.live_site import Site
from scheduling.benches.live_trial import Plan, trial
from tests import migrated, servers

SHORT = Plan(length_s=12, every_s=1.0, kill_worker=0.0, kill_web=0.35, drops=(0.6, 0.8))


def test_no_reading_is_lost_or_doubled_when_everything_is_killed_once(tmp_path: Path) -> None:
    """Sixty pages, ten phones: every tap is kept once and in order, every page hears of it."""
    migrated.copy_into(tmp_path)
    environment = {"DEBUG": "1", "DATABASE_URL": "", "REDIS_URL": ""}
    site = Site(folder=tmp_path, port=servers.free_port(), environment=environment)
    with site.running():
        found = trial(site, SHORT)
    assert found.refused == []
    assert (found.lost, found.doubled, found.out_of_order) == (set(), 0, 0)
    assert len(found.kept) >= 2 * live_desk.WRITERS
    # Phones had an answer cut off, and every page lost its link at least at the kill.
    assert found.hung_up >= 1
    assert found.links_lost >= live_desk.PHONES
    assert found.never_heard == 0
    # The worker was killed at this job; another took it up, and it ended once.
    assert (found.job["state"], found.job["attempts"]) == ("done", 2), found.job["message"]
