"""A household's own page, by private link: how their seats stand and what they may do now."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from workshops import access, answering, ledger, own_page, seating, signing_up
from workshops.forms.answers import AnswersForm
from workshops.forms.waiver import AcceptForm
from workshops.models import CardLink, Household, Workshop

Act = Callable[[Workshop, Household], object]


def private(response: HttpResponse) -> HttpResponse:
    """Asked for afresh each time, kept by no proxy, and the address told to no other site.

    Not "no-referrer": a browser then posts with the origin "null", which is refused as forged.
    """
    response["Cache-Control"] = "private, no-cache"
    response["Referrer-Policy"] = "same-origin"
    response["X-Robots-Tag"] = "noindex"
    return response


@require_safe
def seat(request: HttpRequest, word: str) -> HttpResponse:
    """The page."""
    now = timezone.now()
    link = access.private_link(word, now=now)
    page = own_page.read(link, access.household_seats(link), now=now)
    workshop, household = link.enrolment.workshop, link.enrolment.attendee.household
    context = {
        "page": page,
        "word": word,
        "workshop": workshop,
        "household": household,
        "account": ledger.account(workshop, household) if page.may_act else None,
    }
    return private(render(request, "workshops/seat.html", context))


@require_POST
def take(request: HttpRequest, word: str) -> HttpResponse:
    """Take the offer."""
    now = timezone.now()
    return _act(request, word, lambda w, h: seating.take(w, h, now=now), "The seats are yours.")


@require_POST
def withdraw(request: HttpRequest, word: str) -> HttpResponse:
    """Give up the seats, the offer or the place in line."""
    now = timezone.now()
    return _act(request, word, lambda w, h: seating.withdraw(w, h, now=now), "Given up.")


@require_POST
def ask_again(request: HttpRequest, word: str) -> HttpResponse:
    """Ask for seats anew."""
    now = timezone.now()
    return _act(request, word, lambda w, h: seating.ask_again(w, h, now=now), "Asked again.")


@require_POST
def accept_waiver(request: HttpRequest, word: str, enrolment_id: int) -> HttpResponse:
    """Accept the waiver for one person of the household."""
    now = timezone.now()
    link = access.private_link(word, now=now)
    for_whom = get_object_or_404(access.household_seats(link), pk=enrolment_id)
    text, form = signing_up.current_waiver(link.enrolment.workshop), AcceptForm(request.POST)
    _adults_only(link)
    if text is None or not form.is_valid() or form.cleaned_data["version"] != text.version:
        messages.error(request, "Not accepted: read the waiver below and type a full name.")
    else:
        signing_up.accept_waiver(for_whom, text, form.cleaned_data["name"], now=now)
        messages.success(request, f"The waiver is accepted for {for_whom}.")
    return private(redirect("seat", word))


def answers(request: HttpRequest, word: str, enrolment_id: int) -> HttpResponse:
    """One person's answers, read and changed by a grown-up of the household."""
    link = access.private_link(word, now=timezone.now())
    if not answering.may_answer(link, now=timezone.now()):
        raise PermissionDenied("Someone of 18 or older changes answers, until the course is over.")
    seat = get_object_or_404(access.household_seats(link), pk=enrolment_id)
    form = AnswersForm(request.POST or None, seat=seat, by=link.enrolment)
    if form.is_valid() and form.save():
        messages.success(request, f"The answers of {form.seat} are saved.")
        return private(redirect("seat", word))
    context = {"form": form, "seat": seat, "word": word, "workshop": link.enrolment.workshop}
    return private(render(request, "workshops/answers.html", context))


def _act(request: HttpRequest, word: str, act: Act, done: str) -> HttpResponse:
    """Do it for the household, once, and say how it went."""
    link = access.private_link(word, now=timezone.now())
    _adults_only(link)
    try:
        act(link.enrolment.workshop, link.enrolment.attendee.household)
        messages.success(request, done)
    except seating.OfferGone as refusal:
        messages.error(request, str(refusal))
    return private(redirect("seat", word))


def _adults_only(link: CardLink) -> None:
    """A child's link shows the page and decides nothing."""
    if link.enrolment.is_minor():
        raise PermissionDenied("Someone of 18 or older decides; open the page by their link.")
