"""Style sheets and scripts are collected when they changed, and not at every start."""

from __future__ import annotations

from pathlib import Path

import pytest
from pytest_django import Settings

from config.collecting import collect_if_changed


@pytest.fixture
def sheet(settings: Settings, tmp_path: Path) -> Path:
    """The only static file of an app that keeps its data in a folder of its own."""
    source = tmp_path / "source"
    source.mkdir()
    settings.STATICFILES_DIRS = [source]
    settings.STATICFILES_FINDERS = ["django.contrib.staticfiles.finders.FileSystemFinder"]
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.ManifestStaticFilesStorage"},
    }
    settings.VAR = tmp_path
    settings.STATIC_ROOT = tmp_path / "static"
    settings.MANIFEST = settings.STATIC_ROOT / "staticfiles.json"
    sheet = source / "base.css"
    sheet.write_text("p { margin: 0 }")
    return sheet


def collected(folder: Path) -> list[str]:
    return [path.read_text() for path in sorted((folder / "static").glob("base.*.css"))]


def test_files_are_collected_once(sheet: Path, tmp_path: Path) -> None:
    said: list[str] = []
    collect_if_changed(say=said.append)
    assert collected(tmp_path) == ["p { margin: 0 }"]
    collect_if_changed(say=said.append)
    assert len(said) == 1


def test_a_changed_file_replaces_the_collected_ones(sheet: Path, tmp_path: Path) -> None:
    collect_if_changed(say=lambda _: None)
    sheet.write_text("p { margin: 1rem }")
    collect_if_changed(say=lambda _: None)
    assert collected(tmp_path) == ["p { margin: 1rem }"]


def test_collected_files_that_were_deleted_come_back(sheet: Path, tmp_path: Path) -> None:
    said: list[str] = []
    collect_if_changed(say=said.append)
    (tmp_path / "static" / "staticfiles.json").unlink()
    collect_if_changed(say=said.append)
    assert len(said) == 2
