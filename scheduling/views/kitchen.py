"""The kitchen: who eats, what the hogs give, the menu, each batch, the shopping list."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from scheduling import access, kitchen_page, kitchen_steps, menus
from scheduling.kitchen_forms import JobsForm, PantryForm
from scheduling.kitchen_page import KitchenPage
from workshops import access as people_access
from workshops.models import Workshop
from workshops.navigation import frame

cook_page = people_access.staff_page(access.SEE_KITCHEN)
planner_page = people_access.staff_page(people_access.PLAN_DAYS)


def _workshop(request: HttpRequest, slug: str) -> Workshop:
    return people_access.workshop(people_access.signed_in(request), slug)


def _show(request: HttpRequest, page: KitchenPage) -> HttpResponse:
    """The page, 422 where something typed was refused."""
    context = frame(
        request,
        page.workshop,
        page=page,
        sees_health=request.user.has_perm(people_access.SEE_HEALTH),
        may_change=request.user.has_perm(people_access.PLAN_DAYS),
        cautions=kitchen_page.CAUTIONS,
    )
    status = 422 if page.is_refused else 200
    return render(request, "scheduling/kitchen.html", context, status=status)


@require_safe
@cook_page
def kitchen(request: HttpRequest, slug: str) -> HttpResponse:
    """The whole kitchen on one page."""
    return _show(request, kitchen_page.gather(_workshop(request, slug)))


@require_POST
@planner_page
def add(request: HttpRequest, slug: str) -> HttpResponse:
    """One more batch."""
    page = kitchen_page.gather(_workshop(request, slug), batch=request.POST)
    made = page.add_batch()
    if made is None:
        return _show(request, page)
    messages.success(request, f"{made} is written down.")
    return redirect("kitchen", slug)


@require_POST
@planner_page
def draft_menu(request: HttpRequest, slug: str) -> HttpResponse:
    """Dishes for every sitting ticked."""
    page = kitchen_page.gather(_workshop(request, slug), menu=request.POST)
    if not page.menu_form.is_valid():
        return _show(request, page)
    made = menus.draft_menu(page.menu_form.ats(), page.menu_form.recipes())
    messages.success(request, f"{len(made)} dishes are on the menu. Look whom they leave without.")
    return redirect("kitchen", slug)


@planner_page
def batch(request: HttpRequest, slug: str, batch_id: int) -> HttpResponse:
    """One batch: what to weigh, what to change for whom, and its jobs for the run sheet."""
    workshop = _workshop(request, slug)
    row = access.batch(workshop, batch_id)
    duties = kitchen_steps.duties_to_choose(workshop)
    steps = row.made.steps
    guesses = [kitchen_steps.likely_duty(step, duties) for step in steps]
    form = JobsForm(request.POST or None, steps=steps, duties=duties, guesses=guesses)
    if form.is_valid():
        number = kitchen_steps.number_of(row.day, workshop.days.all())
        kitchen_steps.put_on(row, number, form.chosen())
        messages.success(request, f"{row} is in the course. Plan the course to give it its time.")
        return redirect("kitchen-batch", slug, batch_id)
    shown = kitchen_page.batch_of(workshop, row)
    sees = request.user.has_perm(people_access.SEE_HEALTH)
    context = frame(request, workshop, shown=shown, form=form, sees_health=sees)
    status = 422 if form.is_bound else 200
    return render(request, "scheduling/kitchen_batch.html", context, status=status)


@require_POST
@planner_page
def remove(request: HttpRequest, slug: str, batch_id: int) -> HttpResponse:
    """A batch is not made after all."""
    menus.remove(access.batch(_workshop(request, slug), batch_id))
    messages.success(request, "Taken out.")
    return redirect("kitchen", slug)


@require_POST
@planner_page
def take_off(request: HttpRequest, slug: str, batch_id: int) -> HttpResponse:
    """A batch's jobs leave the course; the batch stays."""
    kitchen_steps.take_off(access.batch(_workshop(request, slug), batch_id))
    messages.success(request, "Its jobs are out of the course. Plan again to free their time.")
    return redirect("kitchen-batch", slug, batch_id)


@cook_page
def pantry(request: HttpRequest, slug: str) -> HttpResponse:
    """What to buy, and what is there; those who plan write it down."""
    workshop = _workshop(request, slug)
    page = kitchen_page.gather(workshop)
    may_change = request.user.has_perm(people_access.PLAN_DAYS)
    typed = request.POST if may_change and request.method == "POST" else None
    form = PantryForm(typed, foods=page.foods, store=page.store, units=workshop.units)
    if form.is_valid():
        menus.keep_pantry(workshop, form.typed())
        messages.success(request, "The store is saved; the list below is reckoned anew.")
        return redirect("pantry", slug)
    context = frame(request, workshop, page=page, form=form, may_change=may_change)
    status = 422 if form.is_bound else 200
    return render(request, "scheduling/pantry.html", context, status=status)
