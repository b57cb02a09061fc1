"""The record of a hog's dips: the page and its export."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from stations import access, dip_records
from workshops import access as people_access
from workshops.navigation import frame

dips_page = people_access.staff_page(access.SEE_DIPS)


@require_safe
@dips_page
def hog_dips(request: HttpRequest, slug: str, animal_id: int) -> HttpResponse:
    """This hog's dips, and beside them those of other hogs and years."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    animal, units = people_access.animal(user, workshop, animal_id), workshop.units
    mine = dip_records.rows_of(access.dips_of(animal), units=units)
    beside = access.dips_beside(user, animal)[: dip_records.MOST_OTHERS]
    others = dip_records.rows_of(beside, units=units, first=len(mine) + 1)
    drawing = dip_records.overlay(mine, others, units=units) if mine else None
    page = {"animal": animal, "mine": mine, "others": others, "overlay": drawing}
    return render(request, "stations/hog_dips.html", frame(request, workshop, **page))


@require_safe
@dips_page
def hog_dips_csv(request: HttpRequest, slug: str, animal_id: int) -> HttpResponse:
    """Every entry of this hog's dips, for a spreadsheet."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    animal = people_access.animal(user, workshop, animal_id)
    sheet = dip_records.as_csv(access.dips_of(animal))
    answer = HttpResponse(sheet, content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="dips-hog-{animal.pk}.csv"'
    return answer
