"""The way of a hog: stages with their minutes, the waits between, kit that is held, stations."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.contrib import messages
from django.forms import BaseModelForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from stations import access, twinning
from stations.forms.method import GapForm, KitHoldForm, NewGapForm, StageForm, StationForm
from workshops import access as people_access
from workshops.models import Workshop
from workshops.navigation import frame

if TYPE_CHECKING:
    # The class takes its model as a parameter in the stubs alone.
    Form = BaseModelForm[Any]
else:
    Form = BaseModelForm

lead_page = people_access.staff_page(people_access.PLAN_DAYS)
AGAIN = "It counts when the course is planned again."


def _course(request: HttpRequest, slug: str) -> Workshop:
    return people_access.workshop(people_access.signed_in(request), slug)


def _posted(request: HttpRequest) -> object:
    # A form with nothing ticked is posted empty, and is meant so.
    return request.POST if request.method == "POST" else None


def _one(
    request: HttpRequest, workshop: Workshop, form: Form, title: str, words: str = ""
) -> HttpResponse:
    """Show one form, or save what it holds and go back to the whole way."""
    if form.is_valid():
        form.save()
        messages.success(request, f"{title}: saved. {AGAIN}")
        return redirect("method", workshop.slug)
    context = frame(request, workshop, form=form, title=title, words=words)
    return render(
        request, "stations/method_form.html", context, status=422 if form.is_bound else 200
    )


def _off(request: HttpRequest, workshop: Workshop) -> HttpResponse:
    messages.success(request, f"Taken off. {AGAIN}")
    return redirect("method", workshop.slug)


@require_safe
@lead_page
def method(request: HttpRequest, slug: str) -> HttpResponse:
    """All of it, each line with its door."""
    workshop = _course(request, slug)
    return render(
        request, "stations/method.html", frame(request, workshop, way=access.way(workshop))
    )


@lead_page
def stage(request: HttpRequest, slug: str, stage_id: int) -> HttpResponse:
    """How long a stage lasts, when it may be and where else."""
    workshop = _course(request, slug)
    row = access.stage_of_way(workshop, stage_id)
    return _one(request, workshop, StageForm(_posted(request), stage=row), row.name)


@lead_page
def gap(request: HttpRequest, slug: str, gap_id: int) -> HttpResponse:
    """How long a hog waits between two stages."""
    workshop = _course(request, slug)
    row = access.gap_of_way(workshop, gap_id)
    return _one(request, workshop, GapForm(_posted(request), gap=row), str(row))


@lead_page
def add_gap(request: HttpRequest, slug: str) -> HttpResponse:
    """A wait where there was none."""
    workshop = _course(request, slug)
    form = NewGapForm(_posted(request), stages=access.stages_of_way(workshop))
    return _one(request, workshop, form, "A wait between two stages")


@require_POST
@lead_page
def remove_gap(request: HttpRequest, slug: str, gap_id: int) -> HttpResponse:
    """The two stages follow as they like."""
    workshop = _course(request, slug)
    access.gap_of_way(workshop, gap_id).delete()
    return _off(request, workshop)


@lead_page
def add_hold(request: HttpRequest, slug: str) -> HttpResponse:
    """A stage takes kit."""
    workshop = _course(request, slug)
    form = KitHoldForm(
        _posted(request),
        stages=access.stages_of_way(workshop),
        equipment=workshop.equipment.order_by("name"),
    )
    words = "How many there are stands on the equipment page."
    return _one(request, workshop, form, "Kit that a stage takes", words)


@require_POST
@lead_page
def remove_hold(request: HttpRequest, slug: str, hold_id: int) -> HttpResponse:
    """It does not."""
    workshop = _course(request, slug)
    access.kit_hold(workshop, hold_id).delete()
    return _off(request, workshop)


@lead_page
def station(request: HttpRequest, slug: str, station_id: int) -> HttpResponse:
    """What a station holds, and its track."""
    workshop = _course(request, slug)
    row = access.station_of_way(workshop, station_id)
    return _one(request, workshop, StationForm(_posted(request), station=row), row.name)


@require_POST
@lead_page
def twin(request: HttpRequest, slug: str, station_id: int) -> HttpResponse:
    """One more station like this one."""
    workshop = _course(request, slug)
    like = access.station_of_way(workshop, station_id)
    seen = request.POST.get("seen", "")
    try:
        made = twinning.twin(like, seen=int(seen) if seen.isdecimal() else 0)
    except twinning.TwinRefusedError as refusal:
        messages.error(request, str(refusal))
        return redirect("method", slug)
    messages.success(request, f"{made} is made, like {like.name.lower()}. {AGAIN}")
    return redirect("station-change", slug, made.pk)
