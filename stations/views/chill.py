"""The chill: every carcass, one of them, a reading, a correction, and a night that is tried."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from stations import access, chill_sheet, hanging, nights, recording
from stations.forms.chill import ChillReadingForm, HangForm, NightForm
from stations.forms.record import PressForm, ProbeForm
from stations.models import ChillReading, ProbedPart
from stations.refusals import refused
from stations.trade.errors import OutOfRange
from workshops import access as people_access
from workshops.models import Animal, User, Workshop
from workshops.navigation import frame

see = people_access.staff_page(access.SEE_AFTER)
note = people_access.staff_page(access.NOTE_AFTER)
plan = people_access.staff_page(access.PLAN_AFTER)


def found(request: HttpRequest, slug: str, animal_id: int) -> tuple[User, Workshop, Animal]:
    """Who asks, of which workshop and which carcass, or 404."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    return user, workshop, access.carcass(user, workshop, animal_id)


@require_safe
@see
def chill(request: HttpRequest, slug: str) -> HttpResponse:
    """Every carcass with its state, the worst first to be seen."""
    user, now = people_access.signed_in(request), timezone.now()
    workshop = people_access.workshop(user, slug)
    rows = [chill_sheet.sheet_of(each, now=now) for each in access.carcasses(user, workshop)]
    return render(request, "stations/chill.html", frame(request, workshop, rows=rows))


@require_safe
@see
def chill_hog(request: HttpRequest, slug: str, animal_id: int) -> HttpResponse:
    """One carcass: curve, readings, rules."""
    return _hog_page(request, *found(request, slug, animal_id))


@require_POST
@plan
def hang(request: HttpRequest, slug: str, animal_id: int) -> HttpResponse:
    """Keep when and how it hangs."""
    user, workshop, animal = found(request, slug, animal_id)
    form = _hang_form(request.POST, animal)
    if not form.is_valid():
        return _hog_page(request, user, workshop, animal, hang_form=form)
    hanging.hang(animal, form.hanging())
    messages.success(request, f"How {animal} hangs is kept.")
    return redirect("chill-hog", slug, animal_id)


@require_POST
@note
def read(request: HttpRequest, slug: str, animal_id: int) -> HttpResponse:
    """Write a reading down; its verdict stands at the top of the page that follows."""
    user, workshop, animal = found(request, slug, animal_id)
    form = _reading_form(request.POST, workshop, now=timezone.now())
    if form.is_valid() and form.written(
        lambda: recording.read_chill(
            animal, form.shown(), form.act(user), part=ProbedPart(form.cleaned_data["part"])
        )
    ):
        messages.success(request, "Written down.")
        return redirect("chill-hog", slug, animal_id)
    return _hog_page(request, user, workshop, animal, reading=form)


@note
def correct(request: HttpRequest, slug: str, animal_id: int, reading_id: int) -> HttpResponse:
    """What the probe really showed; the old row stays beside the new."""
    user, workshop, animal = found(request, slug, animal_id)
    row = access.chill_reading(animal, reading_id)
    form = _correction(request, workshop, row)
    if form.is_valid() and form.written(
        lambda: recording.correct_chill(row, form.shown(), form.act(user))
    ):
        messages.success(request, "Corrected; the old number stays in the record.")
        return redirect("chill-hog", slug, animal_id)
    page = {"form": form, "row": row, "title": f"{animal}, {row.get_part_display()}"}
    return correction_page(request, workshop, "chill-hog", "chill-take-back", animal_id, page)


@require_POST
@note
def take_back(request: HttpRequest, slug: str, animal_id: int, reading_id: int) -> HttpResponse:
    """That reading was a mistake."""
    user, workshop, animal = found(request, slug, animal_id)
    row = access.chill_reading(animal, reading_id)
    form = PressForm(request.POST, workshop=workshop, now=timezone.now())
    if form.is_valid() and form.written(lambda: recording.take_back_chill(row, form.act(user))):
        messages.success(request, "Taken back; it stays in the record and counts for nothing.")
    else:
        told_why(request, form)
    return redirect("chill-hog", slug, animal_id)


@require_safe
@see
def night(request: HttpRequest, slug: str) -> HttpResponse:
    """Hang it tonight? What is in the address is tried; nothing is written."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    form = NightForm(request.GET or None, workshop=workshop, initial=_night_boxes(user, workshop))
    answer = None
    if form.is_bound and form.is_valid():
        try:
            answer = nights.ask(form.night(), workshop.units)
        except OutOfRange as refusal:
            form.add_error(None, str(refused(refusal, workshop.units)))
    status = 422 if form.is_bound and form.errors else 200
    page = frame(request, workshop, form=form, answer=answer)
    return render(request, "stations/chill_night.html", page, status=status)


# --- what the pages share ------------------------------------------------------------------------
def told_why(request: HttpRequest, form: PressForm) -> None:
    """What a press was refused for, on the page that follows."""
    said = [sentence for sentences in form.errors.values() for sentence in sentences]
    messages.error(request, " ".join(map(str, said)))


def correction_page(
    request: HttpRequest,
    workshop: Workshop,
    back: str,
    take_back: str,
    subject_id: int,
    page: dict[str, Any],
) -> HttpResponse:
    """The page of one row to be corrected. Any: a form and a row of whichever log it is."""
    row, form = page["row"], page["form"]
    context = frame(
        request,
        workshop,
        back=back,
        take_back=take_back,
        subject_id=subject_id,
        press=PressForm(None, workshop=workshop, now=timezone.now(), auto_id="back-%s"),
        **page,
    )
    status = 422 if form.is_bound and form.errors else 200
    return render(request, "stations/correct.html", context | {"row": row}, status=status)


def _hog_page(
    request: HttpRequest,
    user: User,
    workshop: Workshop,
    animal: Animal,
    *,
    hang_form: HangForm | None = None,
    reading: ChillReadingForm | None = None,
) -> HttpResponse:
    now = timezone.now()
    sheet = chill_sheet.sheet_of(animal, now=now)
    may_plan = user.has_perm(access.PLAN_AFTER)
    context = frame(
        request,
        workshop,
        animal=animal,
        sheet=sheet,
        hang_form=hang_form or (_hang_form(None, animal) if may_plan else None),
        reading=reading or _reading_form(None, workshop, now=now),
        may_plan=may_plan,
    )
    status = 422 if hang_form or reading else 200
    return render(request, "stations/chill_hog.html", context, status=status)


def _hang_form(data: Any, animal: Animal) -> HangForm:
    # Any: a QueryDict, or None.
    kept = getattr(animal, "chill_plan", None)
    in_water = None if kept else access.dips_of(animal).first()
    killed_at = in_water.water_in_at if in_water else None
    return HangForm(data, workshop=animal.workshop, plan=kept, killed_at=killed_at)


def _reading_form(data: Any, workshop: Workshop, *, now: datetime) -> ChillReadingForm:
    # Any: as above.
    known = list(access.thermometers(workshop))
    return ChillReadingForm(data, workshop=workshop, now=now, thermometers=known)


def _correction(request: HttpRequest, workshop: Workshop, row: ChillReading) -> ProbeForm:
    initial = {"read_c": row.read_c, "thermometer": row.thermometer_id}
    form = ProbeForm(
        request.POST or None,
        workshop=workshop,
        now=timezone.now(),
        thermometers=list(access.thermometers(workshop)),
        initial=initial,
    )
    del form.fields["when"]
    return form


def _night_boxes(user: User, workshop: Workshop) -> dict[str, object]:
    """The heaviest carcass, hung at four, in a night like the one last typed, if any was."""
    hogs = list(access.carcasses(user, workshop))
    boxes: dict[str, object] = {"method": "still_air", "delay_h": 2}
    weights = [each.carcass_kg for each in hogs if each.carcass_kg]
    if weights:
        boxes["carcass_kg"] = max(weights)
    plans = [each.chill_plan for each in hogs if hasattr(each, "chill_plan")]
    if plans:
        hung = plans[-1].hung_at.astimezone(workshop.zone)
        boxes |= {"hung_clock": hung.time()} | NightForm.initial_air(plans[-1].air, hung)
    return boxes
