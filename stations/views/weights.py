"""Break-down: the cut plan of a carcass, the scale, and what is unexplained."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from stations import access, break_down, hanging, recording
from stations.forms.record import PressForm
from stations.forms.weights import (
    AsideForm,
    CarcassForm,
    CutForm,
    CutPlanForm,
    TableForm,
    WeightCorrectionForm,
)
from stations.models import CutTableName
from stations.views.chill import correction_page, found, note, plan, see, told_why
from workshops import access as people_access
from workshops.models import Animal, User, Workshop
from workshops.navigation import frame

Scale = CarcassForm | CutForm | AsideForm


@require_safe
@see
def break_downs(request: HttpRequest, slug: str) -> HttpResponse:
    """Every carcass and how far its weights go."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    rows = [break_down.sheet_of(each) for each in access.carcasses(user, workshop)]
    return render(request, "stations/break_downs.html", frame(request, workshop, rows=rows))


@require_safe
@see
def break_down_hog(request: HttpRequest, slug: str, animal_id: int) -> HttpResponse:
    """One carcass; ``table`` in the address tries another published table."""
    user, workshop, animal = found(request, slug, animal_id)
    return _page(request, user, workshop, animal)


@require_POST
@plan
def plan_cuts(request: HttpRequest, slug: str, animal_id: int) -> HttpResponse:
    """Keep what each part becomes."""
    user, workshop, animal = found(request, slug, animal_id)
    tried = TableForm(request.POST).table_tried()
    sheet = break_down.sheet_of(animal, table=tried)
    table = tried or CutTableName.FARM_CUTS
    form = CutPlanForm(request.POST, workshop=workshop, sheet=sheet, table=table)
    if not form.is_valid():
        return _page(request, user, workshop, animal, plan_form=form)
    hanging.plan_cuts(animal, table, form.becomes(), note=form.cleaned_data["note"])
    messages.success(request, f"The cut plan of {animal} is kept.")
    return redirect("break-down-hog", slug, animal_id)


@require_POST
@note
def weigh_carcass(request: HttpRequest, slug: str, animal_id: int) -> HttpResponse:
    """A whole or a side."""
    return _weigh(request, slug, animal_id, CarcassForm, "carcass")


@require_POST
@note
def weigh_cut(request: HttpRequest, slug: str, animal_id: int) -> HttpResponse:
    """One piece."""
    return _weigh(request, slug, animal_id, CutForm, "cut")


@require_POST
@note
def weigh_aside(request: HttpRequest, slug: str, animal_id: int) -> HttpResponse:
    """What was set aside."""
    return _weigh(request, slug, animal_id, AsideForm, "aside")


@note
def correct(request: HttpRequest, slug: str, animal_id: int, weigh_in_id: int) -> HttpResponse:
    """What the scale really showed."""
    user, workshop, animal = found(request, slug, animal_id)
    row = access.weigh_in(animal, weigh_in_id)
    form = WeightCorrectionForm(
        request.POST or None, workshop=workshop, now=timezone.now(), initial={"kg": row.kg}
    )
    if form.is_valid() and form.written(
        lambda: recording.correct_weight(row, form.cleaned_data["kg"], form.act(user))
    ):
        messages.success(request, "Corrected; the old number stays in the record.")
        return redirect("break-down-hog", slug, animal_id)
    page = {
        "form": form,
        "row": row,
        "title": f"{animal}, {row.get_stage_display()}: {row.part_words}",
    }
    return correction_page(request, workshop, "break-down-hog", "weigh-take-back", animal_id, page)


@require_POST
@note
def take_back(request: HttpRequest, slug: str, animal_id: int, weigh_in_id: int) -> HttpResponse:
    """That weight was a mistake."""
    user, workshop, animal = found(request, slug, animal_id)
    row = access.weigh_in(animal, weigh_in_id)
    form = PressForm(request.POST, workshop=workshop, now=timezone.now())
    if form.is_valid() and form.written(lambda: recording.take_back_weight(row, form.act(user))):
        messages.success(request, "Taken back; it stays in the record and counts for nothing.")
    else:
        told_why(request, form)
    return redirect("break-down-hog", slug, animal_id)


def _weigh(
    request: HttpRequest, slug: str, animal_id: int, kind: type[Scale], name: str
) -> HttpResponse:
    user, workshop, animal = found(request, slug, animal_id)
    form = kind(request.POST, workshop=workshop, now=timezone.now(), auto_id=f"{name}-%s")
    if form.is_valid() and form.written(
        lambda: recording.weigh(animal, form.weight(), form.act(user))
    ):
        messages.success(request, "Written down.")
        return redirect("break-down-hog", slug, animal_id)
    return _page(request, user, workshop, animal, scales={name: form})


def _page(
    request: HttpRequest,
    user: User,
    workshop: Workshop,
    animal: Animal,
    *,
    plan_form: CutPlanForm | None = None,
    scales: dict[str, Any] | None = None,
) -> HttpResponse:
    # Any: a form of whichever kind came back.
    tried = TableForm(request.GET or request.POST).table_tried()
    sheet, now = break_down.sheet_of(animal, table=tried), timezone.now()
    kept = sheet.plan.table if sheet.plan else CutTableName.FARM_CUTS
    table = tried or CutTableName(kept)
    may_plan = user.has_perm(access.PLAN_AFTER)
    if plan_form is None and may_plan:
        plan_form = CutPlanForm(None, workshop=workshop, sheet=sheet, table=table)
    blank = {
        name: kind(None, workshop=workshop, now=now, auto_id=f"{name}-%s")
        for name, kind in (("carcass", CarcassForm), ("cut", CutForm), ("aside", AsideForm))
    }
    context = frame(
        request,
        workshop,
        animal=animal,
        sheet=sheet,
        rows=list(animal.weigh_ins.all()),
        table=table,
        tables=CutTableName.choices,
        plan_form=plan_form,
        scales=blank | (scales or {}),
        opened=dict.fromkeys(scales or {}, True),
    )
    status = 422 if scales or (plan_form is not None and plan_form.errors) else 200
    return render(request, "stations/break_down.html", context, status=status)
