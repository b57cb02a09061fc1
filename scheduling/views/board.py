"""The board in the barn: now and next at each station, the running dip, alarms."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from scheduling import access, board_page
from scheduling.live_page import live
from workshops import access as people_access
from workshops.models import Topic, Workshop

TOPICS = (Topic.PLAN, Topic.CLOCK, Topic.DIP, Topic.ALARM)


def context(request: HttpRequest, workshop: Workshop, *, word: str = "") -> dict[str, object]:
    """What the board shows, for staff and attendees alike."""
    now = timezone.now()
    listening = live(workshop, TOPICS, now=now, word=word)
    may_see = request.user.has_perm("scheduling.change_alarm")
    return {
        "workshop": workshop,
        "live": listening,
        "board": board_page.board(workshop, access.posted_days(workshop), now=now),
        "now": now.astimezone(workshop.zone),
        "dark": request.GET.get("look") == "dark",
        "seen_url": reverse("alarm-seen", args=[workshop.slug]) if may_see else "",
    }


def template_for(request: HttpRequest) -> str:
    """The whole page, or the fresh rows alone when the page asks for them."""
    is_refresh = bool(request.headers.get("HX-Request"))
    return "scheduling/board_rows.html" if is_refresh else "scheduling/board.html"


@require_safe
@people_access.staff_page("scheduling.view_runsheet")
def board(request: HttpRequest, slug: str) -> HttpResponse:
    """The board for the staff's screen."""
    workshop = people_access.workshop(request.user, slug)
    return render(request, template_for(request), context(request, workshop))
