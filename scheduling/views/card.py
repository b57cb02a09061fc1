"""An attendee's own card, by private link: now, next, today, coverage, cautions."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from scheduling import access, asked, card_steps, coverage, live_day, telling, trough_day
from scheduling.live_page import live
from scheduling.views import board
from stations import access as station_access
from stations.forms.trough import ActForm
from workshops import access as people_access
from workshops.models import Topic
from workshops.views.seat import private

TOPICS = (Topic.PLAN, Topic.CLOCK, Topic.SWAP)


@require_safe
def card(request: HttpRequest, word: str) -> HttpResponse:
    """The card. Shows this person's places, and of others only the names beside them."""
    now = timezone.now()
    link = people_access.card_link(word, now=now)
    seat = link.enrolment
    listening = live(seat.workshop, TOPICS, now=now, word=word)
    sheets = list(access.posted_days(seat.workshop))
    places = live_day.places_of(seat, sheets)
    standing = card_steps.standing_today(sheets, now=now)
    current, coming = live_day.now_and_next(places, now=now, standing=standing)
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
        "asked": asked.on_card(seat, sheets, now=now),
        "press": ActForm(auto_id=False),
        "trough": trough_day.trough_of(places, troughs, now=here),
        "now": here,
        "live": listening,
        "current_buttons": card_steps.buttons(current, standing, word),
        "coming_buttons": card_steps.buttons(coming, standing, word),
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
    page = board.context(request, link.enrolment.workshop, word=word)
    return private(render(request, board.template_for(request), page))
