"""A course's record as one document: for any browser, and for paper where the machine can."""

from __future__ import annotations

import re
from datetime import datetime
from pathlib import Path

from django.contrib.staticfiles import finders
from django.template.loader import render_to_string
from django.utils.safestring import mark_safe

from scheduling import course_record, hog_record, person_record, printing
from workshops.models import User, Workshop

SHEETS = ("tokens", "base", "parts", "pages", "print")
# What a sheet fetches from beside itself is not beside the file.
FETCHED = re.compile(r"@font-face\s*\{[^}]*\}|url\([^)]*\)[^;,}]*")


def documents(workshop: Workshop, user: User, *, now: datetime) -> dict[str, bytes]:
    """The papers of an archive by their file names; the PDF only where it can be made."""
    record = {
        "workshop": workshop,
        "course": course_record.record_of(user, workshop),
        "hogs": [
            hog_record.record_of(user, animal, sees_health=True, now=now)
            for animal in workshop.animals.select_related("workshop")
        ],
        "people": [
            person_record.record_of(seat, sees_health=True, now=now)
            for seat in workshop.enrolments.confirmed().select_related("attendee", "workshop")
        ],
        "now": now,
    }
    page = render_to_string("print/record.html", record | {"styles": _styles()})
    made = {"record.html": page.encode()}
    if printing.can_make_pdf():
        made["record.pdf"] = printing.pdf_of(render_to_string("print/record.html", record))
    return made


def _styles() -> str:
    """The sheets themselves, since the file is opened far from this server."""
    found = [finders.find(f"css/{name}.css") for name in SHEETS]
    text = "\n".join(Path(str(path)).read_text(encoding="utf-8") for path in found if path)
    return mark_safe(FETCHED.sub("", text))  # noqa: S308  # our own sheets
