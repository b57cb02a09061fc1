"""The container file and the systemd unit name what is really there."""

from __future__ import annotations

import re
import runpy
import shlex
import shutil
import subprocess
import tomllib
from pathlib import Path

import pytest
from django.conf import settings

ROOT = Path(__file__).resolve().parent.parent
UNIT = ROOT / "docs" / "install" / "gambrel.service"
CONTAINER = (ROOT / "Containerfile").read_text()


def test_the_container_copies_the_whole_app_and_nothing_of_ours() -> None:
    """Every folder of code, no tests and no data."""
    copied = {
        word for line in re.findall(r"^COPY (.*)", CONTAINER, re.M) for word in line.split()[:-1]
    }
    assert copied >= {"config", "workshops", "stations", "scheduling", "templates", "fixtures"}
    assert {word for word in copied if not (ROOT / word).exists()} == set()
    assert copied & {"tests", "var", ".venv", "."} == set()


def test_the_container_has_the_libraries_that_printing_needs() -> None:
    """As ``dev`` installs them."""
    for package in runpy.run_path(str(ROOT / "dev"))["PRINTING"]:
        assert package.name in CONTAINER


def test_the_units_commands_are_commands_of_ours() -> None:
    """With options that they know."""
    lines = re.findall(r"^ExecStart(?:Pre)?=(.*)", UNIT.read_text(), re.M)
    commands = [shlex.split(line)[2:] for line in lines]
    assert commands == [
        ["migrate", "--noinput"],
        ["up", "--host", "127.0.0.1", "--port", "8000"],
    ]


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="no systemd here")
def test_systemd_finds_no_fault_in_the_unit() -> None:
    """What it cannot know here is that the program is not installed yet."""
    ran = subprocess.run(
        ["systemd-analyze", "verify", str(UNIT)], capture_output=True, text=True, check=False
    )
    faults = [line for line in ran.stderr.splitlines() if "not executable" not in line]
    assert [line for line in faults if "gambrel" in line] == []


def test_the_version_is_told_once() -> None:
    """The pages, the package and the changelog agree."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    assert project["version"] == settings.VERSION
    newest = re.findall(r"^## (\S+)", (ROOT / "docs" / "changelog.md").read_text(), re.M)[0]
    assert newest == settings.VERSION
