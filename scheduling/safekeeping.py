"""A copy of everything this site keeps, and the way back.

A backup is one ZIP: ``manifest.json`` and a file of JSON lines for each table. It is made from one
moment's state while the app runs, is checked as a whole before a single row is touched, and can be
restored on another machine, on the other kind of database, or by a later release.
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from pathlib import Path
from typing import Any

from django.apps.registry import Apps
from django.conf import settings
from django.core.management import call_command
from django.db import IntegrityError, connection, connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.exceptions import NodeNotFoundError

from scheduling import safekeeping_rows as rows

FORMAT = "gambrel-backup-1"
MANIFEST = "manifest.json"
SNAPSHOT = "snapshot"
# A line of a table is a row; the longest here is a job's result. A file of garbage must not be
# read into memory as one line.
LONGEST_LINE = 32 * 1024 * 1024


class SafekeepingError(Exception):
    """Why a backup cannot be made or used, as a sentence with the remedy.

    SafekeepingError
    |-- DamagedBackup    the file is not what was written
    |-- UnknownBackup    a later release wrote it
    `-- NotEmpty         there are rows that it would replace
    """


class DamagedBackup(SafekeepingError):
    """The file is cut short, changed, or no backup at all; nothing was restored."""

    def __init__(self, file: Path, *, why: str) -> None:
        super().__init__(
            f"{file.name} is damaged: {why}. Nothing was restored; take another backup."
        )


class UnknownBackup(SafekeepingError):
    """The backup knows tables that this release does not."""


class NotEmpty(SafekeepingError):
    """The database holds rows, and replacing them was not asked for or is not possible."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One table's file in a backup."""

    table: str
    model: str
    rows: int
    sha256: str

    @property
    def path(self) -> str:
        """Its name inside the ZIP."""
        return f"tables/{self.table}.jsonl"


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """What a backup says of itself: when, by which release, and each table's rows and hash."""

    made_at: str
    version: str
    leaves: tuple[tuple[str, str], ...]
    members: tuple[Member, ...]

    @property
    def row_count(self) -> int:
        """All rows of all tables."""
        return sum(member.rows for member in self.members)

    def as_json(self) -> str:
        """The manifest's text; its own hash is its last line."""
        body = {
            "format": FORMAT,
            "made_at": self.made_at,
            "version": self.version,
            "migrations": [list(leaf) for leaf in self.leaves],
            "tables": [
                {"table": m.table, "model": m.model, "rows": m.rows, "sha256": m.sha256}
                for m in self.members
            ],
        }
        return json.dumps(body | {"sha256": _hash_of(body)}, indent=1)


def back_up(folder: Path, *, now: datetime) -> Path:
    """Write everything as it is at one moment to a new file in ``folder``; returns the file.

    The name is taken only when the file is complete and on the disk: what has the name is whole.

    Raises:
        OSError: the folder cannot be written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    target = folder / f"gambrel-{now:%Y-%m-%dT%H%M%S}Z.zip"
    handle, name = tempfile.mkstemp(dir=folder, prefix=".part-", suffix=".zip")
    draft = Path(name)  # only its owner may read it: mkstemp sees to that
    try:
        with os.fdopen(handle, "w+b") as file:
            with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
                _write(archive, now=now)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(target)
        _sync_folder(folder)
    finally:
        draft.unlink(missing_ok=True)
    return target


def verify(file: Path) -> Manifest:
    """Read a whole backup and compare every table with its hash.

    Raises:
        DamagedBackup: naming the first thing that is not as it was written.
    """
    with _opened(file) as (_archive, manifest):
        return manifest


def restore(file: Path, *, replace: bool = False) -> Manifest:
    """Make the database what the backup says, in one transaction; returns what it held.

    An empty database is brought to the state of the release that made the backup first, and to
    this release's afterwards. One with rows in it needs ``replace``, and a backup of the same
    state. The web server may run meanwhile: it sees the old rows or the new ones.

    Raises:
        DamagedBackup, UnknownBackup, NotEmpty: before anything was changed.
    """
    with _opened(file) as (archive, manifest):
        state = _state_for(file, manifest, replace=replace)
        with transaction.atomic():
            rows.clear(connection, state)
            for model in rows.tables(state):
                _load(archive, model._meta.db_table, manifest, state)
            rows.set_sequences(connection, state)
            try:
                connection.check_constraints()
            except IntegrityError as error:
                raise DamagedBackup(file, why=f"its rows do not fit together ({error})") from error
    call_command("migrate", interactive=False, verbosity=0)
    return manifest


def _state_for(file: Path, manifest: Manifest, *, replace: bool) -> Apps:
    """The tables to fill, made first if this database is new."""
    try:
        state = rows.state_at(connection, manifest.leaves)
    except NodeNotFoundError as error:
        raise UnknownBackup(
            f"{file.name} was made by a later Gambrel ({manifest.version}); this one is "
            f"{settings.VERSION}. Restore it with that release."
        ) from error
    present = rows.leaves_of(connection, applied=True)
    if not present:
        for app, name in manifest.leaves:
            call_command("migrate", app, name, interactive=False, verbosity=0)
    elif has_rows() and not replace:
        raise NotEmpty(
            "This database holds a course. To put the backup in its place, say --replace "
            "(what is there now is backed up first), or use an empty data folder."
        )
    elif tuple(present) != manifest.leaves:
        raise NotEmpty(
            f"{file.name} was made by another release ({manifest.version}) and this database has "
            "tables already. Restore it into an empty data folder; it is brought up to date there."
        )
    return state


def has_rows() -> bool:
    """Whether there is anything to lose: a workshop, or a person who signs in."""
    state = rows.state_at(connection, rows.leaves_of(connection, applied=True))
    known = {model._meta.label for model in state.get_models()}
    return any(
        state.get_model(label)._base_manager.exists()
        for label in ("workshops.Workshop", "workshops.User")
        if label in known
    )


def _write(archive: zipfile.ZipFile, *, now: datetime) -> None:
    with _frozen() as frozen:
        leaves = rows.leaves_of(frozen, applied=True)
        members = [
            _write_table(archive, model, using=frozen.alias)
            for model in rows.tables(rows.state_at(frozen, leaves))
        ]
    manifest = Manifest(
        made_at=now.isoformat(),
        version=settings.VERSION,
        leaves=tuple(leaves),
        members=tuple(members),
    )
    archive.writestr(MANIFEST, manifest.as_json())


def _write_table(archive: zipfile.ZipFile, model: Any, *, using: str) -> Member:
    table, count, whole = model._meta.db_table, 0, hashlib.sha256()
    with archive.open(f"tables/{table}.jsonl", "w") as file:
        for row in rows.read_rows(model, using=using):
            line = rows.as_line(row)
            whole.update(line)
            file.write(line)
            count += 1
    return Member(table=table, model=model._meta.label, rows=count, sha256=whole.hexdigest())


def _load(archive: zipfile.ZipFile, table: str, manifest: Manifest, state: Apps) -> None:
    """Put one table's rows in; a table the backup lacks stays empty."""
    member = next((member for member in manifest.members if member.table == table), None)
    if member is None:
        return
    app, name = member.model.split(".")
    model = state.get_model(app, name)
    with archive.open(member.path) as file:
        while lines := list(islice(file, rows.CHUNK)):
            rows.write_rows(model, [rows.from_line(line) for line in lines], using="default")


@contextmanager
def _frozen() -> Iterator[BaseDatabaseWrapper]:
    """A second connection that sees one moment until it is closed, and holds nobody up.

    On SQLite a deferred transaction reads beside the writers; the usual one would shut them out.
    On PostgreSQL every statement of a repeatable read sees the state of the first.
    """
    frozen = connections["default"].copy(alias=SNAPSHOT)
    if frozen.vendor == "sqlite":
        frozen.transaction_mode = "DEFERRED"  # type: ignore[attr-defined]
    connections[SNAPSHOT] = frozen
    try:
        with transaction.atomic(using=SNAPSHOT):
            if frozen.vendor == "postgresql":
                with frozen.cursor() as cursor:
                    cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
            yield frozen
    finally:
        frozen.close()
        del connections[SNAPSHOT]


@contextmanager
def _opened(file: Path) -> Iterator[tuple[zipfile.ZipFile, Manifest]]:
    """The backup, read from end to end and found as it was written."""
    try:
        archive = zipfile.ZipFile(file)
    except FileNotFoundError:
        raise SafekeepingError(f"There is no file {file}.") from None
    except Exception as error:  # what damage raises differs by Python and by byte, here and below
        raise DamagedBackup(file, why="it is no ZIP, or was cut short") from error
    with archive:
        manifest = _manifest_of(archive, file)
        for member in manifest.members:
            _check_member(archive, member, file)
        yield archive, manifest


def _manifest_of(archive: zipfile.ZipFile, file: Path) -> Manifest:
    try:
        body = json.loads(archive.read(MANIFEST))
        said = body.pop("sha256")
        is_whole = body["format"] == FORMAT and said == _hash_of(body)
        manifest = Manifest(
            made_at=body["made_at"],
            version=body["version"],
            leaves=tuple((app, name) for app, name in body["migrations"]),
            members=tuple(Member(**member) for member in body["tables"]),
        )
    except Exception as error:
        raise DamagedBackup(file, why="its manifest cannot be read") from error
    if not is_whole:
        raise DamagedBackup(file, why="its manifest is not as it was written")
    return manifest


def _check_member(archive: zipfile.ZipFile, member: Member, file: Path) -> None:
    count, whole = 0, hashlib.sha256()
    try:
        with archive.open(member.path) as lines:
            while line := lines.readline(LONGEST_LINE):
                whole.update(line)
                count += 1
    except Exception as error:
        raise DamagedBackup(file, why=f"the table {member.table} cannot be read") from error
    if whole.hexdigest() != member.sha256 or count != member.rows:
        raise DamagedBackup(file, why=f"the table {member.table} is not as it was written")


def _hash_of(body: dict[str, Any]) -> str:
    return hashlib.sha256(json.dumps(body, sort_keys=True).encode()).hexdigest()


def _sync_folder(folder: Path) -> None:
    """Have the new name itself survive a loss of power."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
