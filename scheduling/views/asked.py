"""What is asked of a day: when it should be over, breaks, people away, hours of stations."""

from __future__ import annotations

from django.contrib import messages
from django.forms import ModelForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from scheduling import access
from scheduling.asking_forms import AbsenceForm, BreakForm, HoursForm, WishForm, usual_break
from workshops import access as people_access
from workshops.models import Day
from workshops.navigation import nav

lead_page = people_access.staff_page(people_access.PLAN_DAYS)
AGAIN = "It counts when the course is planned again."


def _posted(request: HttpRequest) -> object:
    # A form with nothing ticked is posted empty, and is meant so.
    return request.POST if request.method == "POST" else None


def _show(
    request: HttpRequest, day: Day, number: int, template: str, **more: object
) -> HttpResponse:
    frame = {"nav": nav(request, day.workshop, day_number=number), "day": day, "number": number}
    form = more["form"]
    status = 422 if isinstance(form, ModelForm) and form.errors else 200
    return render(request, template, frame | more, status=status)


def _back(request: HttpRequest, slug: str, number: int, words: str) -> HttpResponse:
    messages.success(request, f"{words} {AGAIN}")
    return redirect("day-asked", slug, number)


@lead_page
def asked(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """The wish of the day, and the lists beside it."""
    day = access.day_by_number(people_access.signed_in(request), slug, number)
    form = WishForm(_posted(request), day=day)
    if form.is_valid():
        form.write()
        return _back(request, slug, number, "Saved.")
    return _show(
        request, day, number, "scheduling/day_asked.html", form=form, lists=access.asked(day),
        days=list(enumerate(day.workshop.days.all(), start=1)),
    )  # fmt: skip


@lead_page
def add_break(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """One more break."""
    day = access.day_by_number(people_access.signed_in(request), slug, number)
    form = BreakForm(_posted(request), pause=usual_break(day))
    return _one_break(request, day, number, form, "Add a break")


@lead_page
def change_break(request: HttpRequest, slug: str, number: int, break_id: int) -> HttpResponse:
    """When a break is, and from when to when it may move."""
    day = access.day_by_number(people_access.signed_in(request), slug, number)
    form = BreakForm(_posted(request), pause=access.one_break(day, break_id))
    return _one_break(request, day, number, form, "Change a break")


def _one_break(
    request: HttpRequest, day: Day, number: int, form: BreakForm, title: str
) -> HttpResponse:
    if form.is_valid():
        form.save()
        return _back(request, day.workshop.slug, number, f"{form.instance}: saved.")
    return _show(request, day, number, "scheduling/ask_one.html", form=form, title=title)


@require_POST
@lead_page
def remove_break(request: HttpRequest, slug: str, number: int, break_id: int) -> HttpResponse:
    """A break is taken off."""
    day = access.day_by_number(people_access.signed_in(request), slug, number)
    access.one_break(day, break_id).delete()
    return _back(request, slug, number, "Taken off.")


@lead_page
def add_absence(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Someone is away for part of the day."""
    day = access.day_by_number(people_access.signed_in(request), slug, number)
    form = AbsenceForm(_posted(request), day=day)
    if form.is_valid():
        form.save()
        return _back(request, slug, number, f"{form.instance}.")
    title = "Someone is away for a while"
    return _show(request, day, number, "scheduling/ask_one.html", form=form, title=title)


@require_POST
@lead_page
def remove_absence(request: HttpRequest, slug: str, number: int, absence_id: int) -> HttpResponse:
    """They stay after all."""
    day = access.day_by_number(people_access.signed_in(request), slug, number)
    access.absence(day, absence_id).delete()
    return _back(request, slug, number, "Taken off.")


@lead_page
def add_hours(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """A station is in use only in some hours."""
    day = access.day_by_number(people_access.signed_in(request), slug, number)
    form = HoursForm(_posted(request), day=day)
    if form.is_valid():
        form.save()
        return _back(request, slug, number, f"{form.instance}.")
    title = "Hours of a station"
    return _show(request, day, number, "scheduling/ask_one.html", form=form, title=title)


@require_POST
@lead_page
def remove_hours(request: HttpRequest, slug: str, number: int, hours_id: int) -> HttpResponse:
    """It is open all day again."""
    day = access.day_by_number(people_access.signed_in(request), slug, number)
    access.station_hours(day, hours_id).delete()
    return _back(request, slug, number, "Taken off.")
