"""Starts a set of programs, keeps them running, and ends all of them together.

Each program leads a session of its own. The terminal's Ctrl-C therefore reaches the supervisor
alone, which asks the programs to finish, waits, and then ends whatever is left of their groups:
a worker that is killed would otherwise leave its child processes behind.
"""

from __future__ import annotations

import ctypes
import errno
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType

LOOK_S = 0.1
SHORT_LIVES = 3
# A program that cannot start (a broken setting, say) ends in one or two seconds here; a slow
# laptop needs several times that, and must not try for ever either.
SHORT_LIFE_S = 10.0
# A worker finishes the task in hand first. What is cut off after this is sent again at the next
# start, since a job is a row before it is a message.
PATIENCE_S = 15.0
# The computer's clock was set, or it slept: what counts seconds by the clock must count anew.
JUMP_S = 30.0

PR_SET_PDEATHSIG = 1  # Linux, <linux/prctl.h>


class SupervisorError(Exception):
    """Why the app cannot run, as a sentence with the remedy.

    SupervisorError
    |-- PortUnusable      the address cannot be listened on
    `-- ProgramKeepsDying a program ends as soon as it is started
    """


class PortUnusable(SupervisorError):
    """The address is taken, not allowed, or not this computer's."""


class ProgramKeepsDying(SupervisorError):
    """A program ended several times, each time soon after its start."""

    def __init__(self, program: Program, *, code: int) -> None:
        super().__init__(
            f"The {program.name} ended {SHORT_LIVES} times, each within {SHORT_LIFE_S:.0f} s of "
            f"its start (last exit code {code}). Its own messages above say why."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Program:
    """One process to keep running: its name in messages, and its command line.

    One that ``counts_by_clock`` is started anew when the computer's clock was set: it would
    otherwise wait for hours to come round again.
    """

    name: str
    command: tuple[str, ...]
    counts_by_clock: bool = False


@dataclass(slots=True, kw_only=True)
class Child:
    """A program that was started, and how often it was short-lived in a row."""

    program: Program
    process: subprocess.Popen[bytes]
    started: float
    short_lives: int = 0

    def end_group(self) -> None:
        """Kill what the process left behind: its children share its group, which bears its id."""
        with suppress(ProcessLookupError, PermissionError):  # an empty group: nothing is left
            os.killpg(self.process.pid, signal.SIGKILL)


@dataclass(slots=True, kw_only=True)
class Supervisor:
    """Runs programs until told to stop. ``each_look`` is called about ten times a second."""

    programs: Sequence[Program]
    folder: Path
    say: Callable[[str], None]
    each_look: Callable[[], None] = lambda: None
    patience_s: float = PATIENCE_S
    wall: Callable[[], float] = time.time
    _children: list[Child] = field(default_factory=list)
    _asked_to_stop: int = 0

    def run(self) -> None:
        """Start every program and watch; return after a stop, raise if one cannot be kept."""
        ahead = self._ahead()
        with self._listening():
            try:
                for program in self.programs:
                    self._children.append(self._start(program))
                while not self._asked_to_stop:
                    for child in self._children:
                        self._look_after(child)
                    if abs(self._ahead() - ahead) > JUMP_S:
                        ahead = self._ahead()
                        self._count_anew()
                    self.each_look()
                    time.sleep(LOOK_S)
                self.say("Stopping; work in hand is finished first (Ctrl-C again: at once) ...")
            finally:
                self._stop_all()

    @contextmanager
    def _listening(self) -> Iterator[None]:
        """Count Ctrl-C, a request to end and a closed terminal instead of dying of them."""
        signals = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
        before = {number: signal.signal(number, self._note_stop) for number in signals}
        try:
            yield
        finally:
            for number, handler in before.items():
                signal.signal(number, handler)

    def _note_stop(self, _number: int, _frame: FrameType | None) -> None:
        self._asked_to_stop += 1

    def _start(self, program: Program) -> Child:
        process = subprocess.Popen(  # noqa: S603  (our own fixed command lines)
            program.command,
            cwd=self.folder,
            stdin=subprocess.DEVNULL,
            start_new_session=True,
            preexec_fn=_end_with_parent(),
        )
        return Child(program=program, process=process, started=time.monotonic())

    def _look_after(self, child: Child) -> None:
        """Start a program again if it ended, unless it never gets far."""
        code = child.process.poll()
        if code is None:
            return
        child.end_group()
        was_short = time.monotonic() - child.started < SHORT_LIFE_S
        child.short_lives = child.short_lives + 1 if was_short else 0
        if child.short_lives >= SHORT_LIVES:
            raise ProgramKeepsDying(child.program, code=code)
        self.say(f"The {child.program.name} ended (exit code {code}); starting it again.")
        again = self._start(child.program)
        child.process, child.started = again.process, again.started

    def _ahead(self) -> float:
        """How far the clock that can be set is ahead of the one that cannot."""
        return self.wall() - time.monotonic()

    def _count_anew(self) -> None:
        for child in self._children:
            if child.program.counts_by_clock and child.process.poll() is None:
                self.say(f"The computer's clock was set: starting the {child.program.name} anew.")
                child.process.terminate()
                child.process.wait()
                child.end_group()
                again = self._start(child.program)
                child.process, child.started = again.process, again.started

    def _stop_all(self) -> None:
        """Ask, wait, then end the groups. A further Ctrl-C ends the waiting."""
        asked = self._asked_to_stop
        for child in self._children:
            if child.process.poll() is None:
                # Only the leader: the worker's own children must go on with the task in hand.
                child.process.terminate()
        deadline = time.monotonic() + self.patience_s
        while time.monotonic() < deadline and self._asked_to_stop == asked:
            if all(child.process.poll() is not None for child in self._children):
                break
            time.sleep(LOOK_S)
        for child in self._children:
            child.end_group()
            child.process.wait()


def _end_with_parent() -> Callable[[], None] | None:
    """Have Linux end a child whose supervisor was killed and could not do it itself."""
    if not sys.platform.startswith("linux"):
        return None
    library = ctypes.CDLL(None)
    supervisor = os.getpid()

    def ask() -> None:
        library.prctl(PR_SET_PDEATHSIG, signal.SIGTERM)
        if os.getppid() != supervisor:  # it was killed before the line above
            os.kill(os.getpid(), signal.SIGTERM)

    return ask


def check_port(host: str, port: int) -> None:
    """Raise ``PortUnusable``, with the remedy, if the web server could not listen there."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        with socket.socket(family, socket.SOCK_STREAM) as probe:
            # As the web server does: a connection that is still closing is no obstacle.
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind((host, port))
            probe.listen()
    except (OSError, OverflowError) as error:
        raise PortUnusable(_port_sentence(host, port, error)) from error


def _port_sentence(host: str, port: int, error: Exception) -> str:
    other = 8001 if port == 8000 else 8000
    if isinstance(error, PermissionError):
        return f"Port {port} needs administrator rights. Choose another: --port {other}."
    if isinstance(error, OverflowError):
        return f"Port {port} does not exist. Choose one from 1024 to 65535: --port {other}."
    if isinstance(error, socket.gaierror) or _is_foreign(error):
        return f"{host} is not an address of this computer. Use --host 0.0.0.0 for all of them."
    return (
        f"Port {port} is in use, perhaps by a Gambrel that is already running or still stopping. "
        f"Stop it, wait a moment, or choose another port: --port {other}."
    )


def _is_foreign(error: Exception) -> bool:
    return isinstance(error, OSError) and error.errno == errno.EADDRNOTAVAIL
