"""What was posted when, who has heard, and the way back."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from scheduling import access, posting, telling
from workshops import access as people_access
from workshops.navigation import nav


@require_safe
@people_access.staff_page(people_access.PLAN_DAYS)
def history(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Every posting of one day, newest first."""
    day = access.day_by_number(people_access.signed_in(request), slug, number)
    page = {
        "nav": nav(request, day.workshop, day_number=number),
        "day": day,
        "number": number,
        "days": list(enumerate(day.workshop.days.all(), start=1)),
        "postings": list(access.history(day)),
        "may_post": request.user.has_perm(people_access.POST_PLAN),
    }
    return render(request, "scheduling/history.html", page)


@require_POST
@people_access.staff_page(people_access.POST_PLAN)
def post_again(request: HttpRequest, slug: str, number: int, version: int) -> HttpResponse:
    """Post an earlier version again, or say which rule it breaks today."""
    user = people_access.signed_in(request)
    day = access.day_by_number(user, slug, number)
    earlier = access.past_sheet(day, version)
    try:
        made = posting.post_again(earlier, by=user, now=timezone.now())
    except posting.PostRefusedError as refusal:
        messages.error(
            request, f"Version {version} was not posted again. {refusal} Change a draft instead."
        )
    else:
        said = f"Version {version} is posted again, as version {made.run_sheet.version}."
        messages.success(request, said)
    return redirect("morning", slug, number)


@require_POST
@people_access.staff_page(people_access.PLAN_DAYS)
def told(request: HttpRequest, slug: str, number: int, enrolment_id: int) -> HttpResponse:
    """The lead has told this person what changed."""
    user = people_access.signed_in(request)
    day = access.day_by_number(user, slug, number)
    seat = people_access.enrolment(user, day.workshop, enrolment_id)
    telling.tell(day, seat, by=user, now=timezone.now())
    return redirect("morning", slug, number)
