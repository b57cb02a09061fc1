"""How an open page hears of a change: counters, the stream of one page, the polling twin."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Iterator
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from scheduling import events
from scheduling.events import Hub, Stream, TooManyListeners
from tests.build import make_dip, make_link, make_workshop
from workshops.models import Enrolment, Topic, Workshop
from workshops.pulse import beat, counts_of


@pytest.fixture
def hub() -> Iterator[Hub]:
    """One of the test's own; its thread ends when nobody listens."""
    before = set(threading.enumerate())  # another test may have left a stream of the site's open
    made = Hub()
    yield made
    deadline = time.monotonic() + 10
    while any(one.name == "hub" for one in set(threading.enumerate()) - before):
        assert time.monotonic() < deadline, "the hub's thread did not end"
        time.sleep(0.02)


def said(chunks: Iterator[bytes]) -> dict[str, Any]:
    """The next message of a stream."""
    for chunk in chunks:
        if chunk.startswith(b"data: "):
            found: dict[str, Any] = json.loads(chunk[6:])
            return found
    raise AssertionError("The stream ended.")


@pytest.mark.django_db
def test_each_change_counts_one_and_a_change_undone_counts_none(workshop: Workshop) -> None:
    """The counter is raised in the transaction of the change."""
    beat(workshop.pk, Topic.DIP)
    beat(workshop.pk, Topic.DIP)
    with transaction.atomic():
        beat(workshop.pk, Topic.DIP)
        transaction.set_rollback(True)
    assert counts_of(workshop.pk) == {"dip": 2}


@pytest.mark.django_db(transaction=True)
def test_a_stream_says_how_things_stand_and_then_each_change(workshop: Workshop, hub: Hub) -> None:
    """At once when it is opened, and again as soon as the counter moves."""
    beat(workshop.pk, Topic.PLAN)
    stream = Stream(workshop, hub=hub)
    chunks = iter(stream)
    assert said(chunks)["counts"] == {"plan": 1}
    beat(workshop.pk, Topic.DIP)
    beat(make_workshop().pk, Topic.DIP)
    told = said(chunks)
    assert told["counts"] == {"plan": 1, "dip": 1}
    assert told["now_ms"] > 0
    stream.close()


@pytest.mark.django_db(transaction=True)
def test_a_stream_without_news_speaks_all_the_same(
    workshop: Workshop, hub: Hub, monkeypatch: pytest.MonkeyPatch
) -> None:
    """So that a page which hears nothing knows that its link is gone."""
    monkeypatch.setattr(events, "BEAT_S", 0.05)
    stream = Stream(workshop, hub=hub)
    chunks = iter(stream)
    assert [said(chunks)["counts"] for _ in range(3)] == [{}, {}, {}]
    stream.close()


@pytest.mark.django_db(transaction=True)
def test_a_place_is_given_back_once_and_the_one_too_many_is_refused(
    workshop: Workshop, hub: Hub, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Closing twice, or before anything was sent, gives one place back."""
    monkeypatch.setattr(events, "MOST_STREAMS", 2)
    first, second = Stream(workshop, hub=hub), Stream(workshop, hub=hub)
    with pytest.raises(TooManyListeners):
        Stream(workshop, hub=hub)
    first.close()
    first.close()
    assert hub.listeners == 1
    third = Stream(workshop, hub=hub)
    second.close()
    third.close()
    assert hub.listeners == 0


@pytest.mark.django_db(transaction=True)
def test_a_page_without_a_place_is_told_to_poll(
    lead_client: Client, workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The stream has no content; its twin says the same as one object."""
    monkeypatch.setattr(events, "MOST_STREAMS", 0)
    assert lead_client.get(reverse("events", args=["winter"])).status_code == 204
    beat(workshop.pk, Topic.CLOCK)
    answer = lead_client.get(reverse("events-now", args=["winter"]))
    assert answer.json()["counts"] == {"clock": 1}
    assert "no-cache" in answer["Cache-Control"]


@pytest.mark.django_db
def test_a_card_listens_to_its_own_course_alone(attendee: Enrolment, client: Client) -> None:
    """By the private link; another course's changes are not told."""
    beat(make_dip().workshop_id, Topic.DIP)
    beat(attendee.workshop_id, Topic.LOG)
    url = reverse("card-events-now", args=[attendee.link.word])
    assert client.get(url).json()["counts"] == {"log": 1}


@pytest.mark.django_db
def test_a_link_that_was_taken_back_hears_nothing(client: Client) -> None:
    """Neither by the stream nor by its twin."""
    for name in ("card-events", "card-events-now"):
        assert client.get(reverse(name, args=["gone"])).status_code == 404
    assert make_link().word != "gone"
