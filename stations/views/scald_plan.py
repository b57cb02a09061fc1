"""The scald planned ahead: tried, kept, and worked out for an attendee's own yard."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from stations import access, heating, scald_sheet
from stations.cautions import HOME_CAUTIONS
from stations.forms.scald import HomeForm, TroughForm
from stations.models import Trough
from stations.scald_sheet import ScaldSheet
from stations.trade.errors import OutOfRange
from workshops import access as people_access
from workshops.models import Animal, Workshop
from workshops.navigation import frame

planner_page = people_access.staff_page(people_access.PLAN_DAYS)


@require_safe
@planner_page
def scald(request: HttpRequest, slug: str) -> HttpResponse:
    """The one trough there is; of several, or none, a choice of stations."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    found = list(access.stations(user, workshop))
    with_trough = [station for station in found if hasattr(station, "trough")]
    if len(with_trough) == 1:
        return redirect("scald-plan", slug, with_trough[0].letter)
    context = frame(request, workshop, stations=with_trough or found, have=bool(with_trough))
    return render(request, "stations/scald.html", context)


@require_safe
@planner_page
def plan(request: HttpRequest, slug: str, letter: str) -> HttpResponse:
    """What is kept; with numbers in the address, those instead, and nothing is written."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    trough = access.trough_to_plan(user, workshop, letter)
    form = TroughForm(request.GET or None, trough=trough)
    hogs = heating.hogs_to_scald(workshop)
    return _page(request, workshop, form, hogs)


@require_POST
@planner_page
def keep(request: HttpRequest, slug: str, letter: str) -> HttpResponse:
    """Write the numbers down; the timetable takes its re-heats from them from now on."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    trough = access.trough_to_plan(user, workshop, letter)
    form, hogs = TroughForm(request.POST, trough=trough), heating.hogs_to_scald(workshop)
    if form.is_valid():
        worked_out(form, hogs)  # what the trade refuses is not kept either
    if not form.errors and form.keep():
        messages.success(request, "Kept. Plan the course again to let the timetable use it.")
        return redirect("scald-plan", slug, letter)
    return _page(request, workshop, form, hogs)


def _page(
    request: HttpRequest, workshop: Workshop, form: TroughForm, hogs: list[Animal]
) -> HttpResponse:
    """Form and answer; 422 where something is refused."""
    sheet = worked_out(form, hogs)
    station = form.instance.station
    context = frame(
        request,
        workshop,
        form=form,
        station=station,
        hogs=hogs,
        sheet=sheet,
        tried=form.is_bound,
    )
    status = 422 if form.is_bound and form.errors else 200
    return render(request, "stations/scald_plan.html", context, status=status)


def worked_out(form: TroughForm, hogs: list[Animal]) -> ScaldSheet | None:
    """The plan for what the form holds, or None with the refusal among the form's errors."""
    trough: Trough = form.instance
    unknown = not form.is_bound and trough.pk is None
    if not hogs or unknown or (form.is_bound and form.errors):
        return None
    try:
        station = trough.station
        station.trough = trough
        set_up = heating.set_up_of(station, hogs).sentence if station.pk else ""
        return scald_sheet.sheet_of(trough, hogs, set_up=set_up)
    except OutOfRange as refusal:
        form.refuse(refusal)
        return None


@require_safe
def at_home(request: HttpRequest, word: str) -> HttpResponse:
    """What an attendee would need at home: own vessel, fire and hog; nothing is kept."""
    link = people_access.card_link(word, now=timezone.now())
    workshop = link.enrolment.workshop
    form = HomeForm(request.GET or None, workshop=workshop)
    valid = form.is_bound and form.is_valid()
    sheet = worked_out(form, [form.hog]) if valid else None
    context = {
        "link": link,
        "workshop": workshop,
        "form": form,
        "sheet": sheet,
        "cautions": HOME_CAUTIONS,
    }
    status = 422 if form.is_bound and form.errors else 200
    response = render(request, "stations/scald_at_home.html", context, status=status)
    response["Cache-Control"] = "private, no-cache"
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex"
    return response
