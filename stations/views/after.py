"""After the kill: one page that leads to all of it, and the parts that other pages show."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from stations import access, after_page, break_down, chill_sheet
from stations.views.chill import found, see
from workshops import access as people_access
from workshops.navigation import frame


@require_safe
@see
def after(request: HttpRequest, slug: str) -> HttpResponse:
    """Carcasses, cures and logs, what is due or wrong first."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    page = after_page.page_of(user, workshop, now=timezone.now())
    return render(request, "stations/after.html", frame(request, workshop, page=page))


@require_safe
@see
def after_now(request: HttpRequest, slug: str) -> HttpResponse:
    """What is due or wrong, as a part of the day's page."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    page = after_page.page_of(user, workshop, now=timezone.now())
    return render(request, "stations/after_now.html", {"workshop": workshop, "page": page})


@require_safe
@see
def hog_after(request: HttpRequest, slug: str, animal_id: int) -> HttpResponse:
    """One hog after the kill, as a part of its page."""
    user, workshop, animal = found(request, slug, animal_id)
    cures = access.cure_batches(user, workshop).filter(animal=animal)
    context = {
        "workshop": workshop,
        "animal": animal,
        "chill": chill_sheet.sheet_of(animal, now=timezone.now()),
        "cut": break_down.sheet_of(animal),
        "cures": cures,
        "logs": access.food_logs(user, workshop).filter(animal=animal),
    }
    return render(request, "stations/hog_after.html", context)
