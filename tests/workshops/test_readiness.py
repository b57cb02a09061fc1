"""What a workshop still lacks, in sentences."""

from __future__ import annotations

import pytest
from django.urls import reverse

from tests.build import (
    make_animal,
    make_enrolment,
    make_hog,
    make_household,
    make_ownership,
    make_staff,
    make_workshop,
)
from workshops import readiness
from workshops.models import AnimalStatus, EnrolmentStatus, Limit, StaffRole, Workshop

pytestmark = pytest.mark.django_db


def sentences(workshop: Workshop) -> list[str]:
    """What is said of it."""
    return [lack.sentence for lack in readiness.lacks(workshop)]


@pytest.fixture
def ready() -> Workshop:
    """A workshop that lacks nothing."""
    workshop = make_workshop(first_aid_point="Barn door", muster_point="Gate")
    make_staff(workshop, StaffRole.LEAD)
    make_hog(workshop)
    for _ in range(4):
        make_enrolment(workshop)
    return workshop


def test_a_workshop_that_has_everything_lacks_nothing(ready: Workshop) -> None:
    """The list can be emptied."""
    assert sentences(ready) == []


def test_an_empty_workshop_lacks_its_lead_days_hogs_and_people() -> None:
    """The gravest first."""
    said = sentences(make_workshop(days=0, emergency_number=""))
    assert said == [
        "Nobody leads this workshop; name a lead.",
        "It has no day yet; add the first date.",
        "There is no hog yet; add one.",
        "No seat is confirmed yet; add people.",
        "The sheets will name no first-aid point and no muster point and no emergency number; "
        "add it.",
    ]


def test_a_helper_does_not_lead(ready: Workshop) -> None:
    """A workshop with helpers alone lacks a lead."""
    ready.staff.update(role=StaffRole.HELPER)
    assert sentences(ready) == ["Nobody leads this workshop; name a lead."]


def test_a_hog_without_an_owner_of_record_is_named(ready: Workshop) -> None:
    """The sentence leads to that hog's page."""
    hog = make_animal(ready, tag="7")
    (lack,) = readiness.lacks(ready)
    assert lack.sentence == "Hog 7 has no owner of record; write down who owns it."
    assert lack.url == reverse("hog", args=[ready.slug, hog.pk])


def test_shares_that_do_not_make_a_whole_hog_are_told(ready: Workshop) -> None:
    """Half a hog has no owner."""
    make_ownership(make_animal(ready, tag="7"), make_household(), percent=50)
    assert sentences(ready) == ["The shares in Hog 7 come to 50 percent; they must come to 100."]


def test_hogs_that_are_only_raised_are_not_enough(ready: Workshop) -> None:
    """At least one must be chosen."""
    ready.animals.update(status=AnimalStatus.RAISED)
    assert sentences(ready) == ["None of 1 hogs is chosen; choose at least one."]


def test_a_household_without_an_emergency_contact_is_told_once(ready: Workshop) -> None:
    """Two of one household lead to one sentence; someone on the waiting list leads to none."""
    household = make_household(name="The Reeds", emergency_phone="")
    make_enrolment(ready, household=household)
    make_enrolment(ready, household=household)
    waiting = make_household(emergency_contact="")
    make_enrolment(ready, household=waiting, status=EnrolmentStatus.WAITING)
    assert sentences(ready) == ["The Reeds has no emergency contact; add a name and a number."]


@pytest.mark.parametrize("limit", [Limit.NO_LIFTING, Limit.NO_HOT_WATER, Limit.SEATED_ONLY])
def test_too_few_for_the_chains_is_told_with_numbers(ready: Workshop, limit: Limit) -> None:
    """Four are needed; a limit leaves three of four."""
    seat = ready.enrolments.first()
    assert seat is not None
    seat.limits.create(limit=limit)
    (said,) = sentences(ready)
    assert said.startswith("Limits leave 3 of 4 people for the chains; lowering needs 4.")


def test_a_knife_limit_keeps_nobody_from_the_chains(ready: Workshop) -> None:
    """Only what the chains ask for counts."""
    for seat in ready.enrolments.all():
        seat.limits.create(limit=Limit.NO_KNIVES)
    assert sentences(ready) == []
