"""An installation of its own for the live trial: started, looked into, killed in part, ended."""

from __future__ import annotations

import http.client
import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.conf import settings


class TrialError(Exception):
    """The site did not start, or did not answer."""


@dataclass(slots=True, kw_only=True)
class Site:
    """An installation in a folder of its own, run by ``manage.py up``."""

    folder: Path
    port: int
    environment: Mapping[str, str]
    more_workers: int = 0
    up: subprocess.Popen[bytes] = field(init=False)
    desk: subprocess.Popen[str] = field(init=False)
    workers: list[subprocess.Popen[bytes]] = field(default_factory=list)

    @property
    def _whole(self) -> dict[str, str]:
        return os.environ | {"GAMBREL_VAR": str(self.folder)} | dict(self.environment)

    @contextmanager
    def running(self) -> Iterator[Site]:
        """Start it all, and end it all."""
        python, root = sys.executable, settings.BASE_DIR
        with ExitStack() as ends, (self.folder / "site.log").open("ab") as log:
            self.desk = subprocess.Popen(  # noqa: S603  (our own fixed command)
                (python, "manage.py", "bench", "live", "desk"), cwd=root, env=self._whole,
                stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=log, text=True,
            )  # fmt: skip
            ends.callback(_end, self.desk)
            command = (python, "manage.py", "up", "--host", "127.0.0.1", "--port", str(self.port))
            self.up = self._start(command, log)
            ends.callback(_end, self.up)
            for number in range(self.more_workers):
                name = f"more{number}@%h"
                worker = (python, "-m", "celery", "--quiet", "-A", "config", "worker", "-c", "1")
                self.workers.append(self._start((*worker, "-n", name, "-l", "WARNING"), log))
                ends.callback(_end, self.workers[-1])
            yield self

    def _start(self, command: tuple[str, ...], log: Any) -> subprocess.Popen[bytes]:
        # Any: an open file.
        return subprocess.Popen(  # noqa: S603  (our own fixed commands)
            command, cwd=settings.BASE_DIR, env=self._whole, stdin=subprocess.DEVNULL, stdout=log,
            stderr=log, start_new_session=True,
        )  # fmt: skip

    def ask(self, word: str) -> dict[str, Any]:
        """What the desk answers: any JSON object."""
        assert self.desk.stdin is not None
        assert self.desk.stdout is not None
        self.desk.stdin.write(f"{word}\n")
        self.desk.stdin.flush()
        line = self.desk.stdout.readline()
        if not line:
            raise TrialError((self.folder / "site.log").read_text()[-2000:])
        found: dict[str, Any] = json.loads(line)
        return found

    def leader(self, name: str) -> int | None:
        """The process of the supervisor's program with this word on its own in its command."""
        for pid in _children(self.up.pid):
            command = Path(f"/proc/{pid}/cmdline")
            if command.exists() and name.encode() in command.read_bytes().split(b"\0"):
                return pid
        return None

    def answers(self, path: str) -> bool:
        """Whether the web server is up."""
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=5)
        try:
            link.request("GET", path)
            return link.getresponse().status == 200
        except (OSError, http.client.HTTPException):
            return False
        finally:
            link.close()

    def kill(self, name: str) -> None:
        """As the laptop's own trouble would: at once, with everything it started."""
        pid = self.leader(name)
        if pid is None:
            raise TrialError(f"There is no {name} to kill.")
        os.killpg(pid, signal.SIGKILL)

    def memory_mb(self) -> dict[str, float]:
        """The memory of each program with its children, shared pages divided (PSS)."""
        named = {"web server": "gunicorn", "worker": "worker", "clock": "beat"}
        found = {}
        for words, name in named.items():
            pid = self.leader(name)
            if pid is not None:
                found[words] = sum(_pss_kb(one) for one in (pid, *_children(pid))) / 1024
        return found


def _end(process: subprocess.Popen[Any]) -> None:
    process.terminate()
    try:
        process.wait(30)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
    for pipe in (process.stdin, process.stdout):
        if pipe is not None:
            pipe.close()


def _children(pid: int) -> list[int]:
    words = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    return [int(word) for word in words]


def _pss_kb(pid: int) -> int:
    lines = Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("Pss:"))
