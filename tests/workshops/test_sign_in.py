"""The door of the staff."""

from __future__ import annotations

from django.test import Client
from django.urls import reverse

from workshops.models import User


def test_signing_in_opens_the_page_that_was_asked_for(
    nobody_client: Client, organizer: User
) -> None:
    """The page asked for is kept through the door."""
    asked = nobody_client.get(reverse("home"))
    typed = {"username": organizer.username, "password": "correct horse", "next": "/"}
    response = nobody_client.post(asked["Location"], typed)
    assert (response.status_code, response["Location"]) == (302, "/")


def test_a_wrong_password_is_told_and_the_name_kept(nobody_client: Client, lead: User) -> None:
    """The refusal does not say which of the two was wrong."""
    typed = {"username": lead.username, "password": "wrong"}
    page = nobody_client.post(reverse("sign-in"), typed).content.decode()
    assert "No sign-in has that name with that password." in page
    assert f'value="{lead.username}"' in page


def test_signing_out_ends_the_visit(lead_client: Client) -> None:
    """The next page asks to sign in again."""
    lead_client.post(reverse("sign-out"))
    assert lead_client.get(reverse("home")).status_code == 302
