"""The backups that are kept, read off their names alone."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

PATTERN = "gambrel-*Z.zip"
STAMP = "gambrel-%Y-%m-%dT%H%M%SZ.zip"
# The app makes one a day while it runs; after so long without, something is in its way.
STALE_AFTER = timedelta(days=3)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A backup in the folder, and the moment its name tells."""

    file: Path
    made_at: datetime

    @property
    def name(self) -> str:
        """The file's name."""
        return self.file.name

    @property
    def megabytes(self) -> float:
        """Its size."""
        return self.file.stat().st_size / 1e6


def in_folder(folder: Path) -> list[Kept]:
    """The backups there, newest first; other files are left alone and not counted."""
    found = []
    for file in folder.glob(PATTERN):
        try:
            made_at = datetime.strptime(file.name, STAMP).replace(tzinfo=UTC)
        except ValueError:
            continue
        found.append(Kept(file=file, made_at=made_at))
    return sorted(found, key=lambda kept: kept.made_at, reverse=True)


def warning(folder: Path, *, now: datetime) -> str:
    """One sentence if there is no fresh backup, else nothing."""
    newest = next((kept.made_at for kept in in_folder(folder) if kept.made_at <= now), None)
    if newest is None:
        return "There is no backup yet. One is made within a quarter of an hour of the start."
    days = (now - newest).days
    if now - newest < STALE_AFTER:
        return ""
    return f"The last backup is {days} days old: something is in the way of the daily one."
