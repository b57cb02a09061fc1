"""A stranger signs up: the public page, its form, what is written, and what is refused."""

from __future__ import annotations

import uuid
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.build import NOW, make_enrolment, make_workshop
from workshops import signing_up
from workshops.models import (
    Allergen,
    Enrolment,
    EnrolmentStatus,
    Letter,
    Limit,
    SignUp,
    TradeJob,
    Waiver,
    WishKind,
    Workshop,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def course() -> Workshop:
    """A course that takes sign-ups, with a waiver."""
    made = make_workshop(
        name="Winter course",
        slug="winter",
        takes_sign_ups=True,
        seats=4,
        seat_price_cents=48500,
        what_to_bring="Rubber boots.",
    )
    signing_up.edit_waiver(made, "Knives cut and water scalds.", now=NOW)
    return made


def typed(people: int = 1, /, **changes: Any) -> dict[str, Any]:
    """What a stranger types, with a full first person and more like them."""
    form = {
        "email": "reed@example.org",
        "phone": "555 0110",
        "emergency_contact": "Aunt Wren",
        "emergency_phone": "555 0199",
        "share_wanted": "half",
        "heard": "At the feed store",
        "form_id": str(uuid.uuid4()),
        "waiver_read": "1",
        "people-TOTAL_FORMS": str(people),
        "people-INITIAL_FORMS": "0",
    }
    for number in range(people):
        form |= {
            f"people-{number}-given_name": f"Ada {number}",
            f"people-{number}-family_name": "Reed",
            f"people-{number}-age": "adult",
            f"people-{number}-height": "67",
            f"people-{number}-lift": "55",
            f"people-{number}-knife": "1",
            f"people-{number}-signed_by": f"Ada {number} Reed",
        }
    return form | changes


def url_of(course: Workshop, name: str = "sign-up") -> str:
    return reverse(name, args=[course.slug])


def send(client: Client, course: Workshop, form: dict[str, Any]) -> str:
    """The page that comes after the form."""
    return client.post(url_of(course), form, follow=True).content.decode()


def test_the_page_tells_the_course_in_words(client: Client, course: Workshop) -> None:
    """Dates, price, seats left, what to bring and the waiver, before any question."""
    make_enrolment(course)
    page = client.get(url_of(course)).content.decode()
    for words in (
        "11 to 13 January 2030",
        "Friday 11 January, 08:00 to 17:00: Day 1",
        "USD 485.00 a seat",
        "3 of 4 seats left",
        "Rubber boots.",
        "Knives cut and water scalds.",
    ):
        assert words in page


def test_a_course_that_takes_no_sign_ups_is_not_found(client: Client, course: Workshop) -> None:
    """Strangers do not learn that it exists."""
    Workshop.objects.update(takes_sign_ups=False)
    assert client.get(url_of(course)).status_code == 404
    assert client.post(url_of(course), typed()).status_code == 404
    assert Enrolment.objects.count() == 0


def test_a_household_signs_up_and_everything_typed_is_kept(
    client: Client, course: Workshop
) -> None:
    """Answers as SI, limits, allergens, wishes, waiver with name, time and version, a letter."""
    form = typed(
        2,
        **{
            "people-0-limits": [Limit.NO_KNIVES],
            "people-0-allergens": [Allergen.SESAME, Allergen.MILK],
            "people-0-must_try": [TradeJob.SCALD],
            "people-0-rather_not": [TradeJob.KILL],
            "people-0-health_note": "Left knee.",
            "people-1-given_name": "Pip",
            "people-1-age": "minor",
            "people-1-born": "2014-05-01",
            "people-1-guardian": "Ada Reed",
            "people-1-lift": "",
            "people-1-lift_unsure": "on",
        },
    )
    page = send(client, course, form)
    assert "You are coming." in page
    first, second = Enrolment.objects.order_by("pk")
    assert first.status == second.status == EnrolmentStatus.CONFIRMED
    assert (first.lift_kg, first.attendee.height_cm) == (Decimal("24.9"), 170)
    assert second.lift_kg is None
    assert (second.attendee.born, second.attendee.guardian) == (date(2014, 5, 1), "Ada Reed")
    assert first.health_note == "Left knee."
    assert [row.limit for row in first.limits.all()] == [Limit.NO_KNIVES]
    assert {row.allergen for row in first.attendee.allergens.all()} == {"milk", "sesame"}
    assert {(row.job, row.kind) for row in first.wishes.all()} == {
        (TradeJob.SCALD, WishKind.MUST_TRY),
        (TradeJob.KILL, WishKind.RATHER_NOT),
    }
    waiver = Waiver.objects.get(enrolment=first)
    assert (waiver.name, waiver.text.version) == ("Ada 0 Reed", 1)
    asked = SignUp.objects.get()
    assert (asked.heard, asked.share_wanted) == ("At the feed store", "half")
    assert Letter.objects.get().kind == "confirmed"


def test_a_form_that_arrives_twice_is_written_once(client: Client, course: Workshop) -> None:
    """The second arrival opens the same page."""
    form = typed()
    first = client.post(url_of(course), form)
    second = client.post(url_of(course), form)
    assert first["Location"] == second["Location"]
    assert Enrolment.objects.count() == 1


def test_another_person_is_added_without_a_script_and_nothing_typed_is_lost(
    client: Client, course: Workshop
) -> None:
    """Nor is anyone scolded for what is still empty."""
    form = typed(**{"people-0-given_name": "Åse", "people-0-height": ""})
    page = client.post(url_of(course, "sign-up-more"), form, follow=True).content.decode()
    assert "Person 2" in page
    assert 'value="Åse"' in page
    assert "It is needed" not in page
    form = typed(2, **{"people-0-given_name": "Åse"})
    page = client.post(url_of(course, "sign-up-fewer"), form, follow=True).content.decode()
    assert "Person 2" not in page
    assert 'value="Åse"' in page


def test_no_more_than_eight_people_fit_one_form(client: Client, course: Workshop) -> None:
    """However often the button is pressed, or the count is forged."""
    form = typed(**{"people-TOTAL_FORMS": "4000"})
    page = client.post(url_of(course, "sign-up-more"), form, follow=True).content.decode()
    assert "Person 8" in page
    assert "Person 9" not in page


def test_a_draft_is_kept_until_the_form_is_sent(client: Client, course: Workshop) -> None:
    """Opened again on the same phone, it stands as it was; after sending it is gone."""
    form = typed()
    client.post(url_of(course, "sign-up-keep"), form)
    assert 'value="reed@example.org"' in client.get(url_of(course)).content.decode()
    assert "reed@example.org" not in Client().get(url_of(course)).content.decode()
    send(client, course, form)
    assert "reed@example.org" not in client.get(url_of(course)).content.decode()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"people-0-height": "20"}, "20 in is out of range; write a number from 40 in to 90 in."),
        ({"people-0-lift": "-5"}, "-5 lb is out of range; write a number from 0 lb to 330 lb."),
        ({"people-0-lift": "900"}, "900 lb is out of range; write a number from 0 lb to 330 lb."),
        ({"people-0-lift": ""}, "Write a number, or tick “not sure” below."),
        ({"people-0-lift_unsure": "on"}, "Write a number or tick “not sure”, not both."),
        (
            {"people-0-age": "minor", "people-0-guardian": "Ada"},
            "Under 18 needs a birth date; fill it in.",
        ),
        (
            {"people-0-age": "minor", "people-0-born": "2014-05-01"},
            "Under 18 needs an adult who answers for them; name one.",
        ),
        ({"people-0-born": "2999-01-01"}, "The birth date is 01 Jan 2999; write one from 1900"),
        ({"people-0-born": "2014-05-01"}, "Born 01 May 2014 they are 15 when the course begins"),
        ({"people-0-given_name": "x" * 300}, "Ensure this value has at most 80 characters"),
        ({"people-0-given_name": ""}, "It is needed; fill it in."),
        ({"people-0-signed_by": ""}, "The waiver is not accepted yet; type a name."),
        (
            {"people-0-must_try": ["kill"], "people-0-rather_not": ["kill"]},
            "Both lists name the kill: stick and bleed",
        ),
        ({"people-0-allergens": ["gold"]}, "gold is not one of the available choices"),
        ({"email": "reed at example"}, "Enter a valid email address."),
        ({"emergency_contact": ""}, "Emergency contact: It is needed; fill it in."),
        ({"waiver_read": "7"}, "The waiver was changed while you were typing."),
    ],
)
def test_a_refusal_says_what_would_do_and_keeps_what_was_typed(
    client: Client, course: Workshop, changes: dict[str, Any], said: str
) -> None:
    """Nothing is written, nothing typed is lost."""
    response = client.post(url_of(course), typed(heard="A poster", **changes))
    page = response.content.decode()
    assert said in page.replace("&#x27;", "'")
    assert 'value="A poster"' in page
    assert not Enrolment.objects.exists()
    assert not SignUp.objects.exists()


@pytest.mark.parametrize("name", ["שרה בת רחל", "Ünï 🐖", "O'Brien <b>", "李"])
def test_any_name_is_kept_as_it_is_written(client: Client, course: Workshop, name: str) -> None:
    """Right to left, emoji, apostrophes and angle brackets are names too."""
    page = send(client, course, typed(**{"people-0-given_name": name}))
    assert Enrolment.objects.get().attendee.given_name == name
    assert "<b>" not in page


def test_only_asking_holds_no_seat_and_needs_no_waiver(client: Client, course: Workshop) -> None:
    """A question is welcome."""
    page = send(client, course, typed(only_asking="on", **{"people-0-signed_by": ""}))
    assert "no seat is kept for you yet" in page
    assert Enrolment.objects.get().status == EnrolmentStatus.ENQUIRY


def test_a_household_too_large_for_what_is_left_waits(client: Client, course: Workshop) -> None:
    """It is not torn apart."""
    for _ in range(3):
        make_enrolment(course)
    page = send(client, course, typed(2))
    assert "You are next on the waiting list." in page


def test_a_new_version_of_the_waiver_is_asked_for_again(client: Client, course: Workshop) -> None:
    """The old acceptance is kept with its words; the new is given on the household's own page."""
    client.post(url_of(course), typed())
    signing_up.edit_waiver(course, "Knives cut, water scalds, hogs kick.", now=NOW)
    seat = Enrolment.objects.get()
    own = reverse("seat", args=[seat.link.word])
    assert f"accepting for {seat}" in client.get(own).content.decode()
    accept = reverse("seat-accept-waiver", args=[seat.link.word, seat.pk])
    client.post(accept, {"name": "Ada Reed", "version": "1"})
    assert seat.waivers.count() == 1
    client.post(accept, {"name": "Ada Reed", "version": "2"})
    client.post(accept, {"name": "Ada Reed", "version": "2"})
    assert [waiver.text.version for waiver in seat.waivers.all()] == [2, 1]
    assert (
        signing_up.edit_waiver(course, "Knives cut, water scalds, hogs kick.", now=NOW).version == 2
    )


def test_the_page_costs_the_same_for_one_seat_and_for_four(
    client: Client, course: Workshop
) -> None:
    """No query a seat."""
    counts = []
    for _ in range(2):
        make_enrolment(course)
        with CaptureQueriesContext(connection) as caught:
            client.get(url_of(course))
        counts.append(len(caught))
    assert counts[0] == counts[1]


def test_many_forms_from_one_place_are_slowed_down(client: Client, course: Workshop) -> None:
    """The refusal says when to try again, and the form is kept."""
    Workshop.objects.update(seats=200)
    for _ in range(30):
        client.post(url_of(course), typed())
    page = client.post(url_of(course), typed()).content.decode()
    assert "Tried 30 times within 60 minutes, which is the most. Wait" in page
    assert 'value="reed@example.org"' in page
    assert Enrolment.objects.count() == 30
