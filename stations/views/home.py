"""The first page, and the overview of one workshop, with what each still lacks.

What is lacking is told to those who can mend it.
"""

from __future__ import annotations

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from stations import access as station_access
from stations import readiness
from workshops import access, backup_files, overview
from workshops.navigation import frame


@require_safe
@access.staff_page(access.SEE_WORKSHOP)
def home(request: HttpRequest) -> HttpResponse:
    """The workshops this person may open, and what each still lacks."""
    user = access.signed_in(request)
    mends = user.has_perm(access.CHANGE_PEOPLE)
    shown = [
        overview.card(one, lacks=readiness.lacks(one) if mends else [])
        for one in station_access.workshops_to_check(user)
    ]
    page = {"cards": shown, "keeps_backups": user.has_perm(access.EVERY_WORKSHOP)}
    if page["keeps_backups"]:
        page["backup_warning"] = backup_files.warning(settings.BACKUPS, now=timezone.now())
    return render(request, "workshops/home.html", frame(request, None, **page))


@require_safe
@access.staff_page(access.SEE_WORKSHOP)
def workshop(request: HttpRequest, slug: str) -> HttpResponse:
    """One workshop: its days, its numbers, and what it still lacks."""
    user = access.signed_in(request)
    shown = station_access.workshop_to_check(user, slug)
    mends = user.has_perm(access.CHANGE_PEOPLE)
    card = overview.card(shown, lacks=readiness.lacks(shown) if mends else [])
    days = overview.days(shown, plans=user.has_perm(access.PLAN_DAYS))
    return render(request, "workshops/workshop.html", frame(request, shown, card=card, days=days))
