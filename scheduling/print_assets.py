"""Style sheets, fonts and pictures for printed sheets, from our own folders and nowhere else.

Imported only where a PDF is made: WeasyPrint needs system libraries that a machine may lack.
"""

from __future__ import annotations

import mimetypes
from pathlib import Path
from urllib.parse import unquote, urlsplit

from django.conf import settings
from django.contrib.staticfiles import finders
from weasyprint.urls import URLFetcher, URLFetcherResponse


class OwnFiles(URLFetcher):  # type: ignore[misc]  # WeasyPrint ships no types
    """Answers ``data:`` and our own static files; a sheet never fetches from a network."""

    def __init__(self) -> None:
        super().__init__(allowed_protocols=["data"], fail_on_errors=True)

    def fetch(self, url: str, headers: dict[str, str] | None = None) -> URLFetcherResponse:
        """One file. Raises ValueError for anything that is not ours."""
        if url.startswith("data:"):
            return super().fetch(url, headers)
        kind = mimetypes.guess_type(urlsplit(url).path)[0] or "application/octet-stream"
        return URLFetcherResponse(url, file_of(url).read_bytes(), {"Content-Type": kind})


def file_of(url: str) -> Path:
    """The file behind a static address. Raises ValueError if it is missing or not ours."""
    path = unquote(urlsplit(url).path)
    prefix = f"/{settings.STATIC_URL.strip('/')}/"
    if not path.startswith(prefix):
        raise ValueError(f"{url} is not one of our own files.")
    root = Path(settings.STATIC_ROOT).resolve()
    collected = (root / path.removeprefix(prefix)).resolve()
    if collected.is_relative_to(root) and collected.is_file():
        return collected
    found = finders.find(path.removeprefix(prefix))
    if not found:
        raise ValueError(f"{url} is missing.")
    return Path(str(found))
