"""Who tries private links that nobody has is made to wait, at every door that a link opens.

One place for all of them (card, seat, calendar, trough, at home): a new page with a link in its
address is guarded as it is added.
"""

from __future__ import annotations

from collections.abc import Callable

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from workshops import throttling

# What the addresses of the site map call the secret part of a private link.
SECRET_PART = "word"  # noqa: S105  # the name of a part of an address, no secret


class LimitGuesses:
    """Middleware: refuses before the page is asked, counts after it said that it is unknown."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """The page's own answer."""
        response = self.get_response(request)
        match = request.resolver_match
        if response.status_code == 404 and match and SECRET_PART in match.kwargs:
            throttling.count_guess(
                match.kwargs[SECRET_PART], throttling.place_of(request), now=timezone.now()
            )
        return response

    def process_view(
        self, request: HttpRequest, view: object, args: object, kwargs: dict[str, object]
    ) -> None:
        """Costs a query on pages that a private link opens, none on others."""
        if SECRET_PART not in kwargs:
            return
        place = throttling.place_of(request)
        try:
            throttling.check(throttling.UNKNOWN_LINK, place, now=timezone.now())
        except throttling.TooOften as refusal:
            raise PermissionDenied(str(refusal)) from refusal
