"""The people of a workshop: the list, one person's page, and the private link."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from workshops import access, changes, letters, linking, roster
from workshops.forms.people import NewPersonForm, PersonForm
from workshops.models import LetterKind
from workshops.navigation import frame


@require_safe
@access.staff_page(access.SEE_PEOPLE)
def people(request: HttpRequest, slug: str) -> HttpResponse:
    """Everyone with a seat."""
    user = access.signed_in(request)
    workshop = access.workshop(user, slug)
    seats = access.enrolments(user, workshop)
    today = timezone.localdate(timezone=workshop.zone)
    context = frame(
        request,
        workshop,
        rows=roster.rows(workshop, seats, today=today),
        may_change=user.has_perm(access.CHANGE_PEOPLE),
    )
    return render(request, "workshops/people.html", context)


@access.staff_page(access.CHANGE_PEOPLE)
def person(request: HttpRequest, slug: str, enrolment_id: int) -> HttpResponse:
    """One person's page, read and changed."""
    user = access.signed_in(request)
    workshop = access.workshop(user, slug)
    seat = access.enrolment(user, workshop, enrolment_id)
    sees_health = user.has_perm(access.SEE_HEALTH)
    form = PersonForm(request.POST or None, workshop=workshop, seat=seat, sees_health=sees_health)
    if form.is_valid() and form.save(by=user):
        messages.success(request, f"{form.seat} is saved.")
        return redirect("people", slug)
    shown = {"link": access.link_of(user, seat), "changes": changes.lines(seat)}
    context = frame(request, workshop, form=form, seat=seat, **shown)
    return render(request, "workshops/person.html", context)


@access.staff_page(access.CHANGE_PEOPLE)
def add(request: HttpRequest, slug: str) -> HttpResponse:
    """A new person."""
    user = access.signed_in(request)
    workshop = access.workshop(user, slug)
    form = NewPersonForm(
        request.POST or None,
        workshop=workshop,
        households=access.households(user),
        sees_health=user.has_perm(access.SEE_HEALTH),
    )
    if form.is_valid() and form.save():
        messages.success(request, f"{form.seat} is added.")
        return redirect("people", slug)
    return render(request, "workshops/person_add.html", frame(request, workshop, form=form))


@require_POST
@access.staff_page(access.CHANGE_LINKS)
def renew_link(request: HttpRequest, slug: str, enrolment_id: int) -> HttpResponse:
    """A new private link; the old one stops working."""
    seat = access.enrolment(request.user, access.workshop(request.user, slug), enrolment_id)
    linking.renew(seat)
    messages.success(request, f"{seat} has a new card link. An older one no longer opens.")
    return redirect("person", slug, enrolment_id)


@require_POST
@access.staff_page(access.CHANGE_LINKS)
def revoke_link(request: HttpRequest, slug: str, enrolment_id: int) -> HttpResponse:
    """No private link any more."""
    seat = access.enrolment(request.user, access.workshop(request.user, slug), enrolment_id)
    linking.revoke(seat, now=timezone.now())
    messages.success(request, f"The card link of {seat} no longer opens.")
    return redirect("person", slug, enrolment_id)


@require_POST
@access.staff_page(access.CHANGE_LINKS)
def send_link(request: HttpRequest, slug: str, enrolment_id: int) -> HttpResponse:
    """The private link again, by letter."""
    user = access.signed_in(request)
    seat = access.enrolment(user, access.workshop(user, slug), enrolment_id)
    if letters.write(LetterKind.LINK, [seat], now=timezone.now(), by=user):
        messages.success(request, f"The link goes to {seat.attendee.household.email} shortly.")
    else:
        messages.error(request, f"{seat.attendee.household} has no e-mail address; add one.")
    return redirect("person", slug, enrolment_id)
