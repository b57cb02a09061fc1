"""Swaps and rests: the attendee's side on the card, the lead's side on the morning."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from scheduling import access, swaps, trying
from scheduling.forms import AskForm, ConfirmForm
from scheduling.models import Swap
from scheduling.swaps import SwapRefused
from scheduling.views.pressing import refused, written
from stations.dipping import Hand
from stations.forms.trough import ActForm
from workshops import access as people_access
from workshops.models import Enrolment
from workshops.views.seat import private

NO_ID = "That press came without its id. Load the page again."
CHANGED = "Someone else may take over now. Look again, then confirm."
# The pages that show what is asked; each leads back to itself.
LEAD_PAGES = {"morning", "run-sheet"}
lead_page = people_access.staff_page(people_access.POST_PLAN)


# --- on the card --------------------------------------------------------------------------------
@require_safe
def choose(request: HttpRequest, word: str, placement_id: int) -> HttpResponse:
    """Whose place, and what the rules say to each."""
    seat, now = _seat(word)
    try:
        table, mine = swaps.current(access.card_placement(seat, placement_id))
    except SwapRefused as refusal:
        return private(refused(request, str(refusal), _card(word)))
    offers = trying.offers(table, mine, now=now)
    page = {
        "word": word,
        "workshop": seat.workshop,
        "mine": mine,
        "form": ActForm(auto_id=False),
        "may_swap": not table.has_begun(mine.step, now=now),
        "open": [offer for offer in offers if not offer.against],
        "closed": [offer for offer in offers if offer.against],
    }
    return private(render(request, "scheduling/choose_swap.html", page))


@require_POST
def ask(request: HttpRequest, word: str, placement_id: int) -> HttpResponse:
    """Ask for that place."""
    seat, now = _seat(word)
    mine, form = access.card_placement(seat, placement_id), AskForm(request.POST)
    if not form.is_valid():
        return private(refused(request, "Choose whose place.", _card(word)))
    theirs = access.other_placement(seat, form.cleaned_data["theirs"])
    act = form.act(Hand(enrolment=seat), now=now)
    return _press(request, word, lambda: swaps.ask(mine, theirs, act))


@require_POST
def rest(request: HttpRequest, word: str, placement_id: int) -> HttpResponse:
    """I need a rest."""
    seat, now = _seat(word)
    mine, form = access.card_placement(seat, placement_id), ActForm(request.POST)
    if not form.is_valid():
        return private(refused(request, NO_ID, _card(word)))
    act = form.act(Hand(enrolment=seat), now=now)
    return _press(request, word, lambda: swaps.ask_rest(mine, act))


@require_POST
def agree(request: HttpRequest, word: str, swap_id: int) -> HttpResponse:
    """The one who was asked says yes."""
    seat, now = _seat(word)
    asked = access.swap_asked_of(seat, swap_id)
    return _press(request, word, lambda: swaps.agree(asked, now=now))


@require_POST
def decline(request: HttpRequest, word: str, swap_id: int) -> HttpResponse:
    """The one who was asked says no."""
    seat, now = _seat(word)
    asked = access.swap_asked_of(seat, swap_id)
    return _press(request, word, lambda: swaps.decline(asked, now=now))


@require_POST
def take_back(request: HttpRequest, word: str, swap_id: int) -> HttpResponse:
    """The one who asked takes it back."""
    seat, now = _seat(word)
    asked = access.swap_asked_by(seat, swap_id)
    return _press(request, word, lambda: swaps.take_back(asked, now=now))


def _seat(word: str) -> tuple[Enrolment, datetime]:
    now = timezone.now()
    return people_access.card_link(word, now=now).enrolment, now


def _card(word: str) -> str:
    return reverse("card", args=[word])


def _press(request: HttpRequest, word: str, act: Callable[[], object]) -> HttpResponse:
    try:
        act()
    except SwapRefused as refusal:
        return private(refused(request, str(refusal), _card(word)))
    return private(written(request, _card(word)))


# --- for the lead -------------------------------------------------------------------------------
@require_POST
@lead_page
def confirm(request: HttpRequest, slug: str, number: int, swap_id: int) -> HttpResponse:
    """One tap: the day is posted with the hands changed."""
    user, form = people_access.signed_in(request), ConfirmForm(request.POST)
    asked = access.day_swap(access.day_by_number(user, slug, number), swap_id)
    try:
        if not form.is_valid() or form.cleaned_data["other"] != asked.other_id:
            raise SwapRefused(CHANGED)
        draft_agrees = swaps.confirm(asked, by=user, now=timezone.now())
    except SwapRefused as refusal:
        messages.error(request, f"Nothing was changed. {refusal}")
    else:
        _say(request, asked, draft_agrees=draft_agrees)
    return _back(request, slug, number)


def _say(request: HttpRequest, asked: Swap, *, draft_agrees: bool) -> None:
    messages.success(request, f"Posted. {asked.sentence} Tell them.")
    if not draft_agrees:
        messages.warning(
            request,
            "The draft has other people at those places: posting the draft would undo this. "
            "Look at it under “What changes” on the Morning page.",
        )


@require_POST
@lead_page
def refuse(request: HttpRequest, slug: str, number: int, swap_id: int) -> HttpResponse:
    """The lead says no; everyone keeps their place."""
    user = people_access.signed_in(request)
    asked = access.day_swap(access.day_by_number(user, slug, number), swap_id)
    try:
        swaps.refuse(asked, by=user, now=timezone.now())
    except SwapRefused as refusal:
        messages.error(request, str(refusal))
    return _back(request, slug, number)


def _back(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    page = request.POST.get("page", "")
    return redirect(page if page in LEAD_PAGES else "morning", slug, number)
