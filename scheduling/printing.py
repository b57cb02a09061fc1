"""Sets sheets: HTML for the browser's own print, PDF where the machine's libraries allow it."""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path

from django.conf import settings
from django.template.loader import render_to_string

from scheduling.models import RunSheet
from scheduling.sheets import Pack

PDF_NEEDS = "sudo apt-get install libpangoft2-1.0-0 libharfbuzz-subset0"


class NoPdfError(Exception):
    """The machine lacks the text libraries that PDF needs."""

    def __init__(self) -> None:
        super().__init__(
            f"PDF needs two system libraries: {PDF_NEEDS}. Until then, print from the browser."
        )


@cache
def can_make_pdf() -> bool:
    """Whether the libraries are there; asked once a process."""
    try:
        import weasyprint  # noqa: F401  # missing libraries raise OSError at the import
    except OSError:
        return False
    return True


def html(pack: Pack) -> str:
    """The pack as one page."""
    return render_to_string("print/pack.html", {"pack": pack, "workshop": pack.day.workshop})


def pdf(pack: Pack) -> bytes:
    """The pack as PDF. Raises :class:`NoPdfError` where the libraries are missing."""
    return pdf_of(html(pack))


def pdf_of(page: str) -> bytes:
    """A page as PDF. Raises :class:`NoPdfError` where the libraries are missing."""
    if not can_make_pdf():
        raise NoPdfError
    from weasyprint import HTML

    from scheduling.print_assets import OwnFiles

    document = HTML(string=page, base_url="http://gambrel.invalid/", url_fetcher=OwnFiles())
    made: bytes = document.write_pdf()
    return made


def path_of(job_id: object) -> Path:
    """Where a made PDF is kept."""
    return Path(settings.MEDIA_ROOT) / f"{job_id}.pdf"


def keep(job_id: object, content: bytes) -> Path:
    """Write a PDF whole or not at all: a second run of the same job replaces it in one move."""
    target = path_of(job_id)
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_suffix(f".{os.getpid()}.part")
    part.write_bytes(content)
    part.replace(target)
    return target


def name_of(sheet: RunSheet) -> str:
    """What the file is called when it is saved."""
    return f"{sheet.day.workshop.slug}-{sheet.day.date:%Y-%m-%d}-version-{sheet.version}.pdf"
