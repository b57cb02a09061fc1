"""What every test may ask for: the cast, browsers signed in as them, and a quick, sealed set-up."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import NoReturn

import hypothesis
import pytest
from django.conf import settings
from django.db import connection
from django.test import Client
from pytest_django.plugin import DjangoDbBlocker

from tests import cast, migrated, servers
from tests.build import make_workshop
from workshops.models import Enrolment, User, Workshop

REQUIRE_ALL = "GAMBREL_REQUIRE_ALL"

# No test measures speed; and CI tries the same examples each time, so that red means a change.
hypothesis.settings.register_profile("house", deadline=None, derandomize=bool(os.environ.get("CI")))
hypothesis.settings.load_profile("house")


def missing(what: str) -> NoReturn:
    """Skip a test for want of a system package; with GAMBREL_REQUIRE_ALL=1 fail instead."""
    if os.environ.get(REQUIRE_ALL) == "1":
        pytest.fail(f"{what} is missing, and {REQUIRE_ALL}=1 asks for every test.")
    pytest.skip(f"missing system package: {what}")


def pytest_configure() -> None:
    """Plain static files (no collected manifest), a broker in memory, and a quick password hash.

    pytest-django has read the settings by now, and nothing has used them yet.
    """
    settings.STORAGES["staticfiles"] = {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
    }
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.CELERY_BROKER_URL = "memory://"
    settings.CELERY_BROKER_TRANSPORT_OPTIONS = {}
    # The folder of collected files is absent, which WhiteNoise warns of; the tests need none.
    settings.WHITENOISE_AUTOREFRESH = True


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The long ones first: begun last, one would run on alone while the other cores wait."""
    items.sort(key=lambda item: not {"storage", "pages"} & set(item.path.parts))


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings_parallel_suffix: None) -> None:
    """The tests' database is filled from one that was migrated once."""
    if connection.vendor == "sqlite":
        connection.settings_dict["TEST"]["MIGRATE"] = False
    else:
        template = migrated.template_database(os.environ["DATABASE_URL"])
        connection.settings_dict["TEST"]["TEMPLATE"] = template


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """As pytest-django has it; then each table as migrations leave it, with its constraints."""
    if connection.vendor == "sqlite":
        with django_db_blocker.unblock():
            connection.ensure_connection()
            migrated.fill(connection.connection)
    yield
    if connection.vendor == "postgresql":
        # The threads behind an asynchronous page live on, each with its connection, and a
        # database that someone is connected to cannot be dropped.
        with django_db_blocker.unblock(), connection.cursor() as cursor:
            cursor.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
                " WHERE datname = current_database() AND pid <> pg_backend_pid()"
            )


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[str]:
    """The address of a PostgreSQL server of these tests' own."""
    if servers.postgresql_programs() is None:
        missing("PostgreSQL's server")
    with servers.postgresql() as url:
        yield url


@pytest.fixture(scope="session")
def redis_server() -> Iterator[str]:
    """The address of a Redis of these tests' own."""
    if servers.redis_program() is None:
        missing("Redis")
    with servers.redis() as url:
        yield url


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: os.PathLike[str]) -> Iterator[None]:
    """What a test makes (sheets of paper) goes to its own folder."""
    kept = settings.MEDIA_ROOT
    settings.MEDIA_ROOT = tmp_path
    yield
    settings.MEDIA_ROOT = kept


@pytest.fixture
def workshop(db: None) -> Workshop:
    """A three-day workshop with nobody in it."""
    return make_workshop(name="Winter course", slug="winter")


@pytest.fixture
def organizer(db: None) -> User:
    """Sees every workshop."""
    return cast.make_organizer()


@pytest.fixture
def lead(workshop: Workshop) -> User:
    """Leads the workshop."""
    return cast.make_lead(workshop)


@pytest.fixture
def helper(workshop: Workshop) -> User:
    """Helps at the workshop."""
    return cast.make_helper(workshop)


@pytest.fixture
def stranger(db: None) -> User:
    """The lead of another workshop."""
    return cast.make_stranger()


@pytest.fixture
def attendee(workshop: Workshop) -> Enrolment:
    """An adult's seat in the workshop, with a private link."""
    return cast.make_linked_attendee(workshop)


@pytest.fixture
def minor(workshop: Workshop) -> Enrolment:
    """A sixteen-year-old's seat in the workshop, with a private link."""
    return cast.make_minor(workshop)


@pytest.fixture
def organizer_client(organizer: User) -> Client:
    """A browser signed in as the organizer."""
    return cast.client_of(organizer)


@pytest.fixture
def lead_client(lead: User) -> Client:
    """A browser signed in as the lead."""
    return cast.client_of(lead)


@pytest.fixture
def helper_client(helper: User) -> Client:
    """A browser signed in as the helper."""
    return cast.client_of(helper)


@pytest.fixture
def stranger_client(stranger: User) -> Client:
    """A browser signed in as the lead of another workshop."""
    return cast.client_of(stranger)


@pytest.fixture
def nobody_client(db: None) -> Client:
    """A browser that nobody signed in with."""
    return cast.client_of(None)
