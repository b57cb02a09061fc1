"""The record: of a course, of each hog and person, the certificate, and the archive of it all."""

from __future__ import annotations

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from scheduling import access, course_record, hog_record, person_record, timed
from scheduling.archive_keeping import archive_key, path_of
from workshops import access as people_access
from workshops import jobs
from workshops.models import JobState
from workshops.navigation import frame
from workshops.views.seat import private

SEE_RECORD = "scheduling.view_logentry"
see = people_access.staff_page(SEE_RECORD)
plan = people_access.staff_page(people_access.PLAN_DAYS)
organize = people_access.staff_page(people_access.SEE_MONEY)


@require_safe
@see
def record(request: HttpRequest, slug: str) -> HttpResponse:
    """How the course went; the way to each hog's and person's record."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    may_archive = user.has_perm(people_access.SEE_MONEY)
    page = {
        "record": course_record.record_of(user, workshop),
        "may_plan": user.has_perm(people_access.PLAN_DAYS),
        "may_archive": may_archive,
        "job": access.newest_job(archive_key(workshop)) if may_archive else None,
    }
    return render(request, "scheduling/record.html", frame(request, workshop, **page))


@require_safe
@see
def hog(request: HttpRequest, slug: str, animal_id: int) -> HttpResponse:
    """Everything of one hog."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    animal = people_access.animal(user, workshop, animal_id)
    animal.workshop = workshop
    sees_health = user.has_perm(people_access.SEE_HEALTH)
    made = hog_record.record_of(user, animal, sees_health=sees_health, now=timezone.now())
    return render(request, "scheduling/record_hog.html", frame(request, workshop, record=made))


@require_safe
@see
def person(request: HttpRequest, slug: str, enrolment_id: int) -> HttpResponse:
    """What one attendee practised, and what was noted."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    seat = people_access.enrolment(user, workshop, enrolment_id)
    sees_health = user.has_perm(people_access.SEE_HEALTH)
    made = person_record.record_of(seat, sees_health=sees_health, now=timezone.now())
    return render(request, "scheduling/record_person.html", frame(request, workshop, record=made))


@require_safe
@see
def certificate(request: HttpRequest, slug: str, enrolment_id: int) -> HttpResponse:
    """One page to print and sign."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    seat = people_access.enrolment(user, workshop, enrolment_id)
    made = person_record.record_of(seat, sees_health=False, now=timezone.now())
    page = {
        "record": made,
        "back_url": reverse("record-person", args=[slug, enrolment_id]),
        "back_words": "Their record",
    }
    return render(request, "scheduling/certificate.html", frame(request, workshop, **page))


@require_POST
@plan
def keep_ranges(request: HttpRequest, slug: str) -> HttpResponse:
    """What was timed is what a clone of this course plans with."""
    workshop = people_access.workshop(request.user, slug)
    count = timed.keep_for_next(workshop, now=timezone.now())
    messages.success(request, f"A clone of this course plans {count} stages with these minutes.")
    return redirect("record", slug)


@require_POST
@plan
def drop_ranges(request: HttpRequest, slug: str) -> HttpResponse:
    """A clone plans as this course did."""
    timed.drop_for_next(people_access.workshop(request.user, slug))
    messages.success(request, "A clone of this course plans with the old minutes.")
    return redirect("record", slug)


@require_POST
@organize
def make_archive(request: HttpRequest, slug: str) -> HttpResponse:
    """Ask for the archive."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    jobs.submit(
        "scheduling.tasks.make_archive",
        workshop=workshop,
        title=f"Archive of {workshop}"[:120],
        key=archive_key(workshop),
        by=user,
    )
    return redirect("record", slug)


@require_safe
@organize
def archive(request: HttpRequest, job_id: str) -> HttpResponseBase:
    """The finished archive."""
    job = people_access.job(request.user, job_id)
    path = path_of(job.pk)
    if job.state != JobState.DONE or not path.is_file():
        raise Http404("That archive is not ready; ask for it again.")
    name = str(job.result.get("name", "course.zip"))
    return FileResponse(path.open("rb"), filename=name, as_attachment=True)


@require_safe
def card_record(request: HttpRequest, word: str) -> HttpResponse:
    """An attendee's own record, by private link."""
    return _by_card(request, word, "scheduling/card_record.html")


@require_safe
def card_certificate(request: HttpRequest, word: str) -> HttpResponse:
    """Their certificate, to print."""
    return _by_card(request, word, "scheduling/certificate.html")


def _by_card(request: HttpRequest, word: str, template: str) -> HttpResponse:
    now = timezone.now()
    link = people_access.card_link(word, now=now)
    page = {
        "link": link,
        "workshop": link.enrolment.workshop,
        "record": person_record.record_of(link.enrolment, sees_health=False, now=now),
        "back_url": reverse("card-record", args=[word]),
        "back_words": "What I practised",
    }
    return private(render(request, template, page))
