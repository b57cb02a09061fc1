"""The house rules that no import check sees: pure packages, their examples, migrations."""

from __future__ import annotations

import doctest
import importlib
import pkgutil
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command

ROOT = Path(__file__).resolve().parent.parent
PURE = ("stations.trade", "scheduling.planner")


def modules_of(package: str) -> list[str]:
    """The package and every module in it, by name."""
    folder = ROOT.joinpath(*package.split("."))
    inside = pkgutil.walk_packages([str(folder)], prefix=f"{package}.")
    return [package, *sorted(found.name for found in inside)]


MODULES = [module for package in PURE for module in modules_of(package)]


@pytest.mark.parametrize("package", PURE)
def test_a_pure_package_loads_without_django(package: str) -> None:
    """Every module of it, in a fresh interpreter: neither Django nor an app's rows come along."""
    script = (
        "import importlib, sys\n"
        f"for name in {modules_of(package)!r}: importlib.import_module(name)\n"
        "strangers = {'django', 'celery', 'config', 'workshops'} & set(sys.modules)\n"
        "strangers |= {n for n in sys.modules if n.endswith('.models')}\n"
        "sys.exit(f'came along: {sorted(strangers)}' if strangers else 0)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert ran.returncode == 0, ran.stderr


@pytest.mark.parametrize("module", MODULES)
def test_the_examples_in_the_pure_packages_come_out_as_written(module: str) -> None:
    """Worked values in docstrings are run."""
    report = StringIO()
    runner = doctest.DocTestRunner()
    for example in doctest.DocTestFinder().find(importlib.import_module(module)):
        runner.run(example, out=report.write)
    assert runner.summarize(verbose=False).failed == 0, report.getvalue()


@pytest.mark.django_db
def test_no_migration_is_missing() -> None:
    """The models and the migrations say the same."""
    report = StringIO()
    try:
        call_command("makemigrations", check=True, dry_run=True, stdout=report)
    except SystemExit:
        pytest.fail(f"A migration is missing:\n{report.getvalue()}")


@pytest.mark.parametrize(
    "sheet", sorted((ROOT / "config/static/css").glob("*.css")), ids=lambda found: found.name
)
def test_every_block_of_a_style_sheet_is_closed(sheet: Path) -> None:
    """A block left open swallows every rule after it, and no page says so."""
    depth = 0
    for number, line in enumerate(sheet.read_text(encoding="utf-8").splitlines(), start=1):
        depth += line.count("{") - line.count("}")
        assert 0 <= depth <= 2, f"line {number}"
        if line.startswith("/* ----"):
            assert depth == 0, f"line {number}"
    assert depth == 0
