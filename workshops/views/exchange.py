"""People in and out as tables, and calendar feeds."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from workshops import access, calendars, exchange, forgetting, linking, tables
from workshops.forms.bring_in import BringInForm
from workshops.navigation import frame
from workshops.views.seat import private

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def file_of(content: bytes, kind: str, name: str) -> HttpResponse:
    """A file to keep, not to show; no proxy keeps it."""
    response = HttpResponse(content, content_type=kind)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    response["Cache-Control"] = "private, no-store"
    return response


@access.staff_page(access.CHANGE_PEOPLE)
def bring_in(request: HttpRequest, slug: str) -> HttpResponse:
    """Choose a file; nothing is written until its rows were looked at."""
    user = access.signed_in(request)
    workshop = access.workshop(user, slug)
    form = BringInForm(request.POST or None, request.FILES or None)
    if form.is_valid():
        file = form.cleaned_data["file"]
        try:
            brought = exchange.take_in(
                workshop, file.name, file.read(), by=user, now=timezone.now()
            )
            return redirect("bring-in-rows", slug, brought.pk)
        except tables.UnreadableTable as refusal:
            form.add_error("file", str(refusal))
    context = frame(request, workshop, form=form, columns=exchange.COLUMNS)
    return render(request, "workshops/bring_in.html", context)


@require_safe
@access.staff_page(access.CHANGE_PEOPLE)
def rows(request: HttpRequest, slug: str, import_id: int) -> HttpResponse:
    """What each row would do, and what is wrong with it."""
    workshop = access.workshop(access.signed_in(request), slug)
    brought = access.brought_in(workshop, import_id)
    run = exchange.dry_run(brought)
    context = frame(request, workshop, brought=brought, run=run)
    return render(request, "workshops/bring_in_rows.html", context)


@require_POST
@access.staff_page(access.CHANGE_PEOPLE)
def apply(request: HttpRequest, slug: str, import_id: int) -> HttpResponse:
    """Write every row, or none."""
    workshop = access.workshop(access.signed_in(request), slug)
    brought = access.brought_in(workshop, import_id)
    try:
        written = exchange.apply(brought, now=timezone.now())
    except exchange.NotApplied as refusal:
        messages.error(request, str(refusal))
        return redirect("bring-in-rows", slug, import_id)
    messages.success(request, f"Brought in: {written} rows written.")
    return redirect("people", slug)


@require_POST
@access.staff_page(access.CHANGE_PEOPLE)
def drop(request: HttpRequest, slug: str, import_id: int) -> HttpResponse:
    """Bring nothing in."""
    workshop = access.workshop(access.signed_in(request), slug)
    exchange.drop(access.brought_in(workshop, import_id))
    messages.success(request, "Nothing was brought in, and the file is forgotten.")
    return redirect("bring-in", slug)


@require_safe
@access.staff_page(access.CHANGE_PEOPLE)
def people_csv(request: HttpRequest, slug: str) -> HttpResponse:
    """Everyone, as CSV."""
    user = access.signed_in(request)
    workshop = access.workshop(user, slug)
    seats = list(access.enrolments(user, workshop))
    table = exchange.people_table(workshop, seats, with_health=user.has_perm(access.SEE_HEALTH))
    return file_of(tables.to_csv(table), "text/csv; charset=utf-8", f"{slug}-people.csv")


@require_POST
@access.staff_page(access.CHANGE_PEOPLE)
def forget_person(request: HttpRequest, slug: str, enrolment_id: int) -> HttpResponse:
    """Delete a person's data on request."""
    user = access.signed_in(request)
    seat = access.enrolment(user, access.workshop(user, slug), enrolment_id)
    if request.POST.get("name", "").strip() != str(seat):
        messages.error(request, f"Nothing was deleted: write “{seat}” in the box, and press again.")
        return redirect("person", slug, enrolment_id)
    forgetting.forget(seat.attendee, now=timezone.now())
    messages.success(request, "Deleted. The seat is kept without a name, so that counts stand.")
    return redirect("people", slug)


@require_safe
def card_calendar(request: HttpRequest, word: str) -> HttpResponse:
    """An attendee's days, by private link."""
    now = timezone.now()
    link = access.private_link(word, now=now)
    content = calendars.of_attendee(link.enrolment, now=now)
    return private(file_of(content, "text/calendar; charset=utf-8", "course.ics"))


@require_safe
def staff_calendar(request: HttpRequest, word: str) -> HttpResponse:
    """The course's days, by a staff member's private feed."""
    now = timezone.now()
    feed = access.feed(word, now=now)
    content = calendars.of_workshop(feed.staff.workshop, now=now)
    return private(file_of(content, "text/calendar; charset=utf-8", "course.ics"))


@require_POST
@access.staff_page(access.SEE_WORKSHOP)
def renew_feed(request: HttpRequest, slug: str) -> HttpResponse:
    """A new feed for oneself; an older one ends."""
    user = access.signed_in(request)
    workshop = access.workshop(user, slug)
    member = workshop.staff.filter(user=user).first()
    if member is None:
        messages.error(request, "A feed is for those who are named on this course's staff.")
        return redirect("workshop", slug)
    feed = linking.renew_feed(member)
    address = request.build_absolute_uri(feed.path)
    messages.success(request, f"Your calendar's address, shown this once: {address}")
    return redirect("workshop", slug)
