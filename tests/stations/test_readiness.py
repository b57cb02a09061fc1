"""What a course lacks, with the thermometers that are noted at the trough."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from stations import readiness
from tests.build import (
    NOW,
    make_animal,
    make_check,
    make_enrolment,
    make_thermometer,
    make_trough,
    make_workshop,
)
from workshops.models import Limit, Workshop

pytestmark = pytest.mark.django_db


def sentences(workshop: Workshop) -> list[str]:
    """What is said of its thermometers."""
    url = reverse("troughs", args=[workshop.slug])
    return [lack.sentence for lack in readiness.lacks(workshop) if lack.url == url]


def test_thermometers_are_checked_within_a_month(workshop: Workshop) -> None:
    """One that was never checked, one of last summer, one of yesterday; each is told."""
    assert sentences(workshop) == [
        "No thermometer check is written down; check each in ice and at the boil."
    ]
    make_check(make_thermometer(workshop, name="Red handle"))
    assert sentences(workshop) == []
    make_check(make_thermometer(workshop, name="Dial"), at=NOW - timedelta(days=40))
    make_thermometer(workshop, name="Spare")
    assert sentences(workshop) == [
        "Dial was last checked on 02 Dec 2029, more than 30 days before the course; check it "
        "again.",
        "Spare was never checked; check it in ice and at the boil.",
    ]


def test_every_line_on_the_page_leads_to_a_page_that_opens(
    organizer_client: Client, workshop: Workshop
) -> None:
    """A course that lacks a bit of everything; each line is a link, and each link is followed."""
    empty = make_workshop(days=0)
    seat = make_enrolment(workshop, born=date(2014, 5, 1), lift_kg=None, limits=[Limit.NO_LIFTING])
    household, day = seat.attendee.household, workshop.days.all()[0]
    household.emergency_phone = ""
    household.save()
    seat.attendee.allergens.create(allergen="milk")
    day.meals.create(name="Chowder", contains=["milk"])
    hog = make_animal(workshop)
    hog.treatments.create(product="A", on=day.date, withdrawal_days=7)
    make_thermometer(workshop, name="Spare")
    told = [*readiness.lacks(workshop), *readiness.lacks(empty)]
    for words in (
        "leads", "no day yet", "no hog yet", "no owner", "withdrawal", "record of treatments",
        "local authority", "for the chains", "emergency contact", "no waiver", "no lift figure",
        "no guardian", "must not meet", "first-aid point", "never checked",
        "No seat is confirmed",
    ):  # fmt: skip
        assert [lack for lack in told if words in lack.sentence], words
    home = organizer_client.get(reverse("home")).content.decode()
    for lack in told:
        assert f'href="{lack.url}"' in home, lack
        assert organizer_client.get(lack.url, follow=True).status_code == 200, lack


def test_the_line_leads_to_where_a_check_is_written_down(
    lead_client: Client, workshop: Workshop
) -> None:
    """From home to the trough, whose form mends it."""
    trough = make_trough()
    trough.station.workshop = workshop
    trough.station.save()
    url = reverse("troughs", args=[workshop.slug])
    assert f'href="{url}"' in lead_client.get(reverse("home")).content.decode()
    assert "In ice water" in lead_client.get(url, follow=True).content.decode()
    check = reverse("trough-check", args=[workshop.slug, trough.station.letter])
    typed = {
        "client_id": "7d0d7f3e-7f5c-4a53-9f0c-3f3b4c0c5b11",
        "name": "Red handle",
        "ice_c": "32",
    }
    lead_client.post(check, typed)
    assert "No thermometer check" not in lead_client.get(reverse("home")).content.decode()
