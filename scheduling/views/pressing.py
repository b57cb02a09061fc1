"""How a press is answered: in full for a plain form, in short for the page's own script.

The script keeps each press on the phone until one of these answers comes: written (2xx), refused
with the reason (409), or the form again with what is wrong (422). It takes a redirect for "sign
in", so an answer to it is never one.
"""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

FRAGMENT = "X-Fragment"


def by_script(request: HttpRequest) -> bool:
    """Whether the page's script asks, and not the browser itself."""
    return FRAGMENT in request.headers


def written(request: HttpRequest, to: str) -> HttpResponse:
    """Nothing more to say to the script; the page again for a plain form."""
    return HttpResponse(status=204) if by_script(request) else redirect(to)


def refused(request: HttpRequest, sentence: str, to: str) -> HttpResponse:
    """The reason, either way."""
    if by_script(request):
        page = {"title": "Not written", "sentences": [sentence]}
        return render(request, "parts/refusal.html", page, status=409)
    messages.error(request, sentence)
    return redirect(to)
