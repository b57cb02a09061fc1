"""The page that asks before someone is placed beyond their own screen."""

from __future__ import annotations

from uuid import uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from scheduling import access, drafting, overriding
from scheduling.forms import OverrideForm
from scheduling.views.morning import lead_page
from workshops import access as people_access
from workshops.models import Day, User
from workshops.navigation import nav


@require_http_methods(["GET", "HEAD", "POST"])
@lead_page
def override(
    request: HttpRequest, slug: str, number: int, placement_id: int, seat_id: int
) -> HttpResponse:
    """Ask, in so many words; then lock them there and write down who said so and why."""
    user = people_access.signed_in(request)
    day = access.day_by_number(user, slug, number)
    placement = access.draft_placement(user, day, placement_id)
    seat = access.confirmed_seat(user, day, seat_id)
    asked = overriding.question(placement, seat)
    back = f"{reverse('morning', args=[slug, number])}#step-{placement.step_id}"
    if asked is None:
        return redirect(back)
    form = OverrideForm(request.POST or None, initial={"client_id": uuid4()})
    if form.is_valid():
        return _write(request, user, asked, form, back)
    return _ask(request, day, number, asked, form)


def _write(
    request: HttpRequest,
    user: User,
    asked: overriding.Question,
    form: OverrideForm,
    back: str,
) -> HttpResponse:
    answer = overriding.Answer(**form.cleaned_data)
    sheet = asked.placement.step.run_sheet
    try:
        overriding.place_anyway(sheet, asked, answer, by=user, now=timezone.now())
    except drafting.DraftMovedError as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, "Placed and locked. Your override is kept with your name.")
    return redirect(back)


def _ask(
    request: HttpRequest,
    day: Day,
    number: int,
    asked: overriding.Question,
    form: OverrideForm,
) -> HttpResponse:
    page = {
        "nav": nav(request, day.workshop, day_number=number),
        "day": day,
        "number": number,
        "asked": asked,
        "form": form,
    }
    status = 422 if form.is_bound else 200
    return render(request, "scheduling/override.html", page, status=status)
