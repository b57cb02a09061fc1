"""A background job's progress, asked for by the page each second."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from workshops import access as people_access


@require_safe
@people_access.staff_page(people_access.PLAN_DAYS)
def job(request: HttpRequest, job_id: str) -> HttpResponse:
    """The progress part; when the job is over the page around it is fetched anew."""
    row = people_access.job(request.user, job_id)
    response = render(request, "parts/job.html", {"job": row})
    if not row.is_running:
        response["HX-Refresh"] = "true"
    return response
