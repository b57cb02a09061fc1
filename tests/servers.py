"""A PostgreSQL and a Redis of a test's own, from Debian's packages, gone afterwards.

``python -m tests.servers COMMAND ...`` runs a command with ``DATABASE_URL`` naming such a server.
"""

from __future__ import annotations

import os
import pwd
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import uuid
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import psycopg

START_S = 60.0


class ServerError(Exception):
    """A server that is missing, or did not start; the words say what it printed."""


def free_port() -> int:
    """A port nobody listens on now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def postgresql_programs() -> Path | None:
    """The folder with ``initdb`` and ``postgres``; Debian keeps them off the PATH."""
    found = shutil.which("initdb")
    if found:
        return Path(found).parent
    folders = Path("/usr/lib/postgresql").glob("*/bin")
    return max((f for f in folders if (f / "initdb").exists()), default=None)


def redis_program() -> str | None:
    """Where ``redis-server`` is."""
    return shutil.which("redis-server")


@contextmanager
def postgresql(*, port: int | None = None, folder: Path | None = None) -> Iterator[str]:
    """A cluster with nothing in it; gives the address of its ``postgres`` database.

    With ``folder`` the cluster is kept there, so that it can be stopped and started again.
    """
    programs, port = postgresql_programs(), port or free_port()
    if programs is None:
        raise ServerError("PostgreSQL's server is not installed (Debian: postgresql).")
    if folder is not None:
        with _postgresql_in(folder, programs=programs, port=port) as url:
            yield url
        return
    with (
        tempfile.TemporaryDirectory(prefix="gambrel-pg-") as made,
        _postgresql_in(Path(made), programs=programs, port=port) as url,
    ):
        yield url


@contextmanager
def _postgresql_in(folder: Path, *, programs: Path, port: int) -> Iterator[str]:
    as_owner = _ordinary_user(folder)
    data = folder / "data"
    if not data.exists():
        made = subprocess.run(
            [*as_owner, programs / "initdb", "-D", data, "-U", "gambrel", "-A", "trust", "-N"],
            capture_output=True, text=True, check=False,
        )  # fmt: skip
        if made.returncode != 0:
            raise ServerError(made.stderr)
    options = ["-h", "127.0.0.1", "-p", str(port), "-k", "", "-c", "max_connections=200"]
    # What a crash of the machine would lose is no matter here; a crash of the server loses nothing.
    options += ["-c", "fsync=off", "-c", "full_page_writes=off"]
    url = f"postgresql://gambrel@127.0.0.1:{port}/postgres"
    with (folder / "log").open("ab") as log:
        server = subprocess.Popen(
            [*as_owner, programs / "postgres", "-D", data, *options], stdout=log, stderr=log
        )
        try:
            _wait(lambda: psycopg.connect(url, connect_timeout=2).close(), server, psycopg.Error)
            yield url
        finally:
            server.send_signal(signal.SIGINT)  # a fast stop: connections are ended, not waited for
            server.wait()


@contextmanager
def redis(*, port: int | None = None) -> Iterator[str]:
    """A Redis that keeps nothing on the disk; gives its address."""
    program, port = redis_program(), port or free_port()
    if program is None:
        raise ServerError("Redis is not installed (Debian: redis-server).")
    server = subprocess.Popen(
        [program, "--port", str(port), "--bind", "127.0.0.1", "--save", "", "--appendonly", "no"],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        _wait(lambda: socket.create_connection(("127.0.0.1", port), 2).close(), server, OSError)
        yield f"redis://127.0.0.1:{port}/0"
    finally:
        server.kill()
        server.wait()


@contextmanager
def database_on(url: str) -> Iterator[str]:
    """A new database on that server, gone afterwards."""
    name = f"gambrel_{uuid.uuid4().hex[:8]}"
    with psycopg.connect(url, autocommit=True) as server:
        server.execute(f"CREATE DATABASE {name}")
        try:
            yield urlunsplit(urlsplit(url)._replace(path=f"/{name}"))
        finally:
            server.execute(f"DROP DATABASE {name} WITH (FORCE)")


def _ordinary_user(folder: Path) -> list[str]:
    """How to run a program as somebody else, if this is root, whom PostgreSQL refuses."""
    if os.geteuid() != 0:
        return []
    name = next((n for n in ("postgres", "nobody") if _is_user(n)), None)
    if name is None:
        raise ServerError("PostgreSQL does not run as root, and there is no other user.")
    shutil.chown(folder, user=name)
    # The process itself is the server, so that ending it ends the server.
    return ["setpriv", f"--reuid={name}", "--clear-groups", "--"]


def _is_user(name: str) -> bool:
    try:
        pwd.getpwnam(name)
    except KeyError:
        return False
    return True


def _wait(
    answers: Callable[[], None], server: subprocess.Popen[bytes], fault: type[Exception]
) -> None:
    deadline = time.monotonic() + START_S
    while True:
        try:
            answers()
        except fault as error:
            if server.poll() is not None or time.monotonic() > deadline:
                raise ServerError("The server did not start.") from error
            time.sleep(0.05)
        else:
            return


def main(command: Sequence[str]) -> int:
    """Run the command beside a PostgreSQL of its own."""
    with postgresql() as url:
        return subprocess.run(
            command, env=os.environ | {"DATABASE_URL": url}, check=False
        ).returncode


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
