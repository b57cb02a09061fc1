"""The people's list and one person's page."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.contrib.auth.models import Permission
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.build import make_enrolment, make_household, make_user, make_workshop
from tests.cast import client_of
from workshops.models import Enrolment, EnrolmentStatus, Household, Knife, Limit, User, Workshop


def page_of(seat: Enrolment) -> str:
    """The address of a person's page."""
    return reverse("person", args=[seat.workshop.slug, seat.pk])


def opened(client: Client, url: str) -> dict[str, object]:
    """What a browser that opens the page and changes nothing would send back."""
    form = client.get(url).context["form"]
    sent = {}
    for bound in form:
        value = bound.value()
        if value is not None and value != "":
            widget = bound.field.widget
            sent[bound.html_name] = value if isinstance(value, list) else widget.format_value(value)
    # A drop-down gives its value as a list of one.
    lists = {"limits", "allergens", "must_try", "rather_not"}
    return {
        name: value[0] if isinstance(value, list) and name not in lists else value
        for name, value in sent.items()
    }


def list_of(workshop: Workshop) -> str:
    """The address of the list."""
    return reverse("people", args=[workshop.slug])


# --- the list ------------------------------------------------------------------------------------
def test_the_list_shows_each_person_in_short_words(
    helper_client: Client, workshop: Workshop, minor: Enrolment
) -> None:
    """Limits, lift and height in the workshop's units, arrival on the farm's clock."""
    make_enrolment(
        workshop,
        given_name="Oda",
        height_cm=170,
        lift_kg=Decimal("24.9"),
        knife=Knife.SURE,
        limits=[Limit.AWAY_FROM_KILL, Limit.NO_LIFTING],
        arrives_at=datetime(2030, 1, 12, 16, 30, tzinfo=UTC),
    )
    page = helper_client.get(list_of(workshop)).content.decode()
    for words in (
        "Oda",
        "no lifting, not at kill",
        "55 lb",
        "5 ft 7 in",
        "sure with a boning knife",
        "from Sat 12 Jan, 09:30",
        "under 18",
        "whole course",
    ):
        assert words in page


def test_an_empty_list_offers_the_first_act_to_those_who_may(
    lead_client: Client, helper_client: Client, workshop: Workshop
) -> None:
    """A helper is told who adds people."""
    page = lead_client.get(list_of(workshop)).content.decode()
    assert "Add a person" in page
    assert reverse("bring-in", args=[workshop.slug]) in page
    page = helper_client.get(list_of(workshop)).content.decode()
    assert "Nobody yet" in page
    assert "Add a person" not in page
    assert reverse("bring-in", args=[workshop.slug]) not in page


def test_the_list_costs_the_same_for_two_people_and_for_twelve(
    lead_client: Client, workshop: Workshop
) -> None:
    """No query per row."""
    counts = []
    for people in (2, 10):
        for _ in range(people):
            make_enrolment(workshop, limits=[Limit.NO_KNIVES])
        with CaptureQueriesContext(connection) as caught:
            lead_client.get(list_of(workshop))
        counts.append(len(caught))
    assert counts[0] == counts[1]


# --- one person ----------------------------------------------------------------------------------
def test_opening_and_saving_changes_nothing(lead_client: Client, workshop: Workshop) -> None:
    """Pounds and inches on screen do not wear down what is stored."""
    seat = make_enrolment(
        workshop,
        lift_kg=Decimal("24.7"),
        height_cm=171,
        limits=[Limit.NO_KNIVES],
        health_note="Left knee.",
        arrives_at=datetime(2030, 1, 12, 16, 30, tzinfo=UTC),
    )
    before = (Enrolment.objects.values().get(pk=seat.pk), seat.attendee.height_cm)
    response = lead_client.post(page_of(seat), opened(lead_client, page_of(seat)))
    assert response.status_code == 302
    seat = Enrolment.objects.get(pk=seat.pk)
    assert (Enrolment.objects.values().get(pk=seat.pk), seat.attendee.height_cm) == before
    assert [row.limit for row in seat.limits.all()] == [Limit.NO_KNIVES]


def test_everything_about_a_person_is_saved_at_once(
    lead_client: Client, attendee: Enrolment
) -> None:
    """Household, person, seat and limits, from one page; farm time and pounds become SI."""
    typed = opened(lead_client, page_of(attendee)) | {
        "given_name": "Eda",
        "household_name": "Marsh and Reed",
        "lift": "60",
        "height": "70",
        "knife": str(int(Knife.SOME)),
        "limits": [Limit.NO_HOT_WATER, Limit.SEATED_ONLY],
        "arrives_at": "2030-01-12T09:30",
        "health_note": "Bees.",
    }
    response = lead_client.post(page_of(attendee), typed, follow=True)
    assert "Eda Marsh is saved." in response.content.decode()
    seat = Enrolment.objects.select_related("attendee__household").get(pk=attendee.pk)
    assert (seat.attendee.given_name, seat.attendee.household.name) == ("Eda", "Marsh and Reed")
    assert (seat.lift_kg, seat.attendee.height_cm) == (Decimal("27.2"), 178)
    assert (seat.knife, seat.health_note) == (Knife.SOME, "Bees.")
    assert seat.arrives_at == datetime(2030, 1, 12, 16, 30, tzinfo=UTC)
    assert {row.limit for row in seat.limits.all()} == {"no_hot_water", "seated_only"}


def test_a_metric_workshop_is_typed_in_kilograms(organizer_client: Client) -> None:
    """The label says so, and the number is kept as it is."""
    seat = make_enrolment(make_workshop(units="metric"))
    typed = opened(organizer_client, page_of(seat)) | {"lift": "31.5", "height": "182"}
    assert "Comfortable lift, kg" in organizer_client.get(page_of(seat)).content.decode()
    organizer_client.post(page_of(seat), typed)
    seat = Enrolment.objects.get(pk=seat.pk)
    assert (seat.lift_kg, seat.attendee.height_cm) == (Decimal("31.5"), 182)


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        (
            {"lift": "400"},
            "lift",
            "400 lb is out of range; write a number from 0 lb to 330 lb.",
        ),
        ({"height": "20"}, "height", "20 in is out of range; write a number from 40 in to 90 in."),
        (
            {"arrives_at": "2030-01-12T09:00", "leaves_at": "2030-01-12T08:00"},
            "leaves_at",
            "They must leave after they arrive; write a later time.",
        ),
        (
            {"born": "2031-01-01"},
            "born",
            "The birth date is 01 Jan 2031; write one from 1900 to the course's last day.",
        ),
        ({"lift": "1e300"}, "lift", "Ensure that there are no more than 8 digits in total."),
        ({"given_name": ""}, "given_name", "It is needed; fill it in."),
        ({"email": "nowhere"}, "email", "Enter a valid email address."),
    ],
)
def test_a_refusal_names_rule_value_and_remedy_and_keeps_what_was_typed(
    lead_client: Client,
    attendee: Enrolment,
    typed: dict[str, str],
    field: str,
    sentence: str,
) -> None:
    """Nothing is saved, nothing is lost."""
    sent = opened(lead_client, page_of(attendee)) | typed | {"diet": "no pork, oddly"}
    response = lead_client.post(page_of(attendee), sent)
    assert response.context["form"].errors == {field: [sentence]}
    page = response.content.decode()
    assert "Not saved yet. All you typed stands below." in page
    assert "no pork, oddly" in page
    assert all(f'value="{value}"' in page for value in typed.values() if value)
    attendee.attendee.refresh_from_db()
    assert attendee.attendee.diet == ""


def test_the_last_seat_is_not_given_twice(lead_client: Client, workshop: Workshop) -> None:
    """With every seat filled, one more cannot be confirmed, and nothing else of them is saved."""
    workshop.seats = 1
    workshop.save()
    make_enrolment(workshop)
    waiting = make_enrolment(workshop, status=EnrolmentStatus.WAITING)
    typed = opened(lead_client, page_of(waiting)) | {"status": "confirmed", "diet": "oats"}
    response = lead_client.post(page_of(waiting), typed)
    (refusal,) = response.context["form"].errors["status"]
    assert refusal.startswith("All 1 seats of Winter course are filled.")
    waiting.refresh_from_db()
    assert waiting.status == EnrolmentStatus.WAITING
    waiting.attendee.refresh_from_db()
    assert waiting.attendee.diet == ""


def test_someone_with_a_seat_keeps_it_in_an_overfull_workshop(
    lead_client: Client, workshop: Workshop
) -> None:
    """Fewer seats than people does not stop the correction of a name."""
    seats = [make_enrolment(workshop) for _ in range(2)]
    workshop.seats = 1
    workshop.save()
    typed = opened(lead_client, page_of(seats[0])) | {"diet": "oats"}
    assert lead_client.post(page_of(seats[0]), typed).status_code == 302


# --- two at once ---------------------------------------------------------------------------------
def test_the_second_of_two_tabs_is_told_and_loses_nothing(
    lead_client: Client, organizer_client: Client, attendee: Enrolment
) -> None:
    """The second sees what the first left, keeps what was typed, and may save over it knowingly."""
    first, second = (
        opened(client, page_of(attendee)) for client in (lead_client, organizer_client)
    )
    lead_client.post(page_of(attendee), first | {"lift": "40", "health_note": "Asthma."})

    sent = second | {"diet": "no nuts"}
    response = organizer_client.post(page_of(attendee), sent)
    assert response.status_code == 200
    form = response.context["form"]
    assert form.clashes == [
        "Diet: they left “nothing”.",
        "Comfortable lift: they left “40”.",
        "Health note: they left “Asthma.”.",
    ]
    assert "Save again to replace theirs" in str(form.non_field_errors())
    attendee.attendee.refresh_from_db()
    assert attendee.attendee.diet == ""

    again = organizer_client.post(page_of(attendee), sent | {"version": form["version"].value()})
    assert again.status_code == 302
    attendee.attendee.refresh_from_db()
    assert attendee.attendee.diet == "no nuts"


def test_two_of_one_household_do_not_overwrite_each_others_contact(
    lead_client: Client, organizer_client: Client, workshop: Workshop
) -> None:
    """The household's numbers stand on both pages."""
    household = make_household()
    one, two = (make_enrolment(workshop, household=household) for _ in range(2))
    of_one, of_two = opened(lead_client, page_of(one)), opened(organizer_client, page_of(two))
    lead_client.post(page_of(one), of_one | {"emergency_phone": "555 0177"})
    response = organizer_client.post(page_of(two), of_two)
    assert response.context["form"].clashes == ["Emergency phone: they left “555 0177”."]
    household.refresh_from_db()
    assert household.emergency_phone == "555 0177"


def test_two_who_typed_the_same_need_not_be_told(
    lead_client: Client, organizer_client: Client, attendee: Enrolment
) -> None:
    """There is nothing to lose."""
    sent = opened(lead_client, page_of(attendee)) | {"diet": "no nuts"}
    assert lead_client.post(page_of(attendee), sent).status_code == 302
    assert organizer_client.post(page_of(attendee), sent).status_code == 302


# --- health --------------------------------------------------------------------------------------
@pytest.fixture
def clerk(workshop: Workshop) -> User:
    """Someone who may change people but not see health notes."""
    user = make_user(username="clerk")
    names = ["view_enrolment", "change_enrolment", "view_workshop"]
    user.user_permissions.set(Permission.objects.filter(codename__in=names))
    workshop.staff.create(name="Clerk", user=user)
    return user


def test_who_may_not_see_a_health_note_can_neither_read_nor_wipe_it(
    clerk: User, attendee: Enrolment
) -> None:
    """The field is not on their page, and a forged one is not taken."""
    client = client_of(clerk)
    page = client.get(page_of(attendee))
    assert attendee.health_note not in page.content.decode()
    assert "health_note" not in page.context["form"].fields
    typed = opened(client, page_of(attendee)) | {"diet": "no nuts", "health_note": "forged"}
    assert client.post(page_of(attendee), typed).status_code == 302
    attendee.refresh_from_db()
    assert attendee.health_note == "Pollen makes her wheeze."


# --- a new person --------------------------------------------------------------------------------
NEW = {"given_name": "Runa", "status": "confirmed", "knife": "0"}


def test_a_new_person_brings_a_new_household_and_gets_a_link(
    lead_client: Client, workshop: Workshop
) -> None:
    """One page makes all of it."""
    url = reverse("person-add", args=[workshop.slug])
    typed = NEW | {"household_name": "Alders", "emergency_contact": "Ask", "limits": ["no_knives"]}
    assert lead_client.post(url, typed).status_code == 302
    seat = Enrolment.objects.get(attendee__given_name="Runa")
    assert seat.attendee.household.emergency_contact == "Ask"
    assert [row.limit for row in seat.limits.all()] == ["no_knives"]
    assert lead_client.get(page_of(seat)).context["link"].word == seat.link.word


def test_a_new_person_may_join_a_household_that_is_here(
    lead_client: Client, attendee: Enrolment
) -> None:
    """Its numbers stay as they are."""
    household = attendee.attendee.household
    url = reverse("person-add", args=[attendee.workshop.slug])
    assert lead_client.post(url, NEW | {"household": household.pk}).status_code == 302
    seat = Enrolment.objects.get(attendee__given_name="Runa")
    assert seat.attendee.household == household
    assert seat.attendee.household.phone == household.phone


@pytest.mark.parametrize(
    ("extra", "field", "words"),
    [
        ({}, "household_name", "name a new one or choose one that is here"),
        ({"household": "own", "household_name": "Alders"}, "household", "wrote a new household"),
        ({"household": "foreign"}, "household", "Select a valid choice"),
    ],
)
def test_a_new_person_belongs_to_exactly_one_household_of_this_lead(
    lead_client: Client, attendee: Enrolment, extra: dict[str, str], field: str, words: str
) -> None:
    """Neither none nor two, nor one that the lead may not see."""
    foreign = make_enrolment(make_workshop()).attendee.household
    own = attendee.attendee.household
    typed = NEW | extra
    typed["household"] = {"own": str(own.pk), "foreign": str(foreign.pk)}.get(
        extra.get("household", ""), ""
    )
    url = reverse("person-add", args=[attendee.workshop.slug])
    response = lead_client.post(url, typed)
    assert words in str(response.context["form"].errors.get(field))
    assert not Enrolment.objects.filter(attendee__given_name="Runa").exists()


def test_a_refused_seat_leaves_no_household_behind(lead_client: Client, workshop: Workshop) -> None:
    """All or nothing."""
    workshop.seats = 1
    workshop.save()
    make_enrolment(workshop)
    url = reverse("person-add", args=[workshop.slug])
    response = lead_client.post(url, NEW | {"household_name": "Alders"})
    assert "status" in response.context["form"].errors
    assert not Household.objects.filter(name="Alders").exists()


# --- the private link ----------------------------------------------------------------------------
def test_a_renewed_link_replaces_the_old_one(lead_client: Client, attendee: Enrolment) -> None:
    """The old word opens nothing."""
    old = attendee.link.path
    lead_client.post(reverse("person-link-renew", args=[attendee.workshop.slug, attendee.pk]))
    attendee.link.refresh_from_db()
    assert attendee.link.path != old
    assert Client().get(old).status_code == 404
    assert Client().get(attendee.link.path).status_code == 200


def test_a_revoked_link_opens_nothing_until_a_new_one_is_made(
    lead_client: Client, attendee: Enrolment
) -> None:
    """The page then says that no link opens the card."""
    arguments = [attendee.workshop.slug, attendee.pk]
    lead_client.post(reverse("person-link-revoke", args=arguments))
    assert Client().get(attendee.link.path).status_code == 404
    assert "No link opens this card." in lead_client.get(page_of(attendee)).content.decode()
    lead_client.post(reverse("person-link-renew", args=arguments))
    attendee.link.refresh_from_db()
    assert Client().get(attendee.link.path).status_code == 200


def test_someone_without_a_link_is_given_one(lead_client: Client, workshop: Workshop) -> None:
    """A seat made elsewhere has none at first."""
    seat = make_enrolment(workshop)
    assert lead_client.get(page_of(seat)).context["link"] is None
    lead_client.post(reverse("person-link-renew", args=[workshop.slug, seat.pk]))
    assert lead_client.get(page_of(seat)).context["link"] is not None
