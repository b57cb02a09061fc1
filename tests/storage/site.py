"""The real programs of an installation of its own, killed and started again at will.

The command lines are those of ``manage.py up``; its supervisor is left out, since it gives up on a
program that dies three times within ten seconds, which is just what is done to it here.
"""

from __future__ import annotations

import http.client
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.cookies import SimpleCookie
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from config.programs import programs
from config.supervisor import Program
from tests import migrated
from tests.servers import free_port

ROOT = Path(__file__).resolve().parents[2]
START_S = 120.0
# What a browser sees when the server dies under it, at any point of an exchange.
LOST = (OSError, http.client.HTTPException)


@dataclass(kw_only=True)
class Site:
    """The programs by name, and what they run with."""

    port: int
    environment: dict[str, str]
    parts: dict[str, Program]
    log: Path
    running: dict[str, subprocess.Popen[bytes]] = field(default_factory=dict)

    def start(self, name: str) -> None:
        """Start one; it leads a group of its own, as under the supervisor."""
        with self.log.open("ab") as log:
            self.running[name] = subprocess.Popen(
                self.parts[name].command, cwd=ROOT, env=self.environment, stdout=log, stderr=log,
                stdin=subprocess.DEVNULL, start_new_session=True,
            )  # fmt: skip

    def kill(self, name: str) -> None:
        """SIGKILL to the program and its children: no clean-up, no last word."""
        process = self.running[name]
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()

    def wait(self, seconds: float = START_S) -> None:
        """Until the web server answers."""
        ends = time.monotonic() + seconds
        while time.monotonic() < ends:
            try:
                if Phone(self.port).get("/health/")[0] == 200:
                    return
            except LOST:
                time.sleep(0.05)
        raise AssertionError(f"No answer within {seconds} s: {self.log.read_text()[-2000:]}")

    def ask(self, *words: str) -> Any:  # Any: JSON
        """What a module of this folder prints as JSON, run with this site's settings."""
        ran = subprocess.run(
            [sys.executable, "-m", *words], cwd=ROOT, env=self.environment, check=True,
            capture_output=True, text=True,
        )  # fmt: skip
        return json.loads(ran.stdout)

    def manage(self, *words: str) -> subprocess.CompletedProcess[str]:
        """A command of this installation."""
        return subprocess.run(
            [sys.executable, "manage.py", *words], cwd=ROOT, env=self.environment, check=False,
            capture_output=True, text=True,
        )  # fmt: skip


@contextmanager
def site(var: Path, **settings: str) -> Iterator[Site]:
    """A site with a migrated database and its files collected, nothing started yet."""
    made = os.environ | {"GAMBREL_VAR": str(var), "DEBUG": "0", "DATABASE_URL": "", "REDIS_URL": ""}
    made |= {"DJANGO_SETTINGS_MODULE": "config.settings"} | settings
    port = free_port()
    parts = {part.name: part for part in programs(host="127.0.0.1", port=port)}
    found = Site(port=port, environment=made, parts=parts, log=var / "log")
    if not settings.get("DATABASE_URL"):
        migrated.copy_into(var)
    else:
        _must(found.manage("migrate", "-v0"))
    _must(found.manage("collectstatic", "--noinput", "-v0"))
    try:
        yield found
    finally:
        for name, process in found.running.items():
            if process.poll() is None:
                found.kill(name)


def _must(ran: subprocess.CompletedProcess[str]) -> None:
    assert ran.returncode == 0, ran.stderr


@dataclass
class Phone:
    """A browser without a screen: cookies, a form token, one connection for each request."""

    port: int
    cookies: dict[str, str] = field(default_factory=dict)

    def get(self, path: str) -> tuple[int, str]:
        """The status and the page."""
        return self._ask("GET", path, None)

    def post(self, path: str, fields: Mapping[str, object]) -> tuple[int, str]:
        """Send a form with the token of the page seen before."""
        token = {"csrfmiddlewaretoken": self.cookies.get("csrftoken", "")}
        return self._ask("POST", path, urlencode({**fields, **token}))

    def _ask(self, method: str, path: str, body: str | None) -> tuple[int, str]:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        headers = {"Cookie": "; ".join(f"{name}={word}" for name, word in self.cookies.items())}
        if body is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        try:
            connection.request(method, path, body, headers)
            answer = connection.getresponse()
            page = answer.read().decode()
        finally:
            connection.close()
        for line in answer.headers.get_all("Set-Cookie") or []:
            self.cookies |= {name: said.value for name, said in SimpleCookie(line).items()}
        return answer.status, page
