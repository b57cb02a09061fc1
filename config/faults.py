"""What a person reads when the storage fails: which fault, that nothing was saved, what they typed.

A page that broke for another reason is Django's own ``500.html``.
"""

from __future__ import annotations

import errno
import sys
from dataclasses import dataclass
from enum import Enum

from django.db import DatabaseError, InterfaceError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.defaults import server_error as broken

# Never sent back to a page: whoever stands at the screen types a password again.
SECRET = ("password", "csrfmiddlewaretoken")


class Fault(Enum):
    """What is wrong with the storage: a heading, and what to do about it."""

    FULL = (
        "The disk is full",
        "The organizer must free room on the computer that runs this; then send it again.",
    )
    READ_ONLY = (
        "The disk cannot be written",
        "The computer that runs this took its disk out of use, or the data folder belongs to "
        "someone else. Tell the organizer; then send it again.",
    )
    BUSY = (
        "The computer is busy",
        "Something else is being written for a long time. Wait a few seconds, then send it again.",
    )
    DAMAGED = (
        "The data is damaged",
        "Tell the organizer to stop the app and to restore the newest whole backup. Until then "
        "carry on from the printed sheets.",
    )
    AWAY = (
        "The data cannot be reached",
        "The database does not answer. Wait a minute, then send it again; if it lasts, tell the "
        "organizer and carry on from the printed sheets.",
    )

    @property
    def heading(self) -> str:
        """The fault in a line."""
        return self.value[0]

    @property
    def remedy(self) -> str:
        """What to do, in a sentence or two."""
        return self.value[1]


# How SQLite and PostgreSQL word each fault (sqlite.org/rescode.html; PostgreSQL, appendix A).
WORDS = {
    Fault.FULL: ("is full", "no space left", "disk quota"),
    Fault.READ_ONLY: (
        "readonly",
        "read-only",
        "disk i/o error",
        "unable to open database file",
    ),
    Fault.BUSY: ("is locked", "lock timeout", "deadlock"),
    Fault.DAMAGED: ("malformed", "not a database", "invalid page"),
    Fault.AWAY: ("connect", "closed", "terminat", "shutting down", "starting up", "timeout"),
}
NUMBERS = {
    errno.ENOSPC: Fault.FULL,
    errno.EDQUOT: Fault.FULL,
    errno.EROFS: Fault.READ_ONLY,
    errno.EIO: Fault.READ_ONLY,
}


@dataclass(frozen=True, slots=True)
class Typed:
    """One field that was sent, to be sent again."""

    name: str
    value: str


def fault_of(error: BaseException | None) -> Fault | None:
    """The storage fault behind an exception, or None if it is something else."""
    while error is not None:
        found = _fault_of_one(error)
        if found is not None:
            return found
        error = error.__cause__ or error.__context__
    return None


def _fault_of_one(error: BaseException) -> Fault | None:
    if isinstance(error, OSError):
        return NUMBERS.get(error.errno or 0)
    if not isinstance(error, DatabaseError | InterfaceError):
        return None
    said = str(error).lower()
    return next((fault for fault, words in WORDS.items() if any(w in said for w in words)), None)


def server_error(request: HttpRequest) -> HttpResponse:
    """The answer to an exception that nothing caught; Django calls it while handling that."""
    fault = fault_of(sys.exc_info()[1])
    if fault is None:
        return broken(request)
    page = {"fault": fault, "typed": _typed(request), "had_files": bool(request.FILES)}
    answer = render(request, "503.html", page, status=503)
    answer["Retry-After"] = "30"
    answer["Cache-Control"] = "no-store"
    return answer


def _typed(request: HttpRequest) -> list[Typed]:
    if request.method != "POST":
        return []
    return [
        Typed(name, value)
        for name, values in request.POST.lists()
        for value in values
        if not any(word in name.lower() for word in SECRET)
    ]
