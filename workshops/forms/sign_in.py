"""The door."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.forms import AuthenticationForm

from workshops.forms.layout import helper


class SignInForm(AuthenticationForm):
    """Name and password of the staff."""

    error_messages = {
        "invalid_login": (
            "No sign-in has that name with that password. Check both; capitals count in each."
        ),
        "inactive": "This sign-in is switched off. Ask the organizer to switch it on.",
    }

    def __init__(self, request: Any = None, *args: Any, **kwargs: Any) -> None:
        # Any: Django's own signature, passed on unread.
        super().__init__(request, *args, **kwargs)
        self.fields["username"].label = "Name"
        self.helper = helper("username", "password")
