"""What a workshop still lacks before it can run, as sentences with the page that mends each.

Whether a plan is posted is the scheduling chapter's matter.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet
from django.urls import reverse

from workshops.models import (
    AnimalStatus,
    Day,
    Enrolment,
    EnrolmentStatus,
    Limit,
    StaffRole,
    Workshop,
)
from workshops.owning import plain

CHAIN_CREW = 4
# Lowering and lifting a hog is heavy, beside hot water, on foot, and for adults.
KEEPS_FROM_CHAINS = {
    Limit.NO_LIFTING,
    Limit.NO_HOT_WATER,
    Limit.SEATED_ONLY,
    Limit.UNDER_18,
}
WHOLE = Decimal(100)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lack:
    """One thing that is missing; ``url`` is where to mend it, if this app has a page for it."""

    sentence: str
    url: str = ""


def with_all_it_needs(workshops: QuerySet[Workshop]) -> QuerySet[Workshop]:
    """The workshops with every row that :func:`lacks` asks for, in a fixed number of queries."""
    return workshops.prefetch_related(
        "days",
        "staff",
        "animals__owners",
        "enrolments__attendee__household",
        "enrolments__limits",
    )


def confirmed(workshop: Workshop) -> list[Enrolment]:
    """Those who are coming. Uses prefetched ``enrolments``."""
    seats = workshop.enrolments.all()
    return [seat for seat in seats if seat.status == EnrolmentStatus.CONFIRMED]


def lacks(workshop: Workshop) -> list[Lack]:
    """Everything that is missing, the gravest first. Uses the prefetched rows."""
    return [
        *_staff_and_days(workshop),
        *_hogs(workshop),
        *_people(workshop),
        *_safety(workshop),
    ]


def _staff_and_days(workshop: Workshop) -> Iterator[Lack]:
    if not any(member.role == StaffRole.LEAD for member in workshop.staff.all()):
        yield Lack(sentence="Nobody leads this workshop; name a lead.")
    if not workshop.days.all():
        yield Lack(sentence="It has no day yet; add the first date.")


def _hogs(workshop: Workshop) -> Iterator[Lack]:
    hogs = list(workshop.animals.all())
    if not hogs:
        yield Lack(
            sentence="There is no hog yet; add one.", url=reverse("hog-add", args=[workshop.slug])
        )
    elif not any(AnimalStatus(hog.status).takes_part for hog in hogs):
        yield Lack(
            sentence=f"None of {len(hogs)} hogs is chosen; choose at least one.",
            url=reverse("hogs", args=[workshop.slug]),
        )
    for hog in hogs:
        url = reverse("hog", args=[workshop.slug, hog.pk])
        owned = sum((owner.percent for owner in hog.owners.all()), Decimal(0))
        if not owned:
            yield Lack(sentence=f"{hog} has no owner of record; write down who owns it.", url=url)
        elif owned != WHOLE:
            yield Lack(
                sentence=(
                    f"The shares in {hog} come to {plain(owned)} percent; they must come to 100."
                ),
                url=url,
            )


def _people(workshop: Workshop) -> Iterator[Lack]:
    seats = confirmed(workshop)
    if not seats:
        url = reverse("people", args=[workshop.slug])
        yield Lack(sentence="No seat is confirmed yet; add people.", url=url)
        return
    yield from _chains(workshop, seats)
    yield from _contacts(workshop, seats)


def _chains(workshop: Workshop, seats: list[Enrolment]) -> Iterator[Lack]:
    """The chain crew is four. Ages count from the first day, if there is one."""
    days = list(workshop.days.all())
    if not days:
        return
    able = [seat for seat in seats if not seat.limits_on(days[0].date) & KEEPS_FROM_CHAINS]
    if len(able) < CHAIN_CREW:
        yield Lack(
            sentence=(
                f"Limits leave {len(able)} of {len(seats)} people for the chains; lowering needs "
                f"{CHAIN_CREW}. Ask the staff to stand in, enrol another adult, or use a hoist."
            ),
            url=reverse("people", args=[workshop.slug]),
        )


def _contacts(workshop: Workshop, seats: list[Enrolment]) -> Iterator[Lack]:
    seen = set()
    for seat in seats:
        household = seat.attendee.household
        if household.pk in seen:
            continue
        seen.add(household.pk)
        if not (household.emergency_contact and household.emergency_phone):
            yield Lack(
                sentence=f"{household} has no emergency contact; add a name and a number.",
                url=reverse("person", args=[workshop.slug, seat.pk]),
            )


def _safety(workshop: Workshop) -> Iterator[Lack]:
    places = {
        "first-aid point": workshop.first_aid_point,
        "muster point": workshop.muster_point,
        "emergency number": workshop.emergency_number,
    }
    missing = [name for name, value in places.items() if not value]
    if missing:
        yield Lack(sentence=f"The sheets will name no {' and no '.join(missing)}; add it.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """One workshop as the home page shows it."""

    workshop: Workshop
    days: tuple[Day, ...]
    filled: int
    lacks: tuple[Lack, ...]


def summary(workshop: Workshop) -> Summary:
    """Dates, seats and what is missing. Uses the prefetched rows."""
    return Summary(
        workshop=workshop,
        days=tuple(workshop.days.all()),
        filled=len(confirmed(workshop)),
        lacks=tuple(lacks(workshop)),
    )
