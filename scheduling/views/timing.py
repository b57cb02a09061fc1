"""The acts of the run sheet: move and pin steps, mark what happened, time the rest again."""

from __future__ import annotations

from datetime import datetime, time

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from scheduling import access, clocking, retiming
from scheduling.clocking import MarkRefusedError, Seen
from scheduling.drafting import DraftMovedError
from scheduling.models import Mark
from scheduling.retiming import MoveRefusedError
from scheduling.timing_forms import MarkForm, TimeForm
from scheduling.views import run_sheet
from workshops import access as people_access
from workshops import jobs
from workshops.models import Day

lead_act = people_access.staff_page(people_access.PLAN_DAYS)
staff_act = people_access.staff_page("scheduling.add_actual")


def _at(day: Day, clock: time) -> datetime:
    return day.at(clock.replace(second=0))


@require_POST
@lead_act
def move(request: HttpRequest, slug: str, number: int, code: str) -> HttpResponse:
    """Start a step at another time, if every rule still holds; else say which does not."""
    user = people_access.signed_in(request)
    day, form = access.day_by_number(user, slug, number), TimeForm(request.POST)
    if form.is_valid():
        try:
            retiming.move(day, code, to=_at(day, form.cleaned_data["at"]), by=user)
        except MoveRefusedError as refusal:
            for sentence in refusal.sentences:
                form.add_error("at", sentence)
        except DraftMovedError as refusal:
            form.add_error(None, str(refusal))
    if form.errors:
        return run_sheet.page(request, day, number, came_back={code: form})
    messages.success(request, "Moved and pinned in the draft. Nobody is told until it is posted.")
    return redirect("run-sheet", slug, number)


@require_POST
@lead_act
def pin(request: HttpRequest, slug: str, number: int, code: str) -> HttpResponse:
    """Keep a step at its time when the course is planned again."""
    return _set_pin(request, slug, number, code, "Pinned: it keeps its time at the next planning.")


@require_POST
@lead_act
def unpin(request: HttpRequest, slug: str, number: int, code: str) -> HttpResponse:
    """Let a step go."""
    return _set_pin(request, slug, number, code, "")


def _set_pin(
    request: HttpRequest, slug: str, number: int, code: str, pinned_words: str
) -> HttpResponse:
    user = people_access.signed_in(request)
    day = access.day_by_number(user, slug, number)
    try:
        retiming.set_pin(day, code, pinned=bool(pinned_words), by=user)
    except (MoveRefusedError, DraftMovedError) as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, pinned_words or "The planner may move it again.")
    return redirect("run-sheet", slug, number)


@require_POST
@lead_act
def plan_from(request: HttpRequest, slug: str, number: int, code: str) -> HttpResponse:
    """Ask for the whole course to be timed again with this step pinned to a time."""
    user = people_access.signed_in(request)
    day, form = access.day_by_number(user, slug, number), TimeForm(request.POST)
    if not form.is_valid():
        return run_sheet.page(request, day, number, came_back={code: form})
    jobs.submit(
        "scheduling.tasks.retime_course",
        workshop=day.workshop,
        title="Planning the course around a pinned step",
        key=run_sheet.planning_key(day.workshop_id),
        arguments={"code": code, "at": _at(day, form.cleaned_data["at"]).isoformat()},
        by=user,
    )
    return redirect("run-sheet", slug, number)


@require_POST
@staff_act
def started(request: HttpRequest, slug: str, number: int, code: str) -> HttpResponse:
    """A step has begun, now or at the time typed."""
    return _mark(request, slug, number, code, Mark.STARTED)


@require_POST
@staff_act
def finished(request: HttpRequest, slug: str, number: int, code: str) -> HttpResponse:
    """A step is over, now or at the time typed."""
    return _mark(request, slug, number, code, Mark.FINISHED)


@require_POST
@staff_act
def paused(request: HttpRequest, slug: str, number: int, code: str) -> HttpResponse:
    """A running step stands still."""
    return _mark(request, slug, number, code, Mark.PAUSED)


@require_POST
@staff_act
def resumed(request: HttpRequest, slug: str, number: int, code: str) -> HttpResponse:
    """It goes on."""
    return _mark(request, slug, number, code, Mark.RESUMED)


def _mark(request: HttpRequest, slug: str, number: int, code: str, which: Mark) -> HttpResponse:
    user, now = people_access.signed_in(request), timezone.now()
    day, form = access.day_by_number(user, slug, number), MarkForm(request.POST)
    if form.is_valid():
        typed = form.cleaned_data["at"]
        seen = Seen(
            mark=which,
            at=_at(day, typed) if typed else now,
            by=user,
            client_id=form.cleaned_data["client_id"],
        )
        try:
            clocking.mark(day, code, seen, now=now)
        except MarkRefusedError as refusal:
            form.add_error("at", str(refusal))
    if form.errors:
        return run_sheet.page(request, day, number, came_back={code: form})
    return redirect("run-sheet", slug, number)


@require_POST
@staff_act
def take_back(request: HttpRequest, slug: str, number: int, code: str) -> HttpResponse:
    """The last mark of a step was a mistake."""
    user = people_access.signed_in(request)
    day, form = access.day_by_number(user, slug, number), MarkForm(request.POST)
    if form.is_valid():
        try:
            clocking.take_back(day, code, by=user, client_id=form.cleaned_data["client_id"])
        except MarkRefusedError as refusal:
            messages.error(request, str(refusal))
    return redirect("run-sheet", slug, number)


@require_POST
@lead_act
def as_planned(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """What nobody marked went as posted."""
    user = people_access.signed_in(request)
    day = access.day_by_number(user, slug, number)
    count = clocking.mark_as_planned(day, by=user, now=timezone.now())
    messages.success(request, f"Marked as posted: {count} step{'' if count == 1 else 's'}.")
    return redirect("run-sheet", slug, number)


@require_POST
@lead_act
def replan(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Ask for the rest of the day to be timed again from now, as a draft."""
    user = people_access.signed_in(request)
    day = access.day_by_number(user, slug, number)
    jobs.submit(
        "scheduling.tasks.replan_day",
        workshop=day.workshop,
        title=f"Timing the rest of {day}",
        key=run_sheet.replanning_key(day),
        arguments={"day": day.pk},
        by=user,
    )
    return redirect("run-sheet", slug, number)
