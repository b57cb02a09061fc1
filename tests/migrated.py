"""A database brought up by the real migrations once, and copied where a test needs one.

Migrating takes a quarter of a minute. On SQLite it is a file, kept beside the tests' other data
under a name that changes with any migration, so that it is made anew when it should be; on
PostgreSQL a database of the same server, which new ones take as their template.
"""

from __future__ import annotations

import fcntl
import hashlib
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import django
import psycopg
from django.conf import settings

ROOT = Path(__file__).resolve().parent.parent
NAME = "gambrel.sqlite3"


def template() -> Path:
    """The file, made now if no test of this or an earlier run has made it."""
    file = settings.VAR / f"migrated-{_digest()}.sqlite3"
    with _only_one():
        if not file.exists():
            for older in settings.VAR.glob("migrated-*.sqlite3"):
                older.unlink()
            _make(file)
    return file


def template_database(url: str) -> str:
    """The name of the database on that server, made now if no other process has made it."""
    name = f"migrated_{_digest()}"
    with _only_one(), psycopg.connect(url, autocommit=True) as server:
        found = server.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name])
        if found.fetchone() is None:
            server.execute(f'CREATE DATABASE "{name}"')
            _migrate(DATABASE_URL=urlunsplit(urlsplit(url)._replace(path=f"/{name}")))
    return name


def copy_into(folder: Path) -> None:
    """Give an installation whose data folder this is a database that needs no migrating."""
    folder.mkdir(parents=True, exist_ok=True)
    shutil.copy(template(), folder / NAME)


def fill(connection: sqlite3.Connection) -> None:
    """Make an open SQLite database, in memory or not, the same as the file."""
    source = sqlite3.connect(template())
    try:
        source.backup(connection)
    finally:
        source.close()


@contextmanager
def _only_one() -> Iterator[None]:
    """Several processes test at once; one makes what the others take."""
    with (settings.VAR / "migrated.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def _migrate(**environment: str) -> None:
    command = [sys.executable, "manage.py", "migrate", "-v0"]
    subprocess.run(command, cwd=ROOT, env=os.environ | environment, check=True)


def _make(file: Path) -> None:
    with tempfile.TemporaryDirectory(dir=settings.VAR) as folder:
        _migrate(GAMBREL_VAR=folder, DATABASE_URL="")
        made = Path(folder) / NAME
        with sqlite3.connect(made) as database:
            database.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        database.close()
        made.replace(file)


def _digest() -> str:
    whole = hashlib.sha256(django.__version__.encode())
    for file in sorted(ROOT.glob("*/migrations/*.py")):
        whole.update(str(file.relative_to(ROOT)).encode() + file.read_bytes())
    return whole.hexdigest()[:12]
