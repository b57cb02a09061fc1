"""Cooking, cooling and holding: the logs, one of them, its readings."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from stations import access, food_sheet, recording
from stations.forms.food import FoodLogForm
from stations.forms.record import PressForm, ProbeForm
from stations.models import FoodLog, FoodMark, FoodRule
from stations.views.chill import correction_page, note, see, told_why
from workshops import access as people_access
from workshops.models import User, Workshop
from workshops.navigation import frame


def found(request: HttpRequest, slug: str, log_id: int) -> tuple[User, Workshop, FoodLog]:
    """Who asks, of which workshop and which log, or 404."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    return user, workshop, access.food_log(user, workshop, log_id)


@require_safe
@see
def food_logs(request: HttpRequest, slug: str) -> HttpResponse:
    """Every log, the newest first, and a form to open one."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    return _logs_page(request, user, workshop, _open_form(None, user, workshop))


@require_POST
@note
def food_open(request: HttpRequest, slug: str) -> HttpResponse:
    """A new log."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    form = _open_form(request.POST, user, workshop)
    made: list[FoodLog] = []
    if form.is_valid() and form.written(
        lambda: made.append(recording.open_log(workshop, form.batch(), form.act(user)))
    ):
        return redirect("food-log", slug, made[0].pk)
    return _logs_page(request, user, workshop, form)


@require_safe
@see
def food_log(request: HttpRequest, slug: str, log_id: int) -> HttpResponse:
    """One log, judged as it stands."""
    _, workshop, log = found(request, slug, log_id)
    return _log_page(request, workshop, log, _reading_form(None, workshop, now=timezone.now()))


@require_POST
@note
def food_read(request: HttpRequest, slug: str, log_id: int) -> HttpResponse:
    """Write a reading down; the verdict stands at the top of the page that follows."""
    user, workshop, log = found(request, slug, log_id)
    form = _reading_form(request.POST, workshop, now=timezone.now())
    if form.is_valid() and form.written(
        lambda: recording.read_food(log, form.shown(), form.act(user))
    ):
        messages.success(request, "Written down.")
        return redirect("food-log", slug, log_id)
    return _log_page(request, workshop, log, form)


@require_POST
@note
def food_done(request: HttpRequest, slug: str, log_id: int) -> HttpResponse:
    """Finished: what was not reached counts as not reached."""
    return _mark(request, slug, log_id, FoodMark.DONE)


@require_POST
@note
def food_sour(request: HttpRequest, slug: str, log_id: int) -> HttpResponse:
    """The batch was measured at pH 5.3 or below."""
    return _mark(request, slug, log_id, FoodMark.SOUR)


@require_POST
@note
def food_mistake(request: HttpRequest, slug: str, log_id: int) -> HttpResponse:
    """The log was opened by mistake."""
    return _mark(request, slug, log_id, FoodMark.MISTAKE)


@note
def food_correct(request: HttpRequest, slug: str, log_id: int, entry_id: int) -> HttpResponse:
    """What the probe really showed."""
    user, workshop, log = found(request, slug, log_id)
    row = access.food_entry(log, entry_id)
    form = ProbeForm(
        request.POST or None,
        workshop=workshop,
        now=timezone.now(),
        thermometers=list(access.thermometers(workshop)),
        initial={"read_c": row.read_c, "thermometer": row.thermometer_id},
    )
    del form.fields["when"]
    if form.is_valid() and form.written(
        lambda: recording.correct_food(row, form.shown(), form.act(user))
    ):
        messages.success(request, "Corrected; the old number stays in the record.")
        return redirect("food-log", slug, log_id)
    page = {"form": form, "row": row, "title": str(log)}
    return correction_page(request, workshop, "food-log", "food-take-back", log_id, page)


@require_POST
@note
def food_take_back(request: HttpRequest, slug: str, log_id: int, entry_id: int) -> HttpResponse:
    """That entry was a mistake."""
    user, workshop, log = found(request, slug, log_id)
    row = access.food_entry(log, entry_id)
    form = PressForm(request.POST, workshop=workshop, now=timezone.now())
    if form.is_valid() and form.written(lambda: recording.take_back_food(row, form.act(user))):
        messages.success(request, "Taken back; it stays in the record and counts for nothing.")
    else:
        told_why(request, form)
    return redirect("food-log", slug, log_id)


def _mark(request: HttpRequest, slug: str, log_id: int, mark: FoodMark) -> HttpResponse:
    user, workshop, log = found(request, slug, log_id)
    form = PressForm(request.POST, workshop=workshop, now=timezone.now())
    if not (
        form.is_valid() and form.written(lambda: recording.mark_food(log, mark, form.act(user)))
    ):
        told_why(request, form)
    return redirect("food-log", slug, log_id)


def _open_form(data: Any, user: User, workshop: Workshop) -> FoodLogForm:
    # Any: a QueryDict, or None.
    hogs = list(people_access.animals(user, workshop))
    return FoodLogForm(data, workshop=workshop, now=timezone.now(), hogs=hogs)


def _reading_form(data: Any, workshop: Workshop, *, now: datetime) -> ProbeForm:
    # Any: as above.
    known = list(access.thermometers(workshop))
    return ProbeForm(data, workshop=workshop, now=now, thermometers=known)


def _logs_page(
    request: HttpRequest, user: User, workshop: Workshop, form: FoodLogForm
) -> HttpResponse:
    rows = [food_sheet.sheet_of(each) for each in access.food_logs(user, workshop)]
    status = 422 if form.is_bound and form.errors else 200
    page = frame(request, workshop, rows=rows, form=form)
    return render(request, "stations/food_logs.html", page, status=status)


def _log_page(
    request: HttpRequest, workshop: Workshop, log: FoodLog, form: ProbeForm
) -> HttpResponse:
    press = PressForm(None, workshop=workshop, now=timezone.now(), auto_id="press-%s")
    page = frame(
        request,
        workshop,
        sheet=food_sheet.sheet_of(log),
        form=form,
        press=press,
        ferments=log.rule == FoodRule.FERMENT,
    )
    status = 422 if form.is_bound and form.errors else 200
    return render(request, "stations/food_log.html", page, status=status)
