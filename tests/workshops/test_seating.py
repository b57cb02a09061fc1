"""Seats and the waiting list: offers, their end, and fifty who reach for the last one."""

from __future__ import annotations

import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from datetime import timedelta
from pathlib import Path
from threading import Barrier

import pytest
from django.core import mail
from django.db import connections
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import Settings

from tests import migrated, servers
from tests.build import FIRST_DAY, NOW, make_enrolment, make_household, make_link, make_workshop
from tests.workshops.test_sign_up import typed
from workshops import letters, seating
from workshops.models import (
    Enrolment,
    EnrolmentStatus,
    Letter,
    LetterState,
    SeatChange,
    Workshop,
)

LATER = NOW + timedelta(hours=73)


def waiting(course: Workshop, people: int = 1, *, minutes: int = 0) -> list[Enrolment]:
    """A household in line since so many minutes before now."""
    household = make_household()
    since = NOW - timedelta(minutes=minutes)
    return [
        make_enrolment(
            course, household=household, status=EnrolmentStatus.WAITING, waiting_since=since
        )
        for _ in range(people)
    ]


def statuses(*seats: Enrolment) -> list[str]:
    return [Enrolment.objects.get(pk=seat.pk).status for seat in seats]


@pytest.mark.django_db
def test_a_freed_seat_is_offered_to_the_next_in_line() -> None:
    """The longest waiting first, with an end, a letter, and a note of why."""
    course = make_workshop(seats=1, offer_hours=72)
    (second,), (first,) = waiting(course, minutes=5), waiting(course, minutes=60)
    assert seating.move_line(course, now=NOW) == 1
    assert statuses(first, second) == ["offered", "waiting"]
    first.refresh_from_db()
    assert first.offer_ends_at == NOW + timedelta(hours=72)
    assert Letter.objects.get().seat == first
    assert SeatChange.objects.get(enrolment=first).reason == "a seat came free"
    assert seating.move_line(course, now=NOW) == 0


@pytest.mark.django_db
def test_an_offer_that_runs_out_goes_to_the_next() -> None:
    """The first is told; the second gets the same time to answer."""
    course = make_workshop(seats=1, first_day=FIRST_DAY + timedelta(days=60))
    (first,), (second,) = waiting(course, minutes=60), waiting(course, minutes=5)
    seating.move_line(course, now=NOW)
    seating.move_line(course, now=LATER)
    assert statuses(first, second) == ["withdrawn", "offered"]
    assert [letter.kind for letter in Letter.objects.all()] == ["offered", "lapsed", "offered"]


@pytest.mark.django_db
def test_a_household_is_offered_its_seats_together_or_not_at_all() -> None:
    """A smaller household behind it may go first; the large one keeps its place."""
    course = make_workshop(seats=3)
    make_enrolment(course), make_enrolment(course)
    large, small = waiting(course, 2, minutes=60), waiting(course, 1, minutes=5)
    seating.move_line(course, now=NOW)
    assert statuses(*large, *small) == ["waiting", "waiting", "offered"]
    seating.withdraw(course, small[0].attendee.household, now=NOW)
    Workshop.objects.update(seats=4)
    seating.move_line(course, now=NOW)
    assert statuses(*large) == ["offered", "offered"]


@pytest.mark.django_db
def test_a_newcomer_does_not_overtake_those_who_wait() -> None:
    """Though a seat is free at that moment."""
    course = make_workshop(seats=1)
    waiting(course)
    (newcomer,) = waiting(course)
    assert seating.ask(course, [newcomer], now=NOW) == EnrolmentStatus.WAITING


@pytest.mark.django_db
def test_an_offer_holds_its_seat_until_it_ends() -> None:
    """Nobody else is confirmed into it; afterwards it cannot be taken."""
    course = make_workshop(seats=1)
    (first,) = waiting(course)
    seating.move_line(course, now=NOW)
    other = make_enrolment(course, status=EnrolmentStatus.ENQUIRY)
    with pytest.raises(seating.NoSeatLeft, match="All 1 seats"):
        seating.settle(other, EnrolmentStatus.CONFIRMED, now=NOW)
    with pytest.raises(seating.OfferGone, match="Ask for a seat again"):
        seating.take(course, first.attendee.household, now=LATER)
    seating.settle(other, EnrolmentStatus.CONFIRMED, now=LATER)
    assert statuses(first, other) == ["offered", "confirmed"]


@pytest.mark.django_db
def test_nothing_is_offered_after_the_course() -> None:
    """The line stands still."""
    course = make_workshop(seats=1)
    waiting(course)
    assert seating.move_line(course, now=NOW + timedelta(days=30)) == 0


@pytest.mark.django_db
def test_the_household_takes_gives_up_and_asks_again_on_its_own_page(client: Client) -> None:
    """Each by one button; pressed twice, nothing more happens."""
    course = make_workshop(seats=1, first_day=timezone.localdate() + timedelta(days=60))
    (seat,) = waiting(course)
    word = make_link(seat).word
    seating.move_line(course, now=timezone.now())
    page = client.get(reverse("seat", args=[word])).content.decode()
    assert "Seats are kept for you." in page
    for _ in range(2):
        page = client.post(reverse("seat-take", args=[word]), follow=True).content.decode()
        assert "You are coming." in page
    assert SeatChange.objects.filter(status=EnrolmentStatus.CONFIRMED).count() == 1
    page = client.post(reverse("seat-withdraw", args=[word]), follow=True).content.decode()
    assert "You hold no seat." in page
    page = client.post(reverse("seat-ask-again", args=[word]), follow=True).content.decode()
    assert "You are coming." in page
    assert statuses(seat) == ["confirmed"]


@pytest.mark.django_db
def test_taking_an_offer_that_is_gone_is_told(client: Client) -> None:
    """With what to do instead."""
    course = make_workshop(seats=1)
    (seat,) = waiting(course)
    page = client.post(reverse("seat-take", args=[make_link(seat).word]), follow=True)
    assert "This offer no longer stands" in page.content.decode()


# --- letters -------------------------------------------------------------------------------------
@pytest.mark.django_db
def test_a_letter_is_sent_once_with_the_private_link() -> None:
    """Two workers, one letter. The subject is the first line of its words."""
    course = make_workshop(name="Winter course", seats=1)
    (seat,) = waiting(course)
    seating.move_line(course, now=NOW)
    assert letters.send_waiting(now=NOW) == 1
    assert letters.send_waiting(now=LATER) == 0
    (sent,) = mail.outbox
    assert sent.subject == "A seat is free at Winter course"
    assert sent.to == [seat.attendee.household.email]
    seat.refresh_from_db()
    assert reverse("seat", args=[seat.link.word]) in sent.body
    assert "Mon" in sent.body or "kept for you until" in sent.body


@pytest.mark.django_db
def test_a_mail_server_that_is_down_delays_the_letter_and_loses_nothing(
    settings: Settings,
) -> None:
    """It is tried again later, and given up after six tries with its state shown."""
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 9
    course = make_workshop(seats=1)
    waiting(course)
    seating.move_line(course, now=NOW)
    for tries in range(6):
        assert letters.send_waiting(now=NOW + timedelta(minutes=3 * tries)) == 0
    assert Letter.objects.get().state == LetterState.FAILED


@pytest.mark.django_db
def test_the_console_shows_a_letter_without_its_link(
    settings: Settings, capsys: pytest.CaptureFixture[str]
) -> None:
    """What a worker prints may be kept; a private link must not be."""
    settings.EMAIL_BACKEND = "workshops.mail.MaskingBackend"
    course = make_workshop(seats=1)
    (seat,) = waiting(course)
    seating.move_line(course, now=NOW)
    letters.send_waiting(now=NOW)
    said = capsys.readouterr().out
    seat.refresh_from_db()
    assert "/seat/[private]/" in said
    assert seat.link.word not in said


# --- fifty at once -------------------------------------------------------------------------------
FIFTY = 50
ROOT = Path(__file__).resolve().parents[2]
SCRIPT = """
import django, logging
django.setup()
logging.getLogger("django.request").setLevel(logging.CRITICAL)
from django.test.utils import setup_test_environment
setup_test_environment()
from django.conf import settings
settings.STORAGES["staticfiles"] = {
    "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
}
from tests.build import make_workshop
from tests.workshops.test_seating import fifty_sign_up
print(fifty_sign_up(make_workshop(slug="last-seat", takes_sign_ups=True, seats=1)))
"""


@pytest.mark.parametrize("database", ["sqlite", "postgresql"])
def test_of_fifty_who_sign_up_for_the_last_seat_at_once_one_gets_it(
    database: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    """Through the real page, on a real file or server; nobody meets an error, forty-nine wait.

    A process of its own, since the tests' own database is one connection in memory.
    """
    environment = os.environ | {
        "DJANGO_SETTINGS_MODULE": "config.settings",
        "GAMBREL_VAR": str(tmp_path),
        "DATABASE_URL": "",
    }
    with ExitStack() as after:
        if database == "postgresql":
            server = request.getfixturevalue("postgresql_server")
            environment["DATABASE_URL"] = after.enter_context(servers.database_on(server))
            command = [sys.executable, "manage.py", "migrate", "-v0"]
            subprocess.run(command, cwd=ROOT, env=environment, check=True)
        else:
            migrated.copy_into(tmp_path)
        ran = subprocess.run(
            [sys.executable, "-c", SCRIPT],
            cwd=ROOT, env=environment, capture_output=True, text=True, check=False,
        )  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.split() == ["50", "answers", "1", "confirmed", "49", "waiting"]


def fifty_sign_up(course: Workshop) -> str:
    """Fifty browsers, each from its own place, press the button together."""
    url, start = reverse("sign-up", args=[course.slug]), Barrier(FIFTY)

    def one(number: int) -> int:
        form = typed(waiver_read="", email=f"reed{number}@example.org")
        try:
            start.wait()
            return Client(REMOTE_ADDR=f"10.0.0.{number}").post(url, form).status_code
        finally:
            connections.close_all()

    with ThreadPoolExecutor(FIFTY) as pool:
        codes = list(pool.map(one, range(FIFTY)))
    assert set(codes) == {302}, codes
    found = list(course.enrolments.values_list("status", flat=True))
    confirmed, in_line = found.count("confirmed"), found.count("waiting")
    return f"{len(codes)} answers {confirmed} confirmed {in_line} waiting"
