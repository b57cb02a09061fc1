"""The big buttons on a card: those who stand at a step start, pause and finish it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from scheduling import access, clocking
from scheduling.clocking import MarkRefusedError, Seen
from scheduling.log_forms import PressForm
from scheduling.models import Mark
from workshops import access as people_access
from workshops.views.seat import private


@require_POST
def mark(request: HttpRequest, word: str, code: str, mark: Mark) -> HttpResponse:
    """One press, now, by someone whom the posted sheet puts at this step today."""
    now, form = timezone.now(), PressForm(request.POST)
    seat = people_access.card_link(word, now=now).enrolment
    step = access.own_step(seat, code, now=now)
    if not form.is_valid():
        messages.error(request, "That press came without its id. Load the page again.")
        return private(redirect("card", word))
    press = form.cleaned_data["client_id"]
    seen = Seen(mark=mark, at=now, by=None, by_enrolment=seat, client_id=press)
    try:
        clocking.mark(step.run_sheet.day, code, seen, now=now)
    except MarkRefusedError as refusal:
        messages.error(request, str(refusal))
    return private(redirect("card", word))
