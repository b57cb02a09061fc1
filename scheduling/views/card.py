"""An attendee's own card, by private link: now, next, today, coverage, cautions."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from scheduling import access, coverage, live_day, telling, trough_day
from scheduling.views import board
from stations import access as station_access
from workshops import access as people_access


def private(response: HttpResponse) -> HttpResponse:
    """Asked for afresh each time, kept by no proxy, and the address told to no other site."""
    response["Cache-Control"] = "private, no-cache"
    # Not "no-referrer": a browser then posts with the origin "null", which no form gets past.
    response["Referrer-Policy"] = "same-origin"
    response["X-Robots-Tag"] = "noindex"
    return response


@require_safe
def card(request: HttpRequest, word: str) -> HttpResponse:
    """The card. Shows this person's places, and of others only the names beside them."""
    now = timezone.now()
    link = people_access.card_link(word, now=now)
    seat = link.enrolment
    sheets = list(access.posted_days(seat.workshop))
    places = live_day.places_of(seat, sheets)
    current, coming = live_day.now_and_next(places, now=now)
    troughs = station_access.trough_stations(seat.workshop)
    here = now.astimezone(seat.workshop.zone)
    page = {
        "link": link,
        "seat": seat,
        "workshop": seat.workshop,
        "days": live_day.by_day(places, sheets),
        "current": current,
        "coming": coming,
        "covered": coverage.of_attendee(seat, sheets, now=now),
        "changes": telling.unread(seat),
        "trough": trough_day.trough_of(places, troughs, now=here),
        "now": here,
    }
    return private(render(request, "scheduling/card.html", page))


@require_POST
def heard(request: HttpRequest, word: str) -> HttpResponse:
    """This person has read what changed."""
    now = timezone.now()
    telling.read(people_access.card_link(word, now=now).enrolment, now=now)
    return private(redirect("card", word))


@require_safe
def card_board(request: HttpRequest, word: str) -> HttpResponse:
    """The board, for someone with a private link."""
    link = people_access.card_link(word, now=timezone.now())
    page = (
        "scheduling/board_rows.html"
        if request.headers.get("HX-Request")
        else "scheduling/board.html"
    )
    return private(render(request, page, board.context(link.enrolment.workshop)))
