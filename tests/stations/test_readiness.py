"""What a course lacks, with the thermometers that are noted at the trough."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from stations import readiness
from tests.build import NOW, make_check, make_thermometer, make_trough
from workshops.models import Workshop

pytestmark = pytest.mark.django_db


def sentences(workshop: Workshop) -> list[str]:
    """What is said of its thermometers."""
    url = reverse("troughs", args=[workshop.slug])
    return [lack.sentence for lack in readiness.lacks(workshop) if lack.url == url]


def test_thermometers_are_checked_within_a_month(workshop: Workshop) -> None:
    """One that was never checked, one of last summer, one of yesterday; each is told."""
    assert sentences(workshop) == [
        "No thermometer check is written down; check each in ice and at the boil."
    ]
    make_check(make_thermometer(workshop, name="Red handle"))
    assert sentences(workshop) == []
    make_check(make_thermometer(workshop, name="Dial"), at=NOW - timedelta(days=40))
    make_thermometer(workshop, name="Spare")
    assert sentences(workshop) == [
        "Dial was last checked on 02 Dec 2029, more than 30 days before the course; check it "
        "again.",
        "Spare was never checked; check it in ice and at the boil.",
    ]


def test_the_line_leads_to_where_a_check_is_written_down(
    lead_client: Client, workshop: Workshop
) -> None:
    """From home to the trough, whose form mends it."""
    trough = make_trough()
    trough.station.workshop = workshop
    trough.station.save()
    url = reverse("troughs", args=[workshop.slug])
    assert f'href="{url}"' in lead_client.get(reverse("home")).content.decode()
    assert "In ice water" in lead_client.get(url, follow=True).content.decode()
    check = reverse("trough-check", args=[workshop.slug, trough.station.letter])
    typed = {
        "client_id": "7d0d7f3e-7f5c-4a53-9f0c-3f3b4c0c5b11",
        "name": "Red handle",
        "ice_c": "32",
    }
    lead_client.post(check, typed)
    assert "No thermometer check" not in lead_client.get(reverse("home")).content.decode()
