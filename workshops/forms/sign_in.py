"""The door."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.forms import AuthenticationForm
from django.core.exceptions import ValidationError
from django.utils import timezone

from workshops import throttling
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

    def clean(self) -> dict[str, Any]:
        """Name and password, no more often than the limits allow.

        A name is counted with the place it is tried from: a stranger elsewhere cannot lock the
        lead out on the morning of the course.
        """
        now, place = timezone.now(), throttling.place_of(self.request) if self.request else ""
        name = f"{self.cleaned_data.get('username', '')}|{place}"
        limits = ((throttling.SIGN_IN_OF_A_NAME, name), (throttling.SIGN_IN_FROM_A_PLACE, place))
        try:
            for limit, who in limits:
                throttling.check(limit, who, now=now)
            typed: dict[str, Any] = super().clean()
        except throttling.TooOften as refusal:
            raise ValidationError(str(refusal)) from refusal
        except ValidationError:
            for limit, who in limits:
                throttling.count(limit, who, now=now)
            raise
        throttling.forget(throttling.SIGN_IN_OF_A_NAME, name)
        return typed
