"""Cures: the batches, a batch worked out and kept, and what is done to it."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from stations import access, cure_sheet, curing_batches
from stations.dipping import Act, Hand
from stations.errors import RecordRefused
from stations.forms.cures import CureForm, CureNoteForm
from stations.forms.record import PressForm
from stations.judged import all_judged
from stations.models import CureAct, CureBatch
from stations.views.chill import note, plan, see, told_why
from workshops import access as people_access
from workshops.models import User, Workshop
from workshops.navigation import frame


@require_safe
@see
def cures(request: HttpRequest, slug: str) -> HttpResponse:
    """Every batch, by the day it went in."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    today = timezone.localdate(timezone=workshop.zone)
    rows = [
        cure_sheet.sheet_of(each, today=today, units=workshop.units)
        for each in access.cure_batches(user, workshop)
    ]
    may_plan = user.has_perm(access.PLAN_AFTER)
    page = frame(request, workshop, rows=rows, may_plan=may_plan)
    return render(request, "stations/cures.html", page)


@require_safe
@plan
def cure_new(request: HttpRequest, slug: str) -> HttpResponse:
    """With numbers in the address they are worked out; nothing is written."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    return _new_page(request, workshop, _cure_form(request.GET or None, user, workshop))


@require_POST
@plan
def cure_keep(request: HttpRequest, slug: str) -> HttpResponse:
    """Keep the batch as worked out."""
    user, now = people_access.signed_in(request), timezone.now()
    workshop = people_access.workshop(user, slug)
    form = _cure_form(request.POST, user, workshop)
    worked = form.worked_out()
    press = PressForm(request.POST, workshop=workshop, now=now)
    if worked is None or not press.is_valid():
        return _new_page(request, workshop, form)
    try:
        client_id: UUID = press.cleaned_data["client_id"]
        act = Act(by=Hand(user=user), client_id=client_id, now=now)
        made = curing_batches.keep(workshop, worked, form.begun(), act)
    except RecordRefused as refusal:
        form.add_error(None, str(refusal))
        return _new_page(request, workshop, form)
    messages.success(request, f"{made} is kept. Weigh to the gram.")
    return redirect("cure", slug, made.pk)


@require_safe
@see
def cure(request: HttpRequest, slug: str, batch_id: int) -> HttpResponse:
    """One batch."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    batch = access.cure_batch(user, workshop, batch_id)
    form = CureNoteForm(None, workshop=workshop, now=timezone.now())
    return _batch_page(request, workshop, batch, form)


@require_POST
@note
def cure_note(request: HttpRequest, slug: str, batch_id: int) -> HttpResponse:
    """Something was done to it."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    batch = access.cure_batch(user, workshop, batch_id)
    form = CureNoteForm(request.POST, workshop=workshop, now=timezone.now())
    if form.is_valid() and form.written(lambda: _note(batch, form, user)):
        messages.success(request, "Written down.")
        return redirect("cure", slug, batch_id)
    return _batch_page(request, workshop, batch, form)


@require_POST
@note
def cure_take_back(request: HttpRequest, slug: str, batch_id: int, entry_id: int) -> HttpResponse:
    """That entry was a mistake."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    row = access.cure_entry(access.cure_batch(user, workshop, batch_id), entry_id)
    form = PressForm(request.POST, workshop=workshop, now=timezone.now())
    if form.is_valid() and form.written(lambda: curing_batches.take_back(row, form.act(user))):
        messages.success(request, "Taken back; it stays in the record and counts for nothing.")
    else:
        told_why(request, form)
    return redirect("cure", slug, batch_id)


def _note(batch: CureBatch, form: CureNoteForm, user: User) -> None:
    told = form.cleaned_data
    what = CureAct(told["act_done"])
    curing_batches.note(batch, what, form.act(user), kg=form.weight_kg(), words=told["note"])


def _cure_form(data: Any, user: User, workshop: Workshop) -> CureForm:
    # Any: a QueryDict, or None.
    today = timezone.localdate(timezone=workshop.zone)
    hogs = list(people_access.animals(user, workshop))
    return CureForm(data, workshop=workshop, hogs=hogs, today=today)


def _new_page(request: HttpRequest, workshop: Workshop, form: CureForm) -> HttpResponse:
    worked = form.worked_out() if form.is_bound and not form.errors else None
    lines = all_judged(worked.findings, workshop.units) if worked else ()
    page = frame(request, workshop, form=form, worked=worked, lines=lines)
    status = 422 if form.is_bound and form.errors else 200
    return render(request, "stations/cure_new.html", page, status=status)


def _batch_page(
    request: HttpRequest, workshop: Workshop, batch: CureBatch, form: CureNoteForm
) -> HttpResponse:
    now: datetime = timezone.now()
    today = timezone.localdate(now, timezone=workshop.zone)
    sheet = cure_sheet.sheet_of(batch, today=today, units=workshop.units)
    press = PressForm(None, workshop=workshop, now=now, auto_id="back-%s")
    page = frame(request, workshop, sheet=sheet, form=form, press=press)
    status = 422 if form.is_bound and form.errors else 200
    return render(request, "stations/cure.html", page, status=status)
