"""The lead's morning: who is here, what hurts, crews, locks, post."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from scheduling import (
    access,
    alarming,
    asked,
    choosing,
    comparing,
    drafting,
    lifting,
    light,
    overriding,
    placing,
    posting,
    telling,
)
from scheduling.forms import GivePlaceForm, MorningForm, morning_forms
from scheduling.live_page import live
from stations.outdoors import outdoors
from workshops import access as people_access
from workshops import jobs
from workshops.models import Day, Topic, User
from workshops.navigation import nav

TOPICS = (Topic.PLAN, Topic.MORNING, Topic.ALARM, Topic.SWAP)
lead_page = people_access.staff_page(people_access.PLAN_DAYS)


def placing_key(day: Day) -> str:
    """One placing job a day at a time."""
    return f"place:{day.pk}"


@require_safe
@lead_page
def morning(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Everything on one page, from the ticks to the posted plan."""
    user = people_access.signed_in(request)
    day = access.day_by_number(user, slug, number)
    rows = list(access.attendance(day))
    forms = morning_forms(None, access.confirmed(user, day), rows)
    return _show(request, day, number, forms)


def _show(
    request: HttpRequest, day: Day, number: int, forms: list[MorningForm], *, status: int = 200
) -> HttpResponse:
    now = timezone.now()
    page = {
        "nav": nav(request, day.workshop, day_number=number),
        "number": number,
        "live": live(day.workshop, TOPICS, now=now),
        "seen_url": reverse("alarm-seen", args=[day.workshop.slug]),
    }
    user, posted = people_access.signed_in(request), access.posted(day)
    page |= _page(user, day, forms)
    today = alarming.live_day(day.workshop, now=now, sheet=posted)
    if user.has_perm(people_access.POST_PLAN):
        page["requests"] = asked.for_lead(day, posted, now=now)
    page["alarms"] = alarming.ringing(today)
    return render(request, "scheduling/morning.html", page, status=status)


def _page(user: User, day: Day, forms: list[MorningForm]) -> dict[str, object]:
    draft, posted = access.draft(user, day), access.posted(day)
    found = comparing.changes(posted, draft) if draft else []
    return {
        "day": day,
        "days": list(enumerate(day.workshop.days.all(), start=1)),
        "forms": forms,
        "here": sum(form["turnout"].value() == "here" for form in forms),
        "draft": draft,
        "posted": posted,
        "sheet": draft or posted,
        "steps": comparing.marked_steps(posted, draft or posted, lifting.lifts_of(draft or posted)),
        "changes": found,
        "outdoors": outdoors(day.workshop),
        "light": light.day_light(day, ()),
        "to_tell": telling.to_tell(day),
        "before": posting.version_before(day),
        "job": access.live_job(day.workshop, placing_key(day)),
    }


def _keep(request: HttpRequest, user: User, day: Day) -> list[MorningForm]:
    """Write the ticks if every one is valid; return the forms that are not."""
    rows = list(access.attendance(day))
    forms = morning_forms(request.POST, access.confirmed(user, day), rows)
    wrong = [form for form in forms if not form.is_valid()]
    if not wrong:
        placing.write_attendance(day, {form.seat: form.morning() for form in forms})
        return []
    return forms


@require_POST
@lead_page
def keep_attendance(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Keep the ticks without placing anyone."""
    user = people_access.signed_in(request)
    day = access.day_by_number(user, slug, number)
    if wrong := _keep(request, user, day):
        return _show(request, day, number, wrong, status=422)
    messages.success(request, "Kept. Nobody's place has changed yet.")
    return redirect("morning", slug, number)


@require_POST
@lead_page
def place_crews(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Keep the ticks, then ask for the day's crews to be placed again."""
    user = people_access.signed_in(request)
    day = access.day_by_number(user, slug, number)
    if wrong := _keep(request, user, day):
        return _show(request, day, number, wrong, status=422)
    jobs.submit(
        "scheduling.tasks.place_crews",
        workshop=day.workshop,
        title="Placing crews",
        key=placing_key(day),
        arguments={"day": day.pk},
        by=user,
    )
    return redirect("morning", slug, number)


@require_POST
@lead_page
def start_draft(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Begin a draft from what is posted, to change places by hand."""
    user = people_access.signed_in(request)
    drafting.draft_for(access.day_by_number(user, slug, number), by=user)
    return redirect("morning", slug, number)


def _set_lock(
    request: HttpRequest, slug: str, number: int, placement_id: int, *, locked: bool
) -> HttpResponse:
    user = people_access.signed_in(request)
    day = access.day_by_number(user, slug, number)
    placement = access.draft_placement(user, day, placement_id)
    seat = placement.enrolment
    if locked and seat and overriding.question(placement, seat):
        return redirect("override-placement", slug, number, placement.pk, seat.pk)
    try:
        placing.set_lock(placement.step.run_sheet, placement, locked=locked)
    except drafting.DraftMovedError as refusal:
        messages.error(request, str(refusal))
    return redirect(f"{reverse('morning', args=[slug, number])}#step-{placement.step_id}")


@require_POST
@lead_page
def lock(request: HttpRequest, slug: str, number: int, placement_id: int) -> HttpResponse:
    """Keep this person at this place."""
    return _set_lock(request, slug, number, placement_id, locked=True)


@require_POST
@lead_page
def unlock(request: HttpRequest, slug: str, number: int, placement_id: int) -> HttpResponse:
    """Let the planner move this person again."""
    return _set_lock(request, slug, number, placement_id, locked=False)


@require_safe
@lead_page
def choose(request: HttpRequest, slug: str, number: int, placement_id: int) -> HttpResponse:
    """Who may take this place, and what speaks against the others."""
    user = people_access.signed_in(request)
    day = access.day_by_number(user, slug, number)
    placement = access.draft_placement(user, day, placement_id)
    page = {
        "nav": nav(request, day.workshop, day_number=number),
        "day": day,
        "number": number,
        "placement": placement,
        "choices": choosing.choices(access.draft_of(placement), placement),
    }
    return render(request, "scheduling/give.html", page)


@require_POST
@lead_page
def give(request: HttpRequest, slug: str, number: int, placement_id: int) -> HttpResponse:
    """Put someone else here and lock them."""
    user = people_access.signed_in(request)
    day = access.day_by_number(user, slug, number)
    placement = access.draft_placement(user, day, placement_id)
    form = GivePlaceForm(request.POST, seats=access.confirmed(user, day))
    if not form.is_valid():
        messages.error(request, "Choose who takes the place.")
        return redirect("morning", slug, number)
    seat = form.cleaned_data["seat"]
    if overriding.question(placement, seat):
        return redirect("override-placement", slug, number, placement.pk, seat.pk)
    try:
        placing.give_place(placement.step.run_sheet, placement, seat)
    except drafting.DraftMovedError as refusal:
        messages.error(request, str(refusal))
    return redirect("morning", slug, number)
