"""Who may see and do what; the only way a view gets a row of this app.

Organizer: everything, every workshop. Lead: everything of their own workshops but money. Helper:
their own workshops, no health note, no money. Attendee: one card, by private link. A row that is
not theirs answers 404, so that nobody learns whether it exists.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec

from django.contrib.auth.decorators import login_required
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from workshops.models import CardLink, Day, Enrolment, EnrolmentStatus, Job, User, Workshop
from workshops.models.links import digest_of

# The permission that marks the organizer: whoever may add a workshop sees them all.
EVERY_WORKSHOP = "workshops.add_workshop"
SEE_HEALTH = "workshops.see_health"
SEE_MONEY = "workshops.see_money"
SEE_PEOPLE = "workshops.view_enrolment"
CHANGE_PEOPLE = "workshops.change_enrolment"
PLAN_DAYS = "workshops.plan_days"
POST_PLAN = "workshops.post_plan"

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponse]


def staff_page(permission: str) -> Callable[[View[P]], View[P]]:
    """A page for signed-in staff who hold ``permission``; others get 403, strangers sign in."""

    def wrap(view: View[P]) -> View[P]:
        @wraps(view)
        def guarded(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
            if not request.user.has_perm(permission):
                raise PermissionDenied
            return view(request, *args, **kwargs)

        return login_required(guarded)

    return wrap


def signed_in(request: HttpRequest) -> User:
    """The signed-in user, inside a page guarded by :func:`staff_page`."""
    if not isinstance(request.user, User):
        raise PermissionDenied
    return request.user


def workshops_for(user: User | AnonymousUser) -> QuerySet[Workshop]:
    """The workshops this person may open."""
    if not user.is_authenticated:
        return Workshop.objects.none()
    if user.has_perm(EVERY_WORKSHOP):
        return Workshop.objects.all()
    return Workshop.objects.filter(staff__user=user)


def workshop(user: User | AnonymousUser, slug: str) -> Workshop:
    """One workshop, or 404."""
    return get_object_or_404(workshops_for(user), slug=slug)


def day(user: User | AnonymousUser, day_id: int) -> Day:
    """One day with its workshop, or 404."""
    days = Day.objects.select_related("workshop")
    return get_object_or_404(days, pk=day_id, workshop__in=workshops_for(user))


def enrolments(user: User | AnonymousUser, of: Workshop) -> QuerySet[Enrolment]:
    """The seats of one workshop that this person may see."""
    seats = Enrolment.objects.for_workshop(of).filter(workshop__in=workshops_for(user))
    return seats.with_people()


def enrolment(user: User | AnonymousUser, of: Workshop, enrolment_id: int) -> Enrolment:
    """One seat, or 404."""
    return get_object_or_404(enrolments(user, of), pk=enrolment_id)


def job(user: User | AnonymousUser, job_id: str) -> Job:
    """One background job of a workshop this person may open, or 404."""
    return get_object_or_404(Job, pk=job_id, workshop__in=workshops_for(user))


def card_link(word: str) -> CardLink:
    """The live private link with this word, or 404: unknown, revoked and withdrawn look alike."""
    links = CardLink.objects.select_related("enrolment__attendee", "enrolment__workshop")
    return get_object_or_404(
        links,
        digest=digest_of(word),
        revoked_at__isnull=True,
        enrolment__status=EnrolmentStatus.CONFIRMED,
    )
