"""The kit: how many, and whether chains, hoist and angles hold the heaviest hog."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from stations import access, equipping
from stations.forms.equipment import CountsForm, HandlingForm, RestForm
from workshops import access as people_access
from workshops.models import User, Workshop
from workshops.navigation import frame


@require_safe
@people_access.staff_page(access.SEE_EQUIPMENT)
def equipment(request: HttpRequest, slug: str) -> HttpResponse:
    """Checks first, counts below."""
    user = people_access.signed_in(request)
    return _show(request, user, people_access.workshop(user, slug))


def _show(
    request: HttpRequest,
    user: User,
    workshop: Workshop,
    *,
    counts: CountsForm | None = None,
    rest: RestForm | None = None,
) -> HttpResponse:
    heaviest = equipping.heaviest_of(people_access.animals(user, workshop))
    counts = counts or CountsForm(equipment=access.equipment(user, workshop))
    rest = rest or RestForm(initial={"minutes": workshop.rest_after_heavy_min})
    context = frame(
        request,
        workshop,
        checks=[
            equipping.check(station, heaviest, workshop.units)
            for station in access.lifting_stations(user, workshop)
        ],
        heaviest=heaviest,
        last_word=equipping.LAST_WORD,
        counts=counts,
        rest=rest,
        rest_offer=equipping.rest_offer(access.stages(workshop)),
        may_change=user.has_perm(access.CHANGE_EQUIPMENT),
    )
    status = 422 if counts.errors or rest.errors else 200
    return render(request, "stations/equipment.html", context, status=status)


@require_POST
@people_access.staff_page(access.CHANGE_EQUIPMENT)
def keep_counts(request: HttpRequest, slug: str) -> HttpResponse:
    """Write the counts, all or none."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    form = CountsForm(request.POST, equipment=access.equipment(user, workshop))
    if form.is_valid():
        form.tell_lost(equipping.write_counts(form.counts()))
    if form.errors:
        return _show(request, user, workshop, counts=form)
    messages.success(request, "The counts are saved.")
    return redirect("equipment", slug)


@require_POST
@people_access.staff_page(access.CHANGE_EQUIPMENT)
def keep_rest(request: HttpRequest, slug: str) -> HttpResponse:
    """Write the rest after a heavy duty."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    form = RestForm(request.POST)
    if not form.is_valid():
        return _show(request, user, workshop, rest=form)
    equipping.keep_rest(workshop, form.cleaned_data["minutes"])
    messages.success(request, "The rest is saved. Plans made from now on keep to it.")
    return redirect("equipment", slug)


@people_access.staff_page(access.CHANGE_EQUIPMENT)
def handling(request: HttpRequest, slug: str, station_id: int) -> HttpResponse:
    """What one station moves a hog with, read and changed."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    row = access.handling(user, workshop, station_id)
    form = HandlingForm(request.POST or None, handling=row, units=workshop.units)
    if form.is_valid():
        form.save()
        messages.success(request, f"{row.station}: saved. The checks are against what stands now.")
        return redirect("equipment", slug)
    context = frame(request, workshop, form=form, station=row.station)
    status = 422 if form.is_bound else 200
    return render(request, "stations/handling.html", context, status=status)
