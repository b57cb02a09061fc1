"""The first page, and the overview of one workshop."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from workshops import access, overview
from workshops.navigation import frame


@require_safe
@access.staff_page(access.SEE_WORKSHOP)
def home(request: HttpRequest) -> HttpResponse:
    """The workshops this person may open, and what each still lacks."""
    user = access.signed_in(request)
    cards = overview.cards(
        access.workshops_to_check(user), mends=user.has_perm(access.CHANGE_PEOPLE)
    )
    return render(request, "workshops/home.html", frame(request, cards=cards))


@require_safe
@access.staff_page(access.SEE_WORKSHOP)
def workshop(request: HttpRequest, slug: str) -> HttpResponse:
    """One workshop: its days, its numbers, and what it still lacks."""
    user = access.signed_in(request)
    shown = access.workshop_to_check(user, slug)
    card = overview.card(shown, mends=user.has_perm(access.CHANGE_PEOPLE))
    days = overview.days(shown, plans=user.has_perm(access.PLAN_DAYS))
    return render(request, "workshops/workshop.html", frame(request, shown, card=card, days=days))
