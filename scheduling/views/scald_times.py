"""The clock of the scald day: a part of the scald plan that needs the run sheet."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from scheduling import scalding_times
from stations import access as station_access
from workshops import access as people_access
from workshops.navigation import frame


@require_safe
@people_access.staff_page(people_access.PLAN_DAYS)
def scald_times(request: HttpRequest, slug: str, letter: str) -> HttpResponse:
    """The part alone for the page that asks for it; a page of its own for who follows the link."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    station = get_object_or_404(station_access.stations(user, workshop), letter=letter)
    lengths = scalding_times.Lengths(request.GET)
    lengths.is_valid()  # a length that is no number is left out; the page never sends one
    known = lengths.cleaned_data
    times = scalding_times.scald_times(
        scalding_times.scald_steps(station), heat_min=known.get("heat"), boil_min=known.get("boil")
    )
    part = bool(request.headers.get("HX-Request"))
    page = "scheduling/scald_clock.html" if part else "scheduling/scald_times.html"
    return render(request, page, frame(request, workshop, station=station, times=times))
