"""Private links, calendars, forgetting, guessing: who gets in, how long, and what is left."""

from __future__ import annotations

import logging
from datetime import UTC, datetime, timedelta

import icalendar
import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.build import (
    FIRST_DAY,
    NOW,
    make_enrolment,
    make_hog,
    make_household,
    make_link,
    make_local_check,
    make_ownership,
    make_workshop,
)
from workshops import access, checking, forgetting, linking, throttling
from workshops.models import Attempt, Enrolment, EnrolmentStatus, Household, Limit, User, Workshop

pytestmark = pytest.mark.django_db


def seat_url(seat: Enrolment, name: str = "seat") -> str:
    return reverse(name, args=[seat.link.word])


# --- private links -------------------------------------------------------------------------------
def test_a_link_shows_its_own_household_and_nobody_else(
    client: Client, workshop: Workshop, attendee: Enrolment
) -> None:
    """Neither others of the course, nor the household's seats in another one."""
    other = make_enrolment(workshop, given_name="Zoltan")
    elsewhere = make_enrolment(make_workshop(name="Another course"), attendee=attendee.attendee)
    page = client.get(seat_url(attendee)).content.decode()
    assert str(attendee) in page
    assert "Zoltan" not in page
    assert "Another course" not in page
    for strange in (other, elsewhere):
        url = reverse("seat-accept-waiver", args=[attendee.link.word, strange.pk])
        assert client.post(url, {"name": "Ada", "version": 1}).status_code == 404


def test_a_link_ends_when_revoked_renewed_or_after_the_course(
    client: Client, workshop: Workshop, attendee: Enrolment
) -> None:
    """Thirty days after the last day it opens no page and no card."""
    old = seat_url(attendee)
    linking.renew(attendee)
    attendee.refresh_from_db()
    attendee = Enrolment.objects.get(pk=attendee.pk)
    assert client.get(old).status_code == 404
    assert client.get(seat_url(attendee)).status_code == 200
    linking.revoke(attendee, now=NOW)
    assert client.get(seat_url(attendee)).status_code == 404
    past = make_workshop(first_day=timezone.localdate() - timedelta(days=40))
    link = make_link(make_enrolment(past))
    assert client.get(reverse("seat", args=[link.word])).status_code == 404
    assert client.get(link.path).status_code == 404
    recent = make_workshop(first_day=timezone.localdate() - timedelta(days=20))
    fresh = make_link(make_enrolment(recent))
    assert client.get(reverse("seat", args=[fresh.word])).status_code == 200
    assert access.private_link(link.word, now=NOW - timedelta(days=3650))


def test_a_childs_link_decides_nothing(
    client: Client, workshop: Workshop, minor: Enrolment
) -> None:
    """It shows the seat; money, offers and waivers are for grown-ups."""
    page = client.get(seat_url(minor)).content.decode()
    assert "Someone of 18 or older of your household decides" in page
    assert "Paying" not in page
    assert client.post(seat_url(minor, "seat-withdraw")).status_code == 403
    minor.refresh_from_db()
    assert minor.status == EnrolmentStatus.CONFIRMED


def test_a_link_is_told_to_no_other_site_no_proxy_and_no_log(
    client: Client, attendee: Enrolment, caplog: pytest.LogCaptureFixture
) -> None:
    """Headers say so; nothing that is logged holds the word, not even on a refusal."""
    caplog.set_level(logging.DEBUG)
    answer = client.get(seat_url(attendee))
    assert answer["Referrer-Policy"] == "same-origin"
    assert answer["Cache-Control"] == "private, no-cache"
    word = attendee.link.word
    linking.revoke(attendee, now=NOW)
    client.get(reverse("seat", args=[word]))
    client.get(reverse("card", args=[word]))
    client.get(reverse("seat-take", args=[word]))
    assert word not in caplog.text


PRIVATE_DOORS = (
    "seat", "card", "card-board", "scald-at-home", "seat-calendar", "staff-calendar"
)  # fmt: skip


@pytest.mark.parametrize("door", PRIVATE_DOORS)
def test_who_tries_unknown_links_is_made_to_wait(
    client: Client, attendee: Enrolment, door: str
) -> None:
    """Sixty in a quarter of an hour, at any door, shut them all; elsewhere nobody is held up."""
    now = timezone.now()
    throttling.count_guess("first", "127.0.0.1", now=now)
    Attempt.objects.filter(count=1).update(count=throttling.UNKNOWN_LINK.tries - 1)
    assert client.get(reverse(door, args=["guess"])).status_code == 404
    for shut in ("seat", "card"):
        refused = client.get(seat_url(attendee, shut))
        assert refused.status_code == 403
        assert "Tried 60 times within 15 minutes, which is the most. Wait" in (
            refused.content.decode()
        )
    assert Client(REMOTE_ADDR="10.1.1.1").get(seat_url(attendee)).status_code == 200


def test_an_old_card_asked_for_again_and_again_is_one_guess(
    client: Client, attendee: Enrolment
) -> None:
    """A phone with a card of last year locks nobody out."""
    old = seat_url(attendee, "card")
    linking.renew(attendee)
    for _ in range(throttling.UNKNOWN_LINK.tries + 5):
        assert client.get(old).status_code == 404
    attendee = Enrolment.objects.get(pk=attendee.pk)
    assert client.get(seat_url(attendee)).status_code == 200


def test_the_link_is_sent_again_by_letter(
    lead_client: Client, workshop: Workshop, attendee: Enrolment
) -> None:
    """To the household's address; without one, the refusal says what to add."""
    url = reverse("person-link-send", args=[workshop.slug, attendee.pk])
    page = lead_client.post(url, follow=True).content.decode()
    assert f"The link goes to {attendee.attendee.household.email} shortly." in page
    Household.objects.update(email="")
    assert "has no e-mail address; add one." in lead_client.post(url, follow=True).content.decode()
    assert attendee.letters.count() == 1


# --- signing in ----------------------------------------------------------------------------------
def test_repeated_guesses_at_a_password_are_slowed_down(client: Client, lead: User) -> None:
    """The ninth try within a quarter of an hour is refused, even with the right password."""
    url = reverse("sign-in")
    for _ in range(8):
        client.post(url, {"username": "lead", "password": "guess"})
    right = {"username": "lead", "password": "correct horse"}
    page = client.post(url, right).content.decode()
    assert "Tried 8 times within 15 minutes, which is the most. Wait" in page
    elsewhere = Client(REMOTE_ADDR="10.1.1.1")
    assert elsewhere.post(url, right).status_code == 302


def test_a_limit_opens_again_and_a_success_clears_it() -> None:
    """Counted in windows of time."""
    limit = throttling.Limit(what="test", tries=2, minutes=15)
    for _ in range(2):
        throttling.check(limit, "someone", now=NOW)
        throttling.count(limit, "someone", now=NOW)
    with pytest.raises(throttling.TooOften, match="Wait 15 minutes and try again"):
        throttling.check(limit, "Someone", now=NOW)
    throttling.check(limit, "someone", now=NOW + timedelta(minutes=15))
    throttling.check(limit, "another", now=NOW)
    throttling.forget(limit, "someone")
    throttling.check(limit, "someone", now=NOW)


# --- calendars -----------------------------------------------------------------------------------
def events(content: bytes) -> list[tuple[datetime, datetime, str]]:
    """The feed, read back by a library."""
    found = icalendar.Calendar.from_ical(content).walk("VEVENT")
    return [(one.decoded("dtstart"), one.decoded("dtend"), str(one["summary"])) for one in found]


def test_an_attendees_calendar_holds_the_days_they_are_here(client: Client) -> None:
    """Farm times; the first day from when they arrive."""
    workshop = make_workshop(name="Winter; course, one")
    seat = make_enrolment(workshop, arrives_at=datetime(2030, 1, 12, 17, 30, tzinfo=UTC))
    make_link(seat)
    answer = client.get(seat_url(seat, "seat-calendar"))
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert b"BEGIN:VTIMEZONE" in answer.content
    first, second = events(answer.content)
    assert first == (
        datetime(2030, 1, 12, 17, 30, tzinfo=UTC),
        datetime(2030, 1, 13, 0, 0, tzinfo=UTC),
        "Winter; course, one: Day 2",
    )
    assert second[0] == datetime(2030, 1, 13, 15, 0, tzinfo=UTC)


def test_the_staffs_feed_holds_every_day_and_ends_when_renewed(
    client: Client, helper_client: Client, workshop: Workshop, helper: User
) -> None:
    """Made by each for oneself; shown once."""
    url = reverse("feed-renew", args=[workshop.slug])
    page = helper_client.post(url, follow=True).content.decode()
    member = workshop.staff.get(user=helper)
    assert member.feed.path in page
    old = member.feed.path
    assert len(events(client.get(old).content)) == 3
    linking.renew_feed(member)
    assert client.get(old).status_code == 404
    card = make_link(make_enrolment(workshop))
    assert client.get(reverse("staff-calendar", args=[card.word])).status_code == 404


# --- forgetting ----------------------------------------------------------------------------------
def test_a_persons_data_is_deleted_and_the_counts_stand(
    organizer_client: Client, workshop: Workshop
) -> None:
    """After the course the seat still counts; nothing tells who it was."""
    past = make_workshop(first_day=FIRST_DAY - timedelta(days=3650))
    home = make_household(name="Zimmer", email="zimmer@example.org")
    seat = make_enrolment(
        past, household=home, given_name="Zoltan", health_note="Knee", limits=[Limit.NO_KNIVES]
    )
    make_link(seat)
    make_ownership(make_hog(past), home, percent=50)
    url = reverse("person-forget", args=[past.slug, seat.pk])
    organizer_client.post(url, {"name": "somebody else"})
    assert Enrolment.objects.get(pk=seat.pk).attendee.given_name == "Zoltan"
    organizer_client.post(url, {"name": "Zoltan"})
    url = reverse("people", args=[past.slug])
    organizer_client.get(url)  # takes the messages, the first of which tells the name
    page = organizer_client.get(url).content.decode()
    assert "Zoltan" not in page
    assert "Zimmer" not in page
    seat = Enrolment.objects.get(pk=seat.pk)
    assert seat.status == EnrolmentStatus.CONFIRMED
    assert (seat.health_note, seat.lift_kg, seat.limits.count()) == ("", None, 0)
    assert not hasattr(seat, "link")
    home.refresh_from_db()
    assert (home.email, home.animals.count()) == ("", 1)


def test_forgetting_gives_back_a_seat_to_come_and_spares_the_family() -> None:
    """The household keeps its name and numbers while someone of it is left."""
    ahead = make_workshop(first_day=FIRST_DAY)
    home = make_household(name="Zimmer")
    seat, other = make_enrolment(ahead, household=home), make_enrolment(ahead, household=home)
    forgetting.forget(seat.attendee, now=NOW)
    for row in (seat, other, home):
        row.refresh_from_db()
    assert (seat.status, other.status) == (EnrolmentStatus.WITHDRAWN, EnrolmentStatus.CONFIRMED)
    assert home.name == "Zimmer"
    assert home.emergency_phone


# --- owners of record ----------------------------------------------------------------------------
def test_the_owners_page_cites_its_sources_and_gives_no_advice(
    lead_client: Client, workshop: Workshop
) -> None:
    """Facts with their place; the tick is missing."""
    make_hog(workshop)
    page = lead_client.get(reverse("owners", args=[workshop.slug])).content.decode()
    for words in ("9 CFR 303.1(a)(1)", "316.16, 317.16", "gives no advice", "NOT FOR SALE"):
        assert words in page


def test_the_tick_needs_a_name_an_authority_and_a_past_date(
    lead_client: Client, workshop: Workshop
) -> None:
    """Kept when taken back."""
    url = reverse("owners", args=[workshop.slug])
    typed = {"checked": "on", "name": "Maren", "authority": "the county", "on": "2999-01-01"}
    page = lead_client.post(url, typed).content.decode()
    assert "01 Jan 2999 has not come yet; write a date up to today." in page
    assert 'value="the county"' in page
    assert not workshop.local_checks.exists()
    lead_client.post(url, typed | {"on": "2020-01-02"})
    assert checking.package_mark(workshop) == "NOT FOR SALE"
    lead_client.post(reverse("owners-take-back", args=[workshop.slug]))
    assert checking.current(workshop) is None
    assert workshop.local_checks.count() == 1


def test_the_mark_is_left_off_only_on_the_authoritys_word(
    lead_client: Client, workshop: Workshop
) -> None:
    """And the words are written down."""
    url = reverse("owners", args=[workshop.slug])
    typed = {
        "checked": "on", "name": "Maren", "authority": "the county", "on": "2020-01-02",
        "may_leave_off": "on",
    }  # fmt: skip
    page = lead_client.post(url, typed).content.decode()
    assert "To leave NOT FOR SALE off, write down what was said" in page
    lead_client.post(url, typed | {"note": "Inspected at the plant in town."})
    assert checking.package_mark(workshop) == ""
    make_local_check(workshop, made_at=timezone.now() + timedelta(minutes=1))
    assert checking.package_mark(workshop) == "NOT FOR SALE"


def test_a_hog_under_withdrawal_is_not_chosen(lead_client: Client, workshop: Workshop) -> None:
    """The refusal names both dates and what would do."""
    hog = make_hog(workshop, status="raised")
    url = reverse("treatments", args=[workshop.slug, hog.pk])
    page = lead_client.post(url, {"product": "A", "on": "2999-01-01", "withdrawal_days": "400"})
    text = page.content.decode()
    assert "has not come yet" in text
    assert "less than or equal to 365" in text
    hog.treatments.create(product="A", on=FIRST_DAY, withdrawal_days=18)
    page_url = reverse("hog", args=[workshop.slug, hog.pk])
    form = lead_client.get(page_url).context["form"]
    typed = {
        "tag": hog.tag, "order": 1, "weight": "265", "coat": hog.coat, "status": "chosen",
        "version": form["version"].value(), "owners-TOTAL_FORMS": 0, "owners-INITIAL_FORMS": 0,
    }  # fmt: skip
    page = lead_client.post(page_url, typed)
    assert "A withdrawal runs until 29 Jan 2030 and the course begins 11 Jan 2030" in (
        page.content.decode()
    )
