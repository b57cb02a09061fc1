"""The day as a chart and a table, and the acts that make and post it."""

from __future__ import annotations

from collections.abc import Mapping

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from scheduling import access, alarming, asked, charting, day_page, posting
from scheduling.drafting import DraftMovedError
from scheduling.live_page import live
from scheduling.timing_forms import MarkForm, TimeForm
from workshops import access as people_access
from workshops import jobs
from workshops.models import Day, Topic
from workshops.navigation import nav

TOPICS = (Topic.PLAN, Topic.CLOCK, Topic.ALARM, Topic.SWAP)
VIEW_SHEET = "scheduling.view_runsheet"


@require_safe
@people_access.staff_page(VIEW_SHEET)
def run_sheet(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """The draft for those who plan, else what is posted."""
    day = access.day_by_number(people_access.signed_in(request), slug, number)
    return page(request, day, number)


def page(
    request: HttpRequest,
    day: Day,
    number: int,
    *,
    came_back: Mapping[str, TimeForm | MarkForm] | None = None,
) -> HttpResponse:
    """The page; with a form that came back, 422 and what was typed."""
    user = people_access.signed_in(request)
    rows = charting.Rows.HOG if request.GET.get("by") == "hog" else charting.Rows.STATION
    now = timezone.now()
    listening = live(day.workshop, TOPICS, now=now)
    draft, posted = access.draft(user, day), access.posted(day)
    made = day_page.day_page(
        day, draft=draft, posted=posted, rows=rows, now=now, came_back=came_back
    )
    keys = [planning_key(day.workshop_id), replanning_key(day)]
    context = {
        "nav": nav(request, day.workshop, day_number=number),
        "day": day,
        "number": number,
        "days": list(enumerate(day.workshop.days.all(), start=1)),
        "page": made,
        "rows": rows,
        "jobs": access.live_jobs(day.workshop, keys),
        "may_plan": user.has_perm(people_access.PLAN_DAYS),
        "may_post": user.has_perm(people_access.POST_PLAN),
        "live": listening,
        "alarms": alarming.ringing(alarming.live_day(day.workshop, now=now, sheet=posted)),
        "seen_url": reverse("alarm-seen", args=[day.workshop.slug]),
        "may_mark": user.has_perm("scheduling.add_actual"),
    }
    if context["may_post"]:
        context["requests"] = asked.for_lead(day, posted, now=now)
    status = 422 if came_back else 200
    return render(request, "scheduling/run_sheet.html", context, status=status)


def replanning_key(day: Day) -> str:
    """One re-plan a day at a time."""
    return f"replan:{day.pk}"


def planning_key(workshop_id: int) -> str:
    """One planning job a workshop at a time."""
    return f"plan:{workshop_id}"


@require_POST
@people_access.staff_page(people_access.PLAN_DAYS)
def plan_course(request: HttpRequest, slug: str) -> HttpResponse:
    """Ask for the whole course to be planned again, as drafts."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    jobs.submit(
        "scheduling.tasks.plan_course",
        workshop=workshop,
        title="Planning the course",
        key=planning_key(workshop.pk),
        by=user,
    )
    return redirect("run-sheet", slug, 1)


@require_POST
@people_access.staff_page(people_access.POST_PLAN)
def post_day(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Make the draft what everyone sees, or say which rule it breaks."""
    user = people_access.signed_in(request)
    day = access.day_by_number(user, slug, number)
    draft = access.draft(user, day)
    if draft is None:
        messages.info(request, "There is no draft to post; what is posted stands.")
        return redirect("morning", slug, number)
    try:
        made = posting.post(draft, by=user, now=timezone.now())
    except (posting.PostRefusedError, DraftMovedError) as refusal:
        messages.error(request, f"Not posted. {refusal}")
    else:
        count = len(made.difference)
        what = f"{count} changes" if count != 1 else "1 change"
        messages.success(request, f"Posted, with {what}. Everyone sees it now.")
    return redirect("morning", slug, number)
