"""The duty log: of a day, of a hog, of a person; writing, correcting, saving as CSV."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from scheduling import access, log_lines, logbook
from scheduling.live_page import live
from scheduling.log_forms import CorrectForm, LogForm
from scheduling.log_lines import Asked
from scheduling.logbook import LogRefusedError
from scheduling.models import LogKind
from stations.cautions import INJURY_CAUTIONS
from stations.dipping import Hand
from workshops import access as people_access
from workshops.models import Day, Topic
from workshops.navigation import frame, nav

TOPICS = (Topic.LOG, Topic.DIP, Topic.CLOCK, Topic.ALARM)
SEE_LOG = "scheduling.view_logentry"
WRITE_LOG = "scheduling.add_logentry"


@require_safe
@people_access.staff_page(SEE_LOG)
def day_log(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Everything of a day in one order, and a form to add to it."""
    user = people_access.signed_in(request)
    day = access.day_by_number(user, slug, number)
    form = LogForm(day=day, seats=access.confirmed(user, day))
    return _show_day(request, day, number, form)


@require_http_methods(["POST"])
@people_access.staff_page(WRITE_LOG)
def add(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """A note, a near miss or an injury."""
    user, now = people_access.signed_in(request), timezone.now()
    day = access.day_by_number(user, slug, number)
    form = LogForm(request.POST, day=day, seats=access.confirmed(user, day))
    if form.is_valid():
        press = form.cleaned_data["client_id"]
        try:
            entry = logbook.write(
                day.workshop, form.told(now=now), by=Hand(user=user), client_id=press, now=now
            )
        except LogRefusedError as refusal:
            form.add_error("at", str(refusal))
        else:
            messages.success(request, "Written down.")
            hurt = "?hurt=1" if entry.kind == LogKind.INJURY else ""
            return redirect(f"{day_url(day, number)}{hurt}")
    return _show_day(request, day, number, form, status=422)


def day_url(day: Day, number: int) -> str:
    """The address of a day's log."""
    return reverse("day-log", args=[day.workshop.slug, number])


def _show_day(
    request: HttpRequest, day: Day, number: int, form: LogForm, *, status: int = 200
) -> HttpResponse:
    listening = live(day.workshop, TOPICS, now=timezone.now())
    asked = Asked(workshop=day.workshop, day=day, sees_health=_sees_health(request))
    page = {
        "live": listening,
        "may_correct": request.user.has_perm(people_access.PLAN_DAYS),
        "nav": nav(request, day.workshop, day_number=number),
        "day": day,
        "days": list(enumerate(day.workshop.days.all(), start=1)),
        "number": number,
        "form": form,
        "may_write": request.user.has_perm(WRITE_LOG),
        "cautions": INJURY_CAUTIONS,
        "was_hurt": "hurt" in request.GET,
        "lines": list(reversed(log_lines.lines(asked))),
    }
    return render(request, "scheduling/day_log.html", page, status=status)


def _sees_health(request: HttpRequest) -> bool:
    return request.user.has_perm(people_access.SEE_HEALTH)


@require_safe
@people_access.staff_page(SEE_LOG)
def day_csv(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """The same as a file for a spreadsheet."""
    day = access.day_by_number(people_access.signed_in(request), slug, number)
    asked = Asked(workshop=day.workshop, day=day, sees_health=_sees_health(request))
    return _file(asked, f"log-{day.date}.csv")


@require_safe
@people_access.staff_page(SEE_LOG)
def course_csv(request: HttpRequest, slug: str) -> HttpResponse:
    """The whole course as a file."""
    workshop = people_access.workshop(request.user, slug)
    asked = Asked(workshop=workshop, sees_health=_sees_health(request))
    return _file(asked, f"log-{workshop.slug}.csv")


def _file(asked: Asked, name: str) -> HttpResponse:
    text = log_lines.as_csv(log_lines.lines(asked))
    answer = HttpResponse(text, content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


@require_safe
@people_access.staff_page(SEE_LOG)
def hog_log(request: HttpRequest, slug: str, hog_id: int) -> HttpResponse:
    """One hog's way through the days."""
    workshop = people_access.workshop(request.user, slug)
    hog = people_access.animal(request.user, workshop, hog_id)
    asked = Asked(workshop=workshop, hog=hog, sees_health=_sees_health(request))
    back = reverse("hogs", args=[slug])
    return _show_one(request, asked, title=str(hog), back_url=back, back_words="All hogs")


@require_safe
@people_access.staff_page(SEE_LOG)
def person_log(request: HttpRequest, slug: str, enrolment_id: int) -> HttpResponse:
    """What one person did and what befell them."""
    workshop = people_access.workshop(request.user, slug)
    seat = people_access.enrolment(request.user, workshop, enrolment_id)
    asked = Asked(workshop=workshop, seat=seat, sees_health=_sees_health(request))
    back = reverse("people", args=[slug])
    return _show_one(
        request, asked, title=str(seat.attendee), back_url=back, back_words="All people"
    )


def _show_one(request: HttpRequest, asked: Asked, **words: str) -> HttpResponse:
    page = frame(request, asked.workshop, lines=log_lines.lines(asked), **words)
    return render(request, "scheduling/one_log.html", page)


@require_http_methods(["GET", "HEAD", "POST"])
@people_access.staff_page(people_access.PLAN_DAYS)
def correct(request: HttpRequest, slug: str, entry_id: int) -> HttpResponse:
    """A new entry that says what an old one should have said."""
    user, now = people_access.signed_in(request), timezone.now()
    workshop = people_access.workshop(user, slug)
    entry = access.log_entry(workshop, entry_id)
    form = CorrectForm(request.POST or None, initial={"text": entry.text, "detail": entry.detail})
    if form.is_valid():
        typed = form.cleaned_data
        try:
            logbook.correct(
                entry,
                typed["text"],
                detail=typed["detail"] if entry.is_about_harm else "",
                by=Hand(user=user),
                client_id=typed["client_id"],
                now=now,
            )
        except LogRefusedError as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "Corrected. The old entry stays, struck through.")
            return redirect(access.log_url(entry))
    page = frame(request, workshop, entry=entry, form=form, back_url=access.log_url(entry))
    return render(
        request, "scheduling/correct_log.html", page, status=422 if form.is_bound else 200
    )
