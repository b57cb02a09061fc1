"""Shares: wishes, each hog's division worked out, explained, posted, handed over."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from scheduling import access, dividing, shares_page
from scheduling.dividing import NoDivisionError
from scheduling.wishes_form import WishesForm
from workshops import access as people_access
from workshops import jobs
from workshops.navigation import frame
from workshops.views.seat import private

planner_page = people_access.staff_page(people_access.PLAN_DAYS)


@require_safe
@planner_page
def shares(request: HttpRequest, slug: str) -> HttpResponse:
    """Every hog with its draft and what is posted."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    hogs = list(people_access.animals(user, workshop))
    rows = shares_page.hog_shares(workshop, hogs)
    return render(request, "scheduling/shares.html", frame(request, workshop, rows=rows))


@require_POST
@planner_page
def divide(request: HttpRequest, slug: str, animal_id: int) -> HttpResponse:
    """Ask for a division; it is worked out in the background."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    animal = people_access.animal(user, workshop, animal_id)
    jobs.submit(
        "scheduling.tasks.divide_shares",
        workshop=workshop,
        title=f"Dividing {animal}",
        key=shares_page.shares_key(animal),
        arguments={"animal": animal.pk},
        by=user,
    )
    return redirect("shares", slug)


@require_POST
@planner_page
def post(request: HttpRequest, slug: str, division_id: int) -> HttpResponse:
    """The owners see it from now on."""
    user = people_access.signed_in(request)
    division = access.division(people_access.workshop(user, slug), division_id)
    try:
        dividing.post(division, by=user, now=timezone.now())
        messages.success(request, f"{division.animal}: posted. Each owner sees their own part.")
    except NoDivisionError as refusal:
        messages.error(request, str(refusal))
    return redirect("shares", slug)


@require_POST
@planner_page
def hand_over(request: HttpRequest, slug: str, division_id: int, key: str) -> HttpResponse:
    """An owner has taken their pile."""
    user = people_access.signed_in(request)
    division = access.division(people_access.workshop(user, slug), division_id)
    try:
        count = dividing.hand_over(division, key)
        messages.success(request, f"{count} packages handed over.")
    except NoDivisionError as refusal:
        messages.error(request, str(refusal))
    return redirect("shares", slug)


@require_POST
@planner_page
def hand_back(request: HttpRequest, slug: str, division_id: int, key: str) -> HttpResponse:
    """The hand-over was a mistake."""
    user = people_access.signed_in(request)
    division = access.division(people_access.workshop(user, slug), division_id)
    try:
        count = dividing.hand_back(division, key)
        messages.success(request, f"{count} packages are in the cooler again.")
    except NoDivisionError as refusal:
        messages.error(request, str(refusal))
    return redirect("shares", slug)


@planner_page
def wishes(request: HttpRequest, slug: str) -> HttpResponse:
    """How much each kind is worth to each owner."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    hogs = people_access.animals(user, workshop)
    form = WishesForm(request.POST or None, workshop=workshop, hogs=hogs)
    if form.is_valid():
        dividing.keep_wishes(workshop, form.typed())
        messages.success(request, "The wishes are saved. Divide again to follow them.")
        return redirect("shares", slug)
    status = 422 if form.is_bound else 200
    context = frame(request, workshop, form=form)
    return render(request, "scheduling/kind_wishes.html", context, status=status)


@require_safe
def card_share(request: HttpRequest, word: str) -> HttpResponse:
    """One household's own part, by private link."""
    link = people_access.card_link(word, now=timezone.now())
    workshop, household = link.enrolment.workshop, link.enrolment.attendee.household
    piles = shares_page.piles_of(household, workshop)
    page = {"link": link, "workshop": workshop, "household": household, "piles": piles}
    return private(render(request, "scheduling/card_share.html", page))
