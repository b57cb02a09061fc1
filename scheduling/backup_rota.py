"""Which backups are kept, when the next is due, and whether the data is sound."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from pathlib import Path

from django.db import connection

from scheduling import safekeeping
from workshops.backup_files import Kept, in_folder

# A laptop sleeps at night: a fixed hour would be missed for weeks. Due is therefore an age.
DUE_AFTER = timedelta(hours=20)
DAYS, WEEKS, MONTHS = 7, 5, 12


def is_due(folder: Path, *, now: datetime) -> bool:
    """Whether the newest backup is older than it should be, or there is none.

    One dated in the future (the laptop's clock was set back) does not count as new.
    """
    ages = [now - kept.made_at for kept in in_folder(folder)]
    return not any(timedelta(0) <= age < DUE_AFTER for age in ages)


def to_delete(backups: Iterable[Kept]) -> list[Path]:
    """What may go: all but the newest of each of the last 7 days, 5 weeks and 12 months had.

    Days without a backup do not use up a place, so a laptop that slept a year keeps its last ones.
    """
    newest_first = sorted(backups, key=lambda kept: kept.made_at, reverse=True)
    keep: set[Path] = set()
    for form, places in (("%Y-%m-%d", DAYS), ("%G-%V", WEEKS), ("%Y-%m", MONTHS)):
        newest_of: dict[str, Path] = {}
        for kept in newest_first:
            newest_of.setdefault(kept.made_at.strftime(form), kept.file)
        keep.update(list(newest_of.values())[:places])
    return [kept.file for kept in newest_first if kept.file not in keep]


def back_up_if_due(folder: Path, *, now: datetime) -> Path | None:
    """The hourly look: a backup when one is due, and the old ones thinned out.

    Only a backup that was read back and found whole lets an old one go.

    Raises:
        DataUnsound: the database is damaged; what was kept before is left as it is.
    """
    if not is_due(folder, now=now):
        return None
    check_data()
    made = safekeeping.back_up(folder, now=now)
    safekeeping.verify(made)
    for old in to_delete(in_folder(folder)):
        old.unlink(missing_ok=True)
    return made


class DataUnsound(safekeeping.SafekeepingError):
    """The database's own check found a fault."""


def check_data() -> str:
    """Have the database check itself; returns one line about what was looked at.

    Raises:
        DataUnsound: with the first faults found and what to do.
    """
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            faults = [row[0] for row in cursor.execute("PRAGMA integrity_check(5)").fetchall()]
            faults = [] if faults == ["ok"] else faults
            loose = cursor.execute("PRAGMA foreign_key_check").fetchmany(5)
        faults += [f"a row of {table} points at a row of {parent} that is gone"
                   for table, _row, parent, _key in loose]  # fmt: skip
        looked_at = "Every page of the database file and every link between rows"
    else:
        # The server verifies a page's checksum when it is read, where checksums are switched on.
        connection.check_constraints()
        faults, looked_at = [], "Every link between rows"
    if faults:
        raise DataUnsound(
            f"The database is damaged: {'; '.join(map(str, faults))}. Stop the app, keep a copy of "
            "the data folder, and restore the newest backup that ./dev manage check_data calls "
            "whole."
        )
    return f"{looked_at} was checked: no fault."
