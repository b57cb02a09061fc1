"""``dev``: what it says and remembers. Its installing is tried for real by every test run."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from importlib.machinery import SourceFileLoader
from importlib.util import module_from_spec, spec_from_loader
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="module")
def dev() -> ModuleType:
    """The script as a module: it has no ``.py`` ending, so it is loaded by its path."""
    loader = SourceFileLoader("gambrel_dev", str(ROOT / "dev"))
    spec = spec_from_loader(loader.name, loader)
    assert spec is not None
    module = module_from_spec(spec)
    sys.modules[loader.name] = module  # its dataclass looks itself up there
    loader.exec_module(module)
    return module


@pytest.mark.parametrize("version", [(3, 11), (3, 12), (3, 13)])
def test_these_pythons_will_do(dev: ModuleType, version: tuple[int, int]) -> None:
    assert dev.version_problem(version) is None


@pytest.mark.parametrize("version", [(3, 7), (3, 10), (3, 14), (4, 0)])
def test_another_python_is_refused_in_one_line_with_the_remedy(
    dev: ModuleType, version: tuple[int, int]
) -> None:
    words = dev.version_problem(version)
    assert f"this is {version[0]}.{version[1]}" in words
    assert "sudo apt-get install python3.11-venv" in words
    assert "\n" not in words


def test_an_older_python_can_read_the_script_and_so_say_that_it_is_too_old() -> None:
    ast.parse((ROOT / "dev").read_text(), feature_version=(3, 7))


def test_the_pythons_named_are_those_of_the_project_file(dev: ModuleType) -> None:
    project = (ROOT / "pyproject.toml").read_text()
    assert 'requires-python = ">=3.11,<3.14"' in project
    assert dev.PYTHONS == ("3.11", "3.12", "3.13")


def test_a_missing_venv_module_names_the_package_to_install(dev: ModuleType) -> None:
    assert dev.venv_problem((3, 13)).endswith("sudo apt-get install python3.13-venv")


def test_a_python_that_does_not_start_has_no_version(dev: ModuleType, tmp_path: Path) -> None:
    shell = tmp_path / "python3.12"
    shell.write_text("#!/bin/sh\nexit 127\n")
    shell.chmod(0o755)
    assert dev.version_of(str(shell)) is None
    assert dev.version_of(str(tmp_path / "nothing")) is None
    assert dev.version_of(sys.executable) == sys.version_info[:2]


def test_the_hash_follows_content_and_name(dev: ModuleType, tmp_path: Path) -> None:
    for name, content in (("one", "a"), ("two", "a"), ("three", "b")):
        (tmp_path / name).write_text(content)
    hashes = {name: dev.digest(name, root=tmp_path) for name in ("one", "two", "three")}
    assert len(set(hashes.values())) == 3
    assert dev.digest("one", root=tmp_path) == hashes["one"]


@pytest.mark.parametrize("content", ["", "{torn", "[1]", '"word"'])
def test_a_torn_stamp_counts_as_none(dev: ModuleType, tmp_path: Path, content: str) -> None:
    stamp = tmp_path / "installed.json"
    stamp.write_text(content)
    assert dev.read_stamp(stamp) == {}
    assert dev.read_stamp(tmp_path / "absent") == {}


def test_nothing_is_installed_again_until_the_list_or_the_python_changes(dev: ModuleType) -> None:
    now = {"python": [3, 11], dev.RUNTIME: "a", dev.DEVELOPMENT: "b"}
    assert dev.is_installed(dict(now), dev.RUNTIME, now=now)
    assert not dev.is_installed({**now, dev.RUNTIME: "older"}, dev.RUNTIME, now=now)
    assert not dev.is_installed({**now, "python": [3, 12]}, dev.RUNTIME, now=now)
    assert not dev.is_installed({"python": [3, 11], dev.RUNTIME: "a"}, dev.DEVELOPMENT, now=now)
    assert not dev.is_installed({}, dev.RUNTIME, now=now)


def test_run_and_test_do_not_undo_each_other(dev: ModuleType) -> None:
    assert dev.what_to_install({}, dev.RUNTIME) == dev.RUNTIME
    assert dev.what_to_install({dev.DEVELOPMENT: "older"}, dev.RUNTIME) == dev.DEVELOPMENT


def test_missing_libraries_are_one_line_with_the_command(dev: ModuleType) -> None:
    words = dev.missing_words(["libpangoft2-1.0-0", "libharfbuzz-subset0"], purpose="Printing off.")
    assert words == (
        "Printing off. Missing: libpangoft2-1.0-0, libharfbuzz-subset0. "
        "Get it with: sudo apt-get install libpangoft2-1.0-0 libharfbuzz-subset0"
    )


def test_a_package_is_known_by_its_library_or_its_program(dev: ModuleType) -> None:
    assert dev.SystemPackage("libc6", library="libc.so.6").is_there()
    assert not dev.SystemPackage("none", library="libgambrel-none.so.0").is_there()
    assert dev.SystemPackage("coreutils", program="ls").is_there()
    assert not dev.SystemPackage("none", program="gambrel-none").is_there()


def test_missing_packages_are_said_and_the_start_goes_on(
    dev: ModuleType, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(dev, "may_install", lambda: False)
    packages = (
        dev.SystemPackage("libgambrel-none0", library="libgambrel-none.so.0"),
        dev.SystemPackage("libc6", library="libc.so.6"),
    )
    dev.supply(packages, purpose="Printing off.")
    assert (
        capsys.readouterr().out
        == dev.missing_words(["libgambrel-none0"], purpose="Printing off.") + "\n"
    )


def test_a_checking_machine_must_be_able_to_run_every_test(dev: ModuleType) -> None:
    assert dev.testing_environment({"CI": "true"})["GAMBREL_REQUIRE_ALL"] == "1"
    assert "GAMBREL_REQUIRE_ALL" not in dev.testing_environment({})


def test_tests_keep_out_of_the_data(dev: ModuleType) -> None:
    assert dev.testing_environment({})["GAMBREL_VAR"] == str(ROOT / "var" / "tests")
    assert dev.testing_environment({"GAMBREL_VAR": "/elsewhere"})["GAMBREL_VAR"] == "/elsewhere"


def test_help_names_every_command_and_an_unknown_one_is_an_error(dev: ModuleType) -> None:
    done = subprocess.run(
        [sys.executable, "dev", "plough"], cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 2
    assert all(f"./dev {command}" in done.stdout for command in dev.COMMANDS)


def test_a_reason_to_stop_is_one_line_and_no_traceback(
    dev: ModuleType, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(_arguments: list[str]) -> None:
        raise dev.Stop("Install this first.")

    monkeypatch.setitem(dev.COMMANDS, "run", stop)
    assert dev.main(["run"]) == 1
    assert capsys.readouterr().out == "Install this first.\n"


def pins(name: str) -> dict[str, set[str]]:
    """Package to versions (there may be one for each Python) in a locked file."""
    found: dict[str, set[str]] = {}
    for package, version in re.findall(r"^(\S+?)==(\S+)", (ROOT / name).read_text(), re.M):
        found.setdefault(package, set()).add(version)
    return found


def test_the_tools_list_holds_everything_the_app_needs_at_the_same_versions(
    dev: ModuleType,
) -> None:
    runtime, development = pins(dev.RUNTIME), pins(dev.DEVELOPMENT)
    assert runtime
    assert {name: development.get(name) for name in runtime} == runtime


def test_locked_files_have_hashes_and_name_no_address(dev: ModuleType) -> None:
    for name in (dev.RUNTIME, dev.DEVELOPMENT, dev.UV):
        text = (ROOT / name).read_text()
        assert "://" not in text
        packages = re.findall(r"^\S+==", text, re.M)
        hashed = re.findall(r"^\S+==.*\\\n +--hash=sha256:[0-9a-f]{64}", text, re.M)
        assert len(packages) == len(hashed) > 0
