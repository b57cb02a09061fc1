"""One course as one file that opens without this program, and the reading of such a file.

A ZIP: ``read-me.txt``; ``record.html`` (and ``record.pdf`` where the machine can) to look at;
``tables/`` as CSV for a spreadsheet; ``rows/`` as JSON lines, from which another machine makes the
course again; ``manifest.json`` with the hash of each. The whole is checked before a row is read.
"""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.conf import settings
from django.db import transaction

from scheduling import course_rows, safekeeping_rows
from workshops import tables, workbook
from workshops.models import Workshop

FORMAT = "gambrel-course-1"
MANIFEST = "manifest.json"
WRITERS = "rows/sign-ins.jsonl"
# An archive that unpacks to more is none of ours: a course has some thousands of rows.
MOST_UNPACKED = 400 * 1024 * 1024
READ_ME = """\
{name}
as it was kept on {day}, by Gambrel {version}.

record.html     the course, its hogs and its people, to read and to print (opens in any browser)
record.pdf      the same for paper, where the machine could make it
tables/         every table as CSV, in UTF-8, for a spreadsheet
rows/           the same rows as JSON, one a line, from which Gambrel makes the course again:
                manage.py bring_course FILE
manifest.json   what is in here, with the SHA-256 of each file

Health notes and money are in it: keep it where only the organizer reads it.
Private links and passwords are not in it.
"""


class ArchiveError(Exception):
    """The archive cannot be used; the sentence says why and what would do.

    ArchiveError
    |-- DamagedArchive   it is not what was written
    `-- RefusedArchive   it is whole, and cannot be put in here
    """


class DamagedArchive(ArchiveError):
    """It is cut short, changed, or no archive at all."""

    def __init__(self, name: str, *, why: str) -> None:
        super().__init__(f"{name} is damaged: {why}. Nothing was brought in; take another copy.")


class RefusedArchive(ArchiveError):
    """It is whole, but this database cannot take it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Archive:
    """A whole archive, read: which course it is, and its rows by the labels of their models."""

    name: str
    course: str
    version: str
    rows: Mapping[str, list[safekeeping_rows.Row]]
    writers: Mapping[int, str]


def archive(workshop: Workshop, *, documents: Mapping[str, bytes], now: datetime) -> bytes:
    """The course as a file; ``documents`` are what can be read without any program."""
    with transaction.atomic():
        files = {**documents, **_csv_files(workshop), **_row_files(workshop)}
    day = now.astimezone(workshop.zone)
    said = READ_ME.format(name=workshop.name, day=f"{day:%d %B %Y}", version=settings.VERSION)
    files["read-me.txt"] = said.encode()
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as packed:
        for path, content in files.items():
            packed.writestr(path, content)
        packed.writestr(MANIFEST, _manifest(workshop, files, now=now))
    return made.getvalue()


def _csv_files(workshop: Workshop) -> dict[str, bytes]:
    sheets = workbook.sheets(workshop, course_rows.CHAPTERS)
    return {f"tables/{_file(title)}.csv": tables.to_csv(rows) for title, rows in sheets.items()}


def _row_files(workshop: Workshop) -> dict[str, bytes]:
    found = course_rows.rows_of(workshop)
    files = {
        _path(model._meta.label): b"".join(
            safekeeping_rows.as_line(safekeeping_rows.as_row(row)) for row in rows
        )
        for model, rows in found.items()
    }
    writers = course_rows.writers_of(found)
    lines = ({"id": key, "username": name} for key, name in writers.items())
    return files | {WRITERS: b"".join(safekeeping_rows.as_line(line) for line in lines)}


def _file(title: str) -> str:
    return title.replace(" ", "-").replace("/", "-")


def _path(label: str) -> str:
    return f"rows/{label}.jsonl"


def _manifest(workshop: Workshop, files: Mapping[str, bytes], *, now: datetime) -> str:
    body = {
        "format": FORMAT,
        "course": workshop.name,
        "slug": workshop.slug,
        "made_at": now.isoformat(),
        "version": settings.VERSION,
        "files": {path: _hash(content) for path, content in sorted(files.items())},
    }
    return json.dumps(body | {"sha256": _hash(_as_bytes(body))}, indent=1)


def _as_bytes(body: Mapping[str, Any]) -> bytes:
    return json.dumps(body, sort_keys=True).encode()


def _hash(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


# --- reading ------------------------------------------------------------------------------------


def read(name: str, content: bytes) -> Archive:
    """The archive, every file of it compared with its hash first.

    Raises:
        DamagedArchive: naming the first thing that is not as it was written.
    """
    try:
        packed = zipfile.ZipFile(io.BytesIO(content))
    except Exception as error:  # what damage raises differs by Python and by byte, here and below
        raise DamagedArchive(name, why="it is no ZIP, or was cut short") from error
    with packed:
        if sum(part.file_size for part in packed.infolist()) > MOST_UNPACKED:
            raise DamagedArchive(name, why="it unpacks to more than any course holds")
        body = _read_manifest(name, packed)
        files = {path: _read_file(name, packed, path, body) for path in body["files"]}
    more = set(packed.namelist()) - {*files, MANIFEST}
    if more:
        raise DamagedArchive(name, why=f"{min(more)} is not in its manifest")
    writers = {row["id"]: row["username"] for row in _lines(files.pop(WRITERS, b""))}
    rows = {
        path.removeprefix("rows/").removesuffix(".jsonl"): _lines(text)
        for path, text in files.items()
        if path.startswith("rows/")
    }
    return Archive(
        name=name, course=body["course"], version=body["version"], rows=rows, writers=writers
    )


def _lines(text: bytes) -> list[safekeeping_rows.Row]:
    return [safekeeping_rows.from_line(line) for line in text.splitlines()]


def _read_manifest(name: str, packed: zipfile.ZipFile) -> dict[str, Any]:
    try:
        body: dict[str, Any] = json.loads(packed.read(MANIFEST))
        said = body.pop("sha256")
        is_whole = body["format"] == FORMAT and said == _hash(_as_bytes(body))
    except Exception as error:
        raise DamagedArchive(name, why="its manifest cannot be read") from error
    if not is_whole:
        raise DamagedArchive(name, why="its manifest is not as it was written")
    return body


def _read_file(name: str, packed: zipfile.ZipFile, path: str, body: Mapping[str, Any]) -> bytes:
    try:
        content = packed.read(path)
    except Exception as error:
        raise DamagedArchive(name, why=f"{path} cannot be read") from error
    if _hash(content) != body["files"][path]:
        raise DamagedArchive(name, why=f"{path} is not as it was written")
    return content
