"""The print room: a day's sheets as one PDF, or for the browser's own print."""

from __future__ import annotations

from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from scheduling import access, printing
from scheduling import sheets as sheets_of
from scheduling.phone_address import for_phones
from workshops import access as people_access
from workshops import jobs
from workshops.models import Day, JobState
from workshops.navigation import nav

planner_page = people_access.staff_page(people_access.PLAN_DAYS)


def printing_key(day: Day) -> str:
    """One print job a day at a time."""
    return f"print:{day.pk}"


@require_safe
@planner_page
def print_room(request: HttpRequest, slug: str) -> HttpResponse:
    """What can be printed for each day, and what was printed last."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    page = {
        "nav": nav(request, workshop),
        "workshop": workshop,
        "rows": access.print_rows(workshop),
        "can_make_pdf": printing.can_make_pdf(),
        "pdf_needs": printing.PDF_NEEDS,
    }
    return render(request, "scheduling/print_room.html", page)


@require_POST
@planner_page
def print_day(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Ask for the day's pack as PDF."""
    user = people_access.signed_in(request)
    day = access.day_by_number(user, slug, number)
    jobs.submit(
        "scheduling.tasks.print_pack",
        workshop=day.workshop,
        title=f"Printing {day}",
        key=printing_key(day),
        arguments={
            "day": day.pk,
            "number": number,
            "root": for_phones(request.build_absolute_uri("/")),
        },
        by=user,
    )
    return redirect("print-room", slug)


@require_safe
@planner_page
def sheets(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """The same pack as a page, for the browser's own print."""
    day = access.day_by_number(people_access.signed_in(request), slug, number)
    sheet = access.posted(day)
    if sheet is None:
        raise Http404("Nothing is posted for this day yet.")
    root = for_phones(request.build_absolute_uri("/"))
    return HttpResponse(printing.html(sheets_of.pack(sheet, number=number, root=root)))


@require_safe
@planner_page
def printed(request: HttpRequest, job_id: str) -> HttpResponseBase:
    """The finished PDF."""
    job = people_access.job(request.user, job_id)
    path = printing.path_of(job.pk)
    if job.state != JobState.DONE or not path.is_file():
        raise Http404("That print is not ready; ask for it again.")
    name = str(job.result.get("name", "gambrel.pdf"))
    return FileResponse(path.open("rb"), filename=name, content_type="application/pdf")
