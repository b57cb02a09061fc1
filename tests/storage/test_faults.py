"""A disk that is full or cannot be written, and a database that is away: said, and nothing lost."""

from __future__ import annotations

import errno
import re
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from html import unescape

import psycopg
import pytest
from django.db import DatabaseError, OperationalError, connection
from django.test import Client
from django.urls import reverse

from config.faults import Fault, fault_of
from tests.build import make_workshop
from tests.cast import client_of, make_organizer
from tests.workshops.test_sign_up import typed
from workshops.models import Household

sqlite_only = pytest.mark.skipif(connection.vendor != "sqlite", reason="PRAGMAs are SQLite's")


@contextmanager
def full_disk() -> Iterator[None]:
    """The database may not grow by a page: what SQLite answers when the disk is full."""
    with connection.cursor() as cursor:
        pages = cursor.execute("PRAGMA page_count").fetchone()[0]
        cursor.execute(f"PRAGMA max_page_count = {pages}")
        # What was deleted before leaves free pages that would still take a few rows.
        cursor.execute("PRAGMA incremental_vacuum")
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA max_page_count = 4294967294")


@contextmanager
def read_only_disk() -> Iterator[None]:
    """No statement may write: what SQLite answers when the file system is read-only."""
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA query_only = ON")
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA query_only = OFF")


@pytest.fixture
def organizer(transactional_db: None) -> Client:
    """Sees what the server answers, and no exception of it."""
    client = client_of(make_organizer())
    client.raise_request_exception = False
    return client


def offered(page: str) -> dict[str, str]:
    """The hidden fields of the page that offers to send again."""
    found = re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)">', page)
    return {name: unescape(value) for name, value in found if name != "csrfmiddlewaretoken"}


# More than the free pages of a database with few rows hold: eight people, each with a long note.
NOTE = "Bees & “hay” <dust>.\n" * 90
PEOPLE = 8


@sqlite_only
@pytest.mark.parametrize(
    ("broken", "heading"),
    [(full_disk, "The disk is full"), (read_only_disk, "The disk cannot be written")],
)
def test_a_sign_up_sent_to_a_broken_disk_comes_back_whole_and_can_be_sent_again(
    broken: Callable[[], AbstractContextManager[None]], heading: str, organizer: Client
) -> None:
    """A clear page, nothing half written, every typed word still there, and saved once later."""
    course = make_workshop(takes_sign_ups=True, seats=PEOPLE)
    url = reverse("sign-up", args=[course.slug])
    notes = {f"people-{number}-health_note": NOTE for number in range(PEOPLE)}
    form = typed(PEOPLE, waiver_read="", **notes)
    with broken():
        answer = organizer.post(url, form)
    assert answer.status_code == 503
    page = answer.content.decode()
    assert f"<h1>{heading}</h1>" in page
    assert "was not saved" in page
    assert answer["Retry-After"] == "30"
    assert offered(page) == form
    assert (Household.objects.count(), course.enrolments.count()) == (0, 0)
    assert organizer.post(url, offered(page)).status_code == 302
    assert (Household.objects.count(), course.enrolments.count()) == (1, PEOPLE)


@sqlite_only
def test_a_page_is_read_from_a_read_only_disk(organizer: Client) -> None:
    """Reading goes on: the day is on the screens while the disk is mended."""
    make_workshop(slug="winter")
    with read_only_disk():
        assert organizer.get(reverse("course", args=["winter"])).status_code == 200


def test_a_password_is_not_sent_back(organizer: Client) -> None:
    """A sign-in that met a broken disk: the name comes back, the password is typed again."""
    organizer.logout()
    if connection.vendor != "sqlite":
        pytest.skip("PRAGMAs are SQLite's")
    with read_only_disk():
        answer = organizer.post(
            reverse("sign-in"), {"username": "organizer", "password": "correct horse"}
        )
    assert answer.status_code == 503
    assert "correct horse" not in answer.content.decode()
    assert offered(answer.content.decode()) == {"username": "organizer"}


@pytest.mark.parametrize(
    ("error", "fault"),
    [
        (OperationalError("database or disk is full"), Fault.FULL),
        (OperationalError("attempt to write a readonly database"), Fault.READ_ONLY),
        (OperationalError("disk I/O error"), Fault.READ_ONLY),
        (OperationalError("unable to open database file"), Fault.READ_ONLY),
        (OperationalError("database is locked"), Fault.BUSY),
        (DatabaseError("database disk image is malformed"), Fault.DAMAGED),
        (OperationalError("connection failed: Connection refused"), Fault.AWAY),
        (OperationalError("the database system is shutting down"), Fault.AWAY),
        (OperationalError("couldn't get a connection after 5.00 sec"), Fault.AWAY),
        (OSError(errno.ENOSPC, "No space left on device"), Fault.FULL),
        (OSError(errno.EROFS, "Read-only file system"), Fault.READ_ONLY),
        (FileNotFoundError(errno.ENOENT, "No such file"), None),
        (DatabaseError("no such table: course"), None),
        (ValueError("disk is full"), None),
    ],
)
def test_each_fault_of_the_storage_is_known_by_its_words(
    error: Exception, fault: Fault | None
) -> None:
    """As SQLite 3 and PostgreSQL word them; anything else is a fault of ours."""
    assert fault_of(error) == fault


def test_a_fault_behind_another_exception_is_found() -> None:
    """Templates and forms wrap what they meet."""
    try:
        try:
            raise psycopg.errors.DiskFull("could not extend file: No space left on device")
        except psycopg.Error as error:
            raise OperationalError(str(error)) from error
    except OperationalError as found:
        wrapped = RuntimeError("while rendering")
        wrapped.__cause__ = found
    assert fault_of(wrapped) == Fault.FULL
