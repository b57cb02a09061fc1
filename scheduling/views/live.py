"""The stream of changes, its polling twin, and the acknowledging of alarms."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from scheduling import alarming, events
from scheduling.events import Stream, TooManyListeners
from stations.dipping import Hand
from workshops import access as people_access
from workshops.models import Workshop
from workshops.views.seat import private

SEE_SHEET = "scheduling.view_runsheet"
CHANGE_ALARMS = "scheduling.change_alarm"
# Where an acknowledged alarm leads back to; anything else leads to the board.
BACK_TO = {"run-sheet", "morning", "day-log"}


@require_safe
@people_access.staff_page(SEE_SHEET)
def stream(request: HttpRequest, slug: str) -> HttpResponseBase:
    """Changes as they happen, for the staff's pages."""
    return _stream(people_access.workshop(request.user, slug))


@require_safe
def card_stream(request: HttpRequest, word: str) -> HttpResponseBase:
    """The same for a card."""
    return _stream(people_access.card_link(word, now=timezone.now()).enrolment.workshop)


def _stream(workshop: Workshop) -> HttpResponseBase:
    try:
        made = Stream(workshop)
    except TooManyListeners:
        # The page polls then, and asks for a stream again later. "No content" is how a browser is
        # told not to try again by itself.
        return HttpResponse(status=204)
    answer = StreamingHttpResponse(made, content_type="text/event-stream")
    answer["Cache-Control"] = "no-store"
    answer["X-Accel-Buffering"] = "no"
    return answer


@require_safe
@people_access.staff_page(SEE_SHEET)
def look(request: HttpRequest, slug: str) -> HttpResponse:
    """What a stream would say, once."""
    return _look(people_access.workshop(request.user, slug))


@require_safe
def card_look(request: HttpRequest, word: str) -> HttpResponse:
    """The same for a card."""
    return _look(people_access.card_link(word, now=timezone.now()).enrolment.workshop)


def _look(workshop: Workshop) -> HttpResponse:
    return private(JsonResponse(events.state(workshop, now=timezone.now())))


@require_POST
@people_access.staff_page(CHANGE_ALARMS)
def acknowledge(request: HttpRequest, slug: str) -> HttpResponse:
    """Somebody has seen an alarm and is on it."""
    user, now = people_access.signed_in(request), timezone.now()
    workshop = people_access.workshop(user, slug)
    key = request.POST.get("key", "")[:120]
    if alarming.acknowledge(workshop, key, by=Hand(user=user), now=now) is None:
        messages.info(request, "That alarm is over.")
    name, number = request.POST.get("page", ""), request.POST.get("number", "")
    if name in BACK_TO and number.isdecimal():
        return redirect(name, slug, int(number))
    return redirect("board", slug)
