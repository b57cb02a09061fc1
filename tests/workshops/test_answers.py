"""A household changes its answers by its own page; the history says who changed what."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from tests.build import make_enrolment, make_link, make_workshop
from tests.workshops.test_people import opened, page_of
from workshops import forgetting
from workshops.models import Enrolment, EnrolmentStatus, TradeJob, User, Workshop

pytestmark = pytest.mark.django_db


def url_of(link_of: Enrolment, seat: Enrolment | None = None) -> str:
    """The address of somebody's answers, by a link of the household."""
    return reverse("seat-answers", args=[link_of.link.word, (seat or link_of).pk])


def test_a_household_changes_its_answers_and_the_organizer_reads_who_did(
    client: Client, lead_client: Client, attendee: Enrolment
) -> None:
    """The own page leads there; what was typed is kept; the person's page tells of it."""
    own = client.get(reverse("seat", args=[attendee.link.word])).content.decode()
    assert url_of(attendee) in own
    typed = opened(client, url_of(attendee)) | {
        "lift": "40", "limits": ["no_knives"], "must_try": [TradeJob.SAUSAGE], "diet": "no pork",
    }  # fmt: skip
    done = client.post(url_of(attendee), typed, follow=True)
    assert "The answers of Edda Marsh are saved." in done.content.decode()
    attendee.refresh_from_db()
    assert [row.limit for row in attendee.limits.all()] == ["no_knives"]
    assert [row.job for row in attendee.wishes.all()] == ["sausage"]
    assert attendee.attendee.diet == "no pork"
    assert attendee.status == EnrolmentStatus.CONFIRMED
    told = lead_client.get(page_of(attendee)).content.decode()
    assert (
        "Diet, Comfortable lift, Limits, Must try, by Edda Marsh, on the household&#x27;s own page."
    ) in told


def test_the_organizers_own_changes_stand_in_the_history_too(
    lead_client: Client, lead: User, attendee: Enrolment
) -> None:
    """With the name of whoever saved; a save that changes nothing leaves no line."""
    typed = opened(lead_client, page_of(attendee))
    lead_client.post(page_of(attendee), typed)
    assert not attendee.answer_changes.exists()
    lead_client.post(page_of(attendee), typed | {"health_note": "Asthma.", "diet": "oats"})
    change = attendee.answer_changes.get()
    assert (change.what, change.by_user) == (["diet", "health_note"], lead)
    assert "Asthma" not in str(change)


def test_a_health_note_is_not_shown_by_a_link_and_a_new_one_replaces_it(
    client: Client, attendee: Enrolment
) -> None:
    """Whoever holds a lost card reads none; blank leaves it."""
    assert attendee.health_note not in client.get(url_of(attendee)).content.decode()
    typed = opened(client, url_of(attendee))
    client.post(url_of(attendee), typed | {"health_note": "forged", "status": "withdrawn"})
    attendee.refresh_from_db()
    assert attendee.health_note == "Pollen makes her wheeze."
    assert attendee.status == EnrolmentStatus.CONFIRMED
    client.post(url_of(attendee), typed | {"health_news": "A new knee."})
    attendee.refresh_from_db()
    assert attendee.health_note == "A new knee."
    assert attendee.answer_changes.get().what == ["health_note"]


def test_the_second_of_two_tabs_is_told_and_loses_nothing(
    client: Client, lead_client: Client, attendee: Enrolment
) -> None:
    """The organizer saved first: the household sees what they left, and may save again."""
    typed = opened(client, url_of(attendee)) | {"diet": "no nuts"}
    lead_client.post(page_of(attendee), opened(lead_client, page_of(attendee)) | {"diet": "oats"})
    refused = client.post(url_of(attendee), typed)
    assert refused.context["form"].clashes == ["Diet: they left “oats”."]
    page = refused.content.decode()
    assert "Somebody changed these answers meanwhile" in page
    assert 'value="no nuts"' in page
    version = refused.context["form"]["version"].value()
    assert client.post(url_of(attendee), typed | {"version": version}).status_code == 302
    attendee.attendee.refresh_from_db()
    assert attendee.attendee.diet == "no nuts"


def test_a_seat_that_moves_meanwhile_is_no_clash(client: Client, attendee: Enrolment) -> None:
    """The waiting list may offer a seat while somebody types; that stands."""
    Enrolment.objects.update(status=EnrolmentStatus.WAITING, waiting_since=timezone.now())
    typed = opened(client, url_of(attendee)) | {"diet": "no nuts"}
    ends = timezone.now() - timedelta(minutes=1)
    Enrolment.objects.update(status=EnrolmentStatus.OFFERED, offer_ends_at=ends)
    Workshop.objects.update(seats=1)
    make_enrolment(attendee.workshop)
    assert client.post(url_of(attendee), typed).status_code == 302
    attendee.refresh_from_db()
    assert (attendee.status, attendee.offer_ends_at) == (EnrolmentStatus.OFFERED, ends)


def test_what_is_wrong_is_told_and_what_was_typed_stands(
    client: Client, attendee: Enrolment
) -> None:
    """No number to ring, a height of another age, a child without an adult who answers."""
    typed = opened(client, url_of(attendee)) | {
        "emergency_phone": "", "height": "999", "born": "2015-01-01", "guardian": "",
    }  # fmt: skip
    page = client.post(url_of(attendee), typed).content.decode()
    assert "Their telephone: It is needed; fill it in." in page
    assert "Height, in: " in page
    assert "Guardian: Under 18 needs an adult who answers for them; name one." in page
    assert 'value="999"' in page
    assert attendee.attendee.born is None


def test_a_child_and_another_household_change_nothing(
    client: Client, workshop: Workshop, attendee: Enrolment, minor: Enrolment
) -> None:
    """Grown-ups of the household, and of no other, in this course and in no other."""
    assert client.get(url_of(minor)).status_code == 403
    assert client.post(url_of(minor)).status_code == 403
    assert client.get(url_of(attendee, minor)).status_code == 404
    elsewhere = make_enrolment(make_workshop(), attendee=attendee.attendee)
    assert client.post(url_of(attendee, elsewhere)).status_code == 404
    own = client.get(reverse("seat", args=[minor.link.word])).content.decode()
    assert "answers" not in own


def test_after_the_course_answers_stand(client: Client) -> None:
    """The link still opens the page, and offers no change."""
    past = make_workshop(first_day=timezone.localdate() - timedelta(days=9))
    seat = make_enrolment(past)
    make_link(seat)
    assert client.get(url_of(seat)).status_code == 403
    page = client.get(reverse("seat", args=[seat.link.word]))
    assert "Change the answers" not in page.content.decode()


def test_somebody_who_was_forgotten_has_no_name_in_the_history(
    client: Client, workshop: Workshop, attendee: Enrolment
) -> None:
    """Neither as the one it is about, nor as the one who wrote."""
    other = make_enrolment(workshop, household=attendee.attendee.household)
    client.post(
        url_of(attendee, other),
        opened(client, url_of(attendee, other)) | {"diet": "oats", "born": date(1990, 1, 1)},
    )
    assert "Edda Marsh" in str(other.answer_changes.get())
    forgetting.forget(attendee.attendee, now=timezone.now())
    assert "Edda" not in str(other.answer_changes.get())


def test_the_page_costs_the_same_queries_however_large_the_course(
    client: Client, workshop: Workshop, attendee: Enrolment
) -> None:
    """One of one, or one of nine."""
    client.get(url_of(attendee))
    with CaptureQueriesContext(connection) as few:
        client.get(url_of(attendee))
    for _ in range(8):
        make_enrolment(workshop, household=attendee.attendee.household)
    with CaptureQueriesContext(connection) as many:
        client.get(url_of(attendee))
    assert len(few) == len(many)
