"""Who signs in: organizer, lead and helpers. Attendees use private links instead."""

from __future__ import annotations

from django.contrib.auth.models import AbstractUser


class User(AbstractUser):
    """A member of the staff. What they may do comes from their group."""

    def __str__(self) -> str:
        return self.get_full_name() or self.username
