"""What a workshop still lacks, in sentences."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.urls import reverse

from tests.build import (
    FIRST_DAY,
    NOW,
    make_animal,
    make_enrolment,
    make_hog,
    make_household,
    make_local_check,
    make_ownership,
    make_staff,
    make_waiver_text,
    make_workshop,
)
from workshops import checking, readiness, signing_up
from workshops.models import (
    Allergen,
    AnimalStatus,
    Enrolment,
    EnrolmentStatus,
    Limit,
    Meal,
    StaffRole,
    WaiverText,
    Workshop,
)

pytestmark = pytest.mark.django_db


def sentences(workshop: Workshop) -> list[str]:
    """What is said of it."""
    return [lack.sentence for lack in readiness.lacks(workshop)]


@pytest.fixture
def ready() -> Workshop:
    """A workshop that lacks nothing."""
    workshop = make_workshop(
        first_aid_point="Barn door",
        muster_point="Gate",
    )
    make_staff(workshop, StaffRole.LEAD)
    make_hog(workshop, record_seen=True)
    make_local_check(workshop)
    text = make_waiver_text(workshop)
    for _ in range(4):
        sign(make_enrolment(workshop), text)
    return workshop


def sign(seat: Enrolment, text: WaiverText) -> Enrolment:
    """The seat, with the waiver accepted."""
    signing_up.accept_waiver(seat, text, "A full name", now=NOW)
    return seat


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
        "Nobody has checked with the local authority whether this may be done so; until then "
        "every package carries NOT FOR SALE.",
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
    hog = make_animal(ready, tag="7", record_seen=True)
    (lack,) = readiness.lacks(ready)
    assert lack.sentence == "Hog 7 has no owner of record; write down who owns it."
    assert lack.url == reverse("hog", args=[ready.slug, hog.pk])


def test_shares_that_do_not_make_a_whole_hog_are_told(ready: Workshop) -> None:
    """Half a hog has no owner."""
    make_ownership(make_animal(ready, tag="7", record_seen=True), make_household(), percent=50)
    assert sentences(ready) == ["The shares in Hog 7 come to 50 percent; they must come to 100."]


def test_hogs_that_are_only_raised_are_not_enough(ready: Workshop) -> None:
    """At least one must be chosen."""
    ready.animals.update(status=AnimalStatus.RAISED)
    assert sentences(ready) == ["None of 1 hogs is chosen; choose at least one."]


def test_a_household_without_an_emergency_contact_is_told_once(ready: Workshop) -> None:
    """Two of one household lead to one sentence; someone on the waiting list leads to none."""
    household = make_household(name="The Reeds", emergency_phone="")
    text = ready.waiver_texts.get()
    sign(make_enrolment(ready, household=household), text)
    sign(make_enrolment(ready, household=household), text)
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


def test_what_a_person_has_not_answered_is_told_with_the_way_to_mend_it(ready: Workshop) -> None:
    """No waiver, no lift figure, a minor without guardian; each line leads to that person."""
    seat = make_enrolment(ready, given_name="Pip", born=date(2014, 1, 1), lift_kg=None)
    found = readiness.lacks(ready)
    assert [lack.sentence for lack in found] == [
        "Pip has accepted no waiver; send the private link.",
        "Pip has no lift figure; ask, or try a known weight.",
        "Pip has no guardian though under 18; name one.",
    ]
    assert {lack.url for lack in found} == {reverse("person", args=[ready.slug, seat.pk])}


def test_an_older_waiver_is_not_enough(ready: Workshop) -> None:
    """Everyone is asked again after an edit."""
    make_waiver_text(ready, text="More words.")
    (lack,) = readiness.lacks(ready)
    assert lack.sentence.startswith(
        "4 people have accepted only an older version of the waiver; send the private link: "
    )
    assert lack.url == reverse("people", args=[ready.slug])


def test_a_dish_that_somebody_must_not_eat_is_told_until_there_is_another(ready: Workshop) -> None:
    """The dish, what is in it, and who."""
    seat = ready.enrolments.first()
    assert seat is not None
    seat.attendee.allergens.create(allergen=Allergen.MILK)
    day = ready.days.all()[0]
    meal = Meal.objects.create(day=day, name="Chowder", contains=["milk", "wheat"])
    Meal.objects.create(day=day, name="Crackling")
    (lack,) = readiness.lacks(ready)
    assert lack.sentence == (
        f"Chowder (Fri 11 Jan) holds milk, wheat, which {seat} must not meet; cook something "
        "else beside it."
    )
    assert lack.url == reverse("menu", args=[ready.slug])
    meal.instead = "Broth"
    meal.save()
    assert sentences(ready) == []


def test_a_check_taken_back_is_missing_again(ready: Workshop) -> None:
    """And packages carry the words again."""
    checking.take_back(ready, now=NOW)
    assert sentences(ready)[0].startswith("Nobody has checked with the local authority")


def test_a_hog_is_not_ready_before_the_longest_withdrawal_is_over(ready: Workshop) -> None:
    """Of two treatments the later end counts; on that day it is over."""
    hog = ready.animals.get()
    hog.treatments.create(product="A", on=FIRST_DAY - timedelta(days=10), withdrawal_days=5)
    last = hog.treatments.create(product="B", on=FIRST_DAY - timedelta(days=18), withdrawal_days=19)
    (said,) = sentences(ready)
    assert said.startswith(f"{hog} is not ready before 12 Jan 2030, the end of its withdrawal")
    # 18 days after: ivermectin injection for swine, 21 CFR 522.1192(e)(3)(iii), 2015.
    last.withdrawal_days = 18
    last.save()
    assert sentences(ready) == []
