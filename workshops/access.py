"""Who may see and do what; the only way a view gets a row of this app.

Organizer: everything, every workshop. Lead: everything of their own workshops but money. Helper:
their own workshops, no health note, no money. Attendee: one card, by private link. A row that is
not theirs answers 404, so that nobody learns whether it exists.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import wraps
from typing import Concatenate, ParamSpec, cast

from django.contrib.auth.decorators import login_required
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied
from django.db.models import Q, QuerySet
from django.http import Http404, HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404

from workshops.models import (
    Animal,
    CardLink,
    Day,
    Enrolment,
    EnrolmentStatus,
    FeedLink,
    Household,
    Job,
    Meal,
    PeopleImport,
    User,
    Workshop,
)
from workshops.models.enrolment import EnrolmentQuerySet
from workshops.models.links import digest_of

# The permission that marks the organizer: whoever may add a workshop sees them all.
EVERY_WORKSHOP = "workshops.add_workshop"
SEE_HEALTH = "workshops.see_health"
SEE_MONEY = "workshops.see_money"
SEE_PEOPLE = "workshops.view_enrolment"
CHANGE_PEOPLE = "workshops.change_enrolment"
CHANGE_LINKS = "workshops.change_cardlink"
SEE_ANIMALS = "workshops.view_animal"
CHANGE_ANIMALS = "workshops.change_animal"
SEE_WORKSHOP = "workshops.view_workshop"
CHANGE_WORKSHOP = "workshops.change_workshop"
PLAN_DAYS = "workshops.plan_days"
POST_PLAN = "workshops.post_plan"

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponseBase]


def staff_page(permission: str) -> Callable[[View[P]], View[P]]:
    """A page for signed-in staff who hold ``permission``; others get 403, strangers sign in."""

    def wrap(view: View[P]) -> View[P]:
        @wraps(view)
        def guarded(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
            if not request.user.has_perm(permission):
                raise PermissionDenied
            return view(request, *args, **kwargs)

        # wraps() hides the request argument from the type checker.
        return cast("View[P]", login_required(guarded))

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


def enrolments(user: User | AnonymousUser, of: Workshop) -> EnrolmentQuerySet:
    """The seats of one workshop that this person may see."""
    seats = Enrolment.objects.for_workshop(of).filter(workshop__in=workshops_for(user))
    return seats.with_answers()


def enrolment(user: User | AnonymousUser, of: Workshop, enrolment_id: int) -> Enrolment:
    """One seat, or 404."""
    return get_object_or_404(enrolments(user, of), pk=enrolment_id)


def job(user: User | AnonymousUser, job_id: str) -> Job:
    """One background job of a workshop this person may open, or 404."""
    return get_object_or_404(Job, pk=job_id, workshop__in=workshops_for(user))


def private_link(word: str, *, now: datetime) -> CardLink:
    """The private link with this word, or 404: unknown, revoked and run out look alike.

    Links run out some days after the course. Costs two queries with the days.
    """
    links = CardLink.objects.select_related(
        "enrolment__attendee__household", "enrolment__workshop"
    ).prefetch_related("enrolment__workshop__days")
    link = get_object_or_404(links, digest=digest_of(word), revoked_at__isnull=True)
    ends = link.enrolment.workshop.links_end_at()
    if ends is not None and now >= ends:
        raise Http404
    return link


def card_link(word: str, *, now: datetime) -> CardLink:
    """The private link of someone who is coming, or 404."""
    link = private_link(word, now=now)
    if link.enrolment.status != EnrolmentStatus.CONFIRMED:
        raise Http404
    return link


def feed(word: str, *, now: datetime) -> FeedLink:
    """The calendar feed with this word, or 404; it runs out with the course's links."""
    feeds = FeedLink.objects.select_related("staff__workshop").prefetch_related(
        "staff__workshop__days"
    )
    found = get_object_or_404(feeds, digest=digest_of(word), revoked_at__isnull=True)
    ends = found.staff.workshop.links_end_at()
    if ends is not None and now >= ends:
        raise Http404
    return found


def open_workshop(slug: str) -> Workshop:
    """A workshop that takes sign-ups, for anyone, or 404."""
    workshops = Workshop.objects.prefetch_related("days", "waiver_texts")
    return get_object_or_404(workshops, slug=slug, takes_sign_ups=True)


def household_seats(link: CardLink) -> EnrolmentQuerySet:
    """The seats of the link's own household in the link's own workshop, and no others."""
    seats = Enrolment.objects.for_workshop(link.enrolment.workshop)
    return (
        seats.filter(attendee__household=link.enrolment.attendee.household)
        .with_answers()
        .select_related("workshop")
        .order_by("pk")
    )


def households(user: User | AnonymousUser) -> QuerySet[Household]:
    """The households with a seat in, or a share of a hog of, a workshop this person may open."""
    seen = workshops_for(user)
    return Household.objects.filter(
        Q(attendees__enrolments__workshop__in=seen) | Q(animals__animal__workshop__in=seen)
    ).distinct()


def household(user: User | AnonymousUser, of: Workshop, household_id: int) -> Household:
    """A household with a seat, an amount or a share of a hog in this workshop, or 404."""
    theirs = (
        Q(attendees__enrolments__workshop=of)
        | Q(ledger__workshop=of)
        | Q(animals__animal__workshop=of)
    )
    seen = Household.objects.filter(theirs).distinct()
    if not workshops_for(user).filter(pk=of.pk).exists():
        seen = seen.none()
    return get_object_or_404(seen, pk=household_id)


def animals(user: User | AnonymousUser, of: Workshop) -> QuerySet[Animal]:
    """The hogs of one workshop with owners of record and treatments: four queries in all."""
    hogs = Animal.objects.filter(workshop=of, workshop__in=workshops_for(user))
    return hogs.prefetch_related("owners__household", "treatments")


def animal(user: User | AnonymousUser, of: Workshop, animal_id: int) -> Animal:
    """One hog, or 404."""
    return get_object_or_404(animals(user, of), pk=animal_id)


def link_of(user: User, seat: Enrolment) -> CardLink | None:
    """The live private link of a seat, for those who may hand it out."""
    if not user.has_perm(CHANGE_LINKS):
        return None
    return CardLink.objects.filter(enrolment=seat, revoked_at__isnull=True).first()


def meal(of: Workshop, meal_id: int) -> Meal:
    """One dish of a workshop that was opened, or 404."""
    return get_object_or_404(Meal, pk=meal_id, day__workshop=of)


def brought_in(of: Workshop, import_id: int) -> PeopleImport:
    """One list brought in to a workshop that was opened, or 404."""
    return get_object_or_404(PeopleImport, pk=import_id, workshop=of)
