"""The course itself: its texts, price and waiver; and the menu."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from workshops import access
from workshops.forms.course import CourseForm, MealForm
from workshops.navigation import frame


@access.staff_page(access.CHANGE_WORKSHOP)
def course(request: HttpRequest, slug: str) -> HttpResponse:
    """What strangers read, what a seat costs, and what the sheets name."""
    workshop = access.workshop(access.signed_in(request), slug)
    form = CourseForm(request.POST or None, workshop=workshop)
    if form.is_valid():
        form.write()
        messages.success(request, "The course is saved.")
        return redirect("course", slug)
    return render(request, "workshops/course.html", frame(request, workshop, form=form))


@access.staff_page(access.CHANGE_WORKSHOP)
def menu(request: HttpRequest, slug: str) -> HttpResponse:
    """Each day's dishes, and one more."""
    workshop = access.workshop(access.signed_in(request), slug)
    form = MealForm(request.POST or None, workshop=workshop)
    if form.is_valid():
        form.save()
        messages.success(request, f"{form.instance} is on the menu.")
        return redirect("menu", slug)
    days = workshop.days.prefetch_related("meals")
    return render(request, "workshops/menu.html", frame(request, workshop, form=form, days=days))


@require_POST
@access.staff_page(access.CHANGE_WORKSHOP)
def remove_meal(request: HttpRequest, slug: str, meal_id: int) -> HttpResponse:
    """A dish is taken off the menu."""
    workshop = access.workshop(access.signed_in(request), slug)
    access.meal(workshop, meal_id).delete()
    messages.success(request, "Taken off the menu.")
    return redirect("menu", slug)
