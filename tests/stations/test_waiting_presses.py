"""A press that waited on a phone: when it happened, and what the phone's script is answered."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from stations.models import Dip, DipEntry, Station
from tests.build import make_animal, make_day, make_dip, make_station, make_trough, make_workshop
from tests.cast import client_of
from workshops.models import User, Workshop

pytestmark = pytest.mark.django_db

SCRIPT = {"X-Fragment": "1"}


@pytest.fixture
def workshop(db: None) -> Workshop:
    """A workshop whose only day is today."""
    made = make_workshop(name="Winter course", slug="winter", days=0)
    make_day(made, date=timezone.now().astimezone(made.zone).date())
    return made


@pytest.fixture
def station(workshop: Workshop) -> Station:
    return make_trough(make_station(workshop, letter="T", name="Trough")).station


def url(name: str, *ids: int) -> str:
    return reverse(name, args=["winter", "T", *ids])


def test_a_press_happened_when_it_was_pressed_and_not_when_it_came(
    station: Station, lead: User
) -> None:
    """Three minutes without a link are taken off, whatever the phone's own clock says."""
    dip = make_dip(station, water_in_at=timezone.now() - timedelta(minutes=5))
    press = {"client_id": uuid4(), "waited_ms": 180_000}
    client_of(lead).post(url("trough-roll", dip.pk), press, headers=SCRIPT)
    row = DipEntry.objects.get()
    assert row.received_at - row.at == timedelta(minutes=3)


def test_in_water_pressed_without_a_link_keeps_its_moment(station: Station, lead: User) -> None:
    """The script is told that it is written; a second arrival makes no second dip."""
    hog = make_animal(station.workshop)
    press = {
        "client_id": uuid4(),
        "waited_ms": 60_000,
        "animal": hog.pk,
        "water_kg": "60",
        "strike_c": "157",
        "thermometer": "",
    }
    client = client_of(lead)
    for _ in range(2):
        assert client.post(url("trough-start"), press, headers=SCRIPT).status_code == 204
    dip = Dip.objects.get()
    assert dip.received_at - dip.water_in_at == timedelta(minutes=1)


def test_who_may_not_is_told_why(station: Station, lead: User) -> None:
    """The reason stands in the answer, for the list of what was not written."""
    dip = make_dip(station, water_in_at=timezone.now() - timedelta(minutes=9))
    client = client_of(lead)
    client.post(url("trough-out", dip.pk), {"client_id": uuid4()}, headers=SCRIPT)
    late = client.post(url("trough-roll", dip.pk), {"client_id": uuid4()}, headers=SCRIPT)
    assert late.status_code == 409
    assert "has been out since" in late.content.decode()
    assert DipEntry.objects.count() == 1


def test_a_press_without_its_id_is_refused_in_words(station: Station, lead: User) -> None:
    """Nothing is written that a second arrival could write again."""
    dip = make_dip(station, water_in_at=timezone.now())
    answer = client_of(lead).post(url("trough-roll", dip.pk), {}, headers=SCRIPT)
    assert (answer.status_code, DipEntry.objects.count()) == (409, 0)
    assert "without its id" in answer.content.decode()
