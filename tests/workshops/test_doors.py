"""What a page never shows to whom; who may open which is tried of every page of the site."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from workshops.models import Enrolment


@pytest.mark.parametrize("name", ["home", "workshop", "people"])
def test_a_helper_never_meets_a_health_note_or_a_private_link(
    helper_client: Client, attendee: Enrolment, name: str
) -> None:
    """No page that a helper may open carries either."""
    url = reverse(name, args=[] if name == "home" else [attendee.workshop.slug])
    page = helper_client.get(url).content.decode()
    assert attendee.health_note not in page
    assert attendee.link.word not in page


def test_the_lead_sees_the_health_note_and_the_link(
    lead_client: Client, attendee: Enrolment
) -> None:
    """On the person's own page."""
    url = reverse("person", args=[attendee.workshop.slug, attendee.pk])
    page = lead_client.get(url).content.decode()
    assert attendee.health_note in page
    assert attendee.link.path in page
