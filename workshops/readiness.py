"""What a workshop still lacks before it can run, as sentences with the page that mends each.

What the higher chapters know is added there: the thermometers by ``stations.readiness``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet
from django.urls import reverse

from workshops import checking
from workshops.models import (
    AnimalStatus,
    Enrolment,
    EnrolmentStatus,
    Limit,
    StaffRole,
    WaiverText,
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
# More people than this with the same lack are told in one line.
MANY = 3
# Days and staff are edited in the back office, which only the organizer enters.
OFFICE = "/office/workshops/workshop/"


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
        "days__meals",
        "animals__owners",
        "animals__treatments",
        "enrolments__attendee__household",
        "enrolments__attendee__allergens",
        "enrolments__limits",
        "enrolments__waivers",
        "waiver_texts",
        "local_checks",
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
        *_withdrawals(workshop),
        *_local_check(workshop),
        *_people(workshop),
        *_menu(workshop),
        *_safety(workshop),
    ]


def _staff_and_days(workshop: Workshop) -> Iterator[Lack]:
    if not any(member.role == StaffRole.LEAD for member in workshop.staff.all()):
        yield Lack(sentence="Nobody leads this workshop; name a lead.", url=OFFICE)
    if not workshop.days.all():
        yield Lack(sentence="It has no day yet; add the first date.", url=OFFICE)


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


def _withdrawals(workshop: Workshop) -> Iterator[Lack]:
    """No hog is killed before its withdrawal is over, nor without a record of treatments."""
    days = list(workshop.days.all())
    for hog in workshop.animals.all():
        if not AnimalStatus(hog.status).takes_part:
            continue
        url = reverse("treatments", args=[workshop.slug, hog.pk])
        ready = hog.ready_on()
        if days and not hog.is_ready_on(days[0].date):
            yield Lack(
                sentence=(
                    f"{hog} is not ready before {ready:%d %b %Y}, the end of its withdrawal, and "
                    f"the course begins {days[0].date:%d %b %Y}; choose another hog."
                ),
                url=url,
            )
        if not hog.record_seen:
            yield Lack(
                sentence=f"Nobody has seen a record of treatments of {hog}; read it, tick it.",
                url=reverse("hog", args=[workshop.slug, hog.pk]),
            )


def _local_check(workshop: Workshop) -> Iterator[Lack]:
    if checking.current(workshop) is None:
        yield Lack(
            sentence=(
                "Nobody has checked with the local authority whether this may be done so; until "
                f"then every package carries {checking.NOT_FOR_SALE}."
            ),
            url=reverse("owners", args=[workshop.slug]),
        )


def _people(workshop: Workshop) -> Iterator[Lack]:
    seats = confirmed(workshop)
    if not seats:
        url = reverse("people", args=[workshop.slug])
        yield Lack(sentence="No seat is confirmed yet; add people.", url=url)
        return
    yield from _chains(workshop, seats)
    yield from _contacts(workshop, seats)
    yield from _answers(workshop, seats)


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


def _answers(workshop: Workshop, seats: list[Enrolment]) -> Iterator[Lack]:
    """What each person was asked and has not answered yet."""
    texts, days = list(workshop.waiver_texts.all()), list(workshop.days.all())
    if not texts:
        yield Lack(
            sentence="There is no waiver yet; write its words.",
            url=reverse("course", args=[workshop.slug]),
        )
    first = days[0].date if days else None
    asked: tuple[tuple[str, str, list[Enrolment]], ...] = (
        ("accepted no waiver", "send the private link", _unsigned(seats, texts)),
        (
            "accepted only an older version of the waiver",
            "send the private link",
            _signed_older(seats, texts),
        ),
        (
            "no lift figure",
            "ask, or try a known weight",
            [seat for seat in seats if seat.lift_kg is None],
        ),
        (
            "no guardian though under 18",
            "name one",
            [
                seat
                for seat in seats
                if first and seat.attendee.is_minor_on(first) and not seat.attendee.guardian
            ],
        ),
    )
    for what, remedy, who in asked:
        yield from _told(workshop, what, remedy, who)


def _told(workshop: Workshop, what: str, remedy: str, who: list[Enrolment]) -> Iterator[Lack]:
    """A line a person; of many people one line, so that the list stays a list."""
    if len(who) > MANY:
        names = ", ".join(str(seat) for seat in who)
        url = reverse("people", args=[workshop.slug])
        yield Lack(sentence=f"{len(who)} people have {what}; {remedy}: {names}.", url=url)
        return
    for seat in who:
        url = reverse("person", args=[workshop.slug, seat.pk])
        yield Lack(sentence=f"{seat} has {what}; {remedy}.", url=url)


def _unsigned(seats: list[Enrolment], texts: list[WaiverText]) -> list[Enrolment]:
    """Those who never accepted any version."""
    return [seat for seat in seats if texts and not seat.waivers.all()]


def _signed_older(seats: list[Enrolment], texts: list[WaiverText]) -> list[Enrolment]:
    """Those who accepted a version, but not the newest."""
    newest = texts[0].pk if texts else None
    signed = {seat.pk: {waiver.text_id for waiver in seat.waivers.all()} for seat in seats}
    return [seat for seat in seats if signed[seat.pk] and newest not in signed[seat.pk]]


def _menu(workshop: Workshop) -> Iterator[Lack]:
    """A dish that someone must not eat needs another beside it."""
    seats = confirmed(workshop)
    for day in workshop.days.all():
        for meal in day.meals.all():
            harmed = [
                str(seat)
                for seat in seats
                if {row.allergen for row in seat.attendee.allergens.all()} & set(meal.contains)
            ]
            if harmed and not meal.instead:
                yield Lack(
                    sentence=(
                        f"{meal} ({day.date:%a %d %b}) holds {meal.contains_words}, which "
                        f"{', '.join(harmed)} must not meet; cook something else beside it."
                    ),
                    url=reverse("menu", args=[workshop.slug]),
                )


def _safety(workshop: Workshop) -> Iterator[Lack]:
    places = {
        "first-aid point": workshop.first_aid_point,
        "muster point": workshop.muster_point,
        "emergency number": workshop.emergency_number,
    }
    missing = [name for name, value in places.items() if not value]
    if missing:
        yield Lack(
            sentence=f"The sheets will name no {' and no '.join(missing)}; add it.",
            url=reverse("course", args=[workshop.slug]),
        )
