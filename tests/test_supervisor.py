"""The supervisor with small real programs: they are started, killed, started again and ended."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from config import supervisor
from config.programs import programs
from config.supervisor import PortUnusable, check_port

ROOT = Path(__file__).resolve().parent.parent

# Notes its id, makes a child of its own that notes its id too, and then waits. As a worker does,
# it finishes something when asked to end.
PARENT_AND_CHILD = """
import os, pathlib, signal, subprocess, sys, time
folder = pathlib.Path(sys.argv[1])
child = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(60)"])
def finish(*_):
    child.kill(); child.wait()
    (folder / "finished").write_text("yes"); sys.exit(0)
signal.signal(signal.SIGTERM, finish)
(folder / f"{os.getpid()}.parent").write_text(str(child.pid))
while True: time.sleep(0.05)
"""
# Will not end when asked to, nor will its child.
DEAF = """
import os, pathlib, signal, subprocess, sys, time
deaf = "import signal, time; signal.signal(signal.SIGTERM, signal.SIG_IGN); time.sleep(60)"
child = subprocess.Popen([sys.executable, "-c", deaf])
signal.signal(signal.SIGTERM, signal.SIG_IGN)
(pathlib.Path(sys.argv[1]) / f"{os.getpid()}.parent").write_text(str(child.pid))
while True: time.sleep(0.05)
"""
ENDS_AT_ONCE = "import sys; sys.exit(7)"
# The supervisor needs a process of its own: Ctrl-C and the like go to a whole process.
SUPERVISE = """
import pathlib, sys, time
from config.supervisor import Program, Supervisor, SupervisorError
folder = pathlib.Path(sys.argv[2])
program = Program(name="trough keeper", command=(sys.executable, "-c", sys.argv[1], sys.argv[2]),
                  counts_by_clock=True)
def wall():  # set by hand, as a computer's clock is
    set_by = folder / "clock-set-by"
    return time.time() + (float(set_by.read_text() or 0) if set_by.exists() else 0)
try:
    Supervisor(programs=(program,), folder=folder, patience_s=float(sys.argv[3]),
               say=lambda words: print(words, flush=True), wall=wall).run()
except SupervisorError as error:
    sys.exit(str(error))
"""


def is_alive(pid: int) -> bool:
    """Whether a process runs; one that has ended but was not yet waited for does not count."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False


def wait_until(is_so: Callable[[], bool], *, what: str, longest_s: float = 10.0) -> None:
    deadline = time.monotonic() + longest_s
    while not is_so():
        assert time.monotonic() < deadline, f"waited {longest_s} s in vain until {what}"
        time.sleep(0.02)


def started(folder: Path) -> dict[int, int]:
    """Each program that has started so far, with its child."""
    notes = [note for note in folder.glob("*.parent") if note.read_text()]
    return {int(note.stem): int(note.read_text()) for note in notes}


def all_ended(folder: Path) -> bool:
    return not any(is_alive(pid) for pair in started(folder).items() for pid in pair)


@contextmanager
def supervising(
    code: str, folder: Path, *, patience_s: float = 5
) -> Iterator[subprocess.Popen[str]]:
    command = [sys.executable, "-c", SUPERVISE, code, str(folder), str(patience_s)]
    process = subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    try:
        yield process
    finally:
        process.kill()
        process.communicate()
        for pair in started(folder).items():
            for pid in pair:
                with suppress(ProcessLookupError):
                    os.kill(pid, signal.SIGKILL)


def wait_for_start(folder: Path, *, count: int = 1) -> None:
    wait_until(lambda: len(started(folder)) == count, what=f"start {count}")


@pytest.mark.parametrize("request_to_stop", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_ctrl_c_lets_programs_finish_and_leaves_none(
    tmp_path: Path, request_to_stop: signal.Signals
) -> None:
    with supervising(PARENT_AND_CHILD, tmp_path) as process:
        wait_for_start(tmp_path)
        process.send_signal(request_to_stop)
        words, _ = process.communicate(timeout=10)
    assert process.returncode == 0
    assert "Stopping" in words
    assert (tmp_path / "finished").exists()
    assert all_ended(tmp_path)


def test_a_killed_program_is_started_again_and_its_orphans_are_ended(tmp_path: Path) -> None:
    with supervising(PARENT_AND_CHILD, tmp_path) as process:
        wait_for_start(tmp_path)
        [(first, orphan)] = started(tmp_path).items()
        os.kill(first, signal.SIGKILL)
        wait_for_start(tmp_path, count=2)
        wait_until(lambda: not is_alive(orphan), what="the killed program's child is gone")
        process.send_signal(signal.SIGINT)
        words, _ = process.communicate(timeout=10)
    assert "The trough keeper ended (exit code -9); starting it again." in words
    assert all_ended(tmp_path)


@pytest.mark.parametrize("seconds", ["-3600", "86400"])
def test_what_counts_by_the_clock_is_started_anew_when_the_clock_is_set(
    tmp_path: Path, seconds: str
) -> None:
    with supervising(PARENT_AND_CHILD, tmp_path) as process:
        wait_for_start(tmp_path)
        (tmp_path / "clock-set-by").write_text(seconds)
        wait_for_start(tmp_path, count=2)
        process.send_signal(signal.SIGINT)
        words, _ = process.communicate(timeout=10)
    assert words.count("The computer's clock was set: starting the trough keeper anew.") == 1
    assert all_ended(tmp_path)


def test_a_program_that_cannot_start_stops_everything_with_a_reason(tmp_path: Path) -> None:
    with supervising(ENDS_AT_ONCE, tmp_path) as process:
        _, complaint = process.communicate(timeout=10)
    assert process.returncode == 1
    assert "The trough keeper ended 3 times" in complaint
    assert "last exit code 7" in complaint


def test_a_program_that_will_not_end_is_killed_with_its_children(tmp_path: Path) -> None:
    with supervising(DEAF, tmp_path, patience_s=0.3) as process:
        wait_for_start(tmp_path)
        process.send_signal(signal.SIGTERM)
        process.communicate(timeout=10)
    assert process.returncode == 0
    assert all_ended(tmp_path)


def test_a_second_ctrl_c_ends_the_waiting(tmp_path: Path) -> None:
    with supervising(DEAF, tmp_path, patience_s=60) as process:
        wait_for_start(tmp_path)
        process.send_signal(signal.SIGINT)
        assert process.stdout is not None
        assert "Stopping" in process.stdout.readline()
        # Both would count as one if the second came before the first was answered.
        time.sleep(0.3)
        process.send_signal(signal.SIGINT)
        process.communicate(timeout=10)
    assert all_ended(tmp_path)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="only Linux offers it")
def test_programs_end_when_the_supervisor_itself_is_killed(tmp_path: Path) -> None:
    with supervising(PARENT_AND_CHILD, tmp_path) as process:
        wait_for_start(tmp_path)
        process.kill()
        wait_until(lambda: all_ended(tmp_path), what="programs noticed that nobody watches them")
    assert (tmp_path / "finished").exists()


def test_a_port_in_use_is_named_with_what_to_do() -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        with pytest.raises(PortUnusable, match=rf"Port {port} is in use.*--port 8000"):
            check_port("127.0.0.1", port)


def test_a_free_port_is_no_reason_to_stop() -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
    check_port("127.0.0.1", port)


def test_an_address_of_another_computer_is_refused() -> None:
    with pytest.raises(PortUnusable, match=r"192\.0\.2\.7 is not an address of this computer"):
        check_port("192.0.2.7", 0)


def test_a_port_that_does_not_exist_is_refused() -> None:
    with pytest.raises(PortUnusable, match="Port 70000 does not exist"):
        check_port("127.0.0.1", 70000)


def test_a_port_for_administrators_is_explained() -> None:
    sentence = supervisor._port_sentence("0.0.0.0", 80, PermissionError())
    assert sentence == "Port 80 needs administrator rights. Choose another: --port 8000."


def test_the_clock_is_a_program_of_its_own() -> None:
    web, worker, clock = programs(host="0.0.0.0", port=8000)
    assert "0.0.0.0:8000" in web.command
    assert "beat" not in worker.command
    assert clock.counts_by_clock
