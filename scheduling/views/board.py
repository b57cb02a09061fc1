"""The board in the barn: now and next at each station."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from scheduling import access, backwards, light, live_day
from workshops import access as people_access
from workshops.models import Workshop


def context(workshop: Workshop) -> dict[str, object]:
    """What the board shows, for staff and attendees alike."""
    now = timezone.now()
    sheet = live_day.sheet_for(access.posted_days(workshop), now=now)
    return {
        "workshop": workshop,
        "sheet": sheet,
        "rows": live_day.board(sheet, now=now) if sheet else [],
        "light": light.day_light(sheet.day, sheet.steps.all()) if sheet else None,
        "before": backwards.still_ahead(sheet, now=now) if sheet else [],
        "now": now.astimezone(workshop.zone),
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
    return render(request, template_for(request), context(workshop))
