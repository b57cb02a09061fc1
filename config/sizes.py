"""A request that is larger than anything the site takes is refused before it is read."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse

MEGABYTE = 1024 * 1024


class RefuseHuge:
    """Middleware: a file of gigabytes would otherwise fill the disk before a form could refuse."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Goes by the length that is announced; without one, no body is read at all."""
        announced = request.META.get("CONTENT_LENGTH") or "0"
        if announced.isdecimal() and int(announced) <= settings.MOST_REQUEST_MB * MEGABYTE:
            return self.get_response(request)
        said = f"What was sent is larger than {settings.MOST_REQUEST_MB} MB. Send a smaller file.\n"
        return HttpResponse(said, status=413, content_type="text/plain; charset=utf-8")
