"""Private links: how an attendee opens their card without a password.

The link's word is made from the server's secret and a random seed in the row, so that it can be
printed again on paper, while a copy of the database alone opens nothing. Only its hash is looked
up. Changing the seed, or setting ``revoked_at``, ends the link.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import secrets
from datetime import datetime

from django.conf import settings
from django.db import models
from django.urls import reverse

from workshops.models.enrolment import Enrolment
from workshops.models.people import StaffMember

WORD_LENGTH = 22


def new_seed() -> str:
    """128 random bits, as text."""
    return secrets.token_hex(16)


def word_for(seed: str, *, purpose: str = "card-link") -> str:
    """The unguessable word of a seed: 22 characters, 132 bits."""
    said = f"{purpose}:{seed}".encode()
    made = hmac.new(settings.SECRET_KEY.encode(), said, hashlib.sha256)
    return base64.urlsafe_b64encode(made.digest()).decode()[:WORD_LENGTH]


def digest_of(word: str) -> str:
    """What is stored and looked up."""
    return hashlib.sha256(word.encode()).hexdigest()


class PrivateLink(models.Model):
    """What every private link has."""

    seed = models.CharField(max_length=32, default=new_seed, editable=False)
    digest = models.CharField(max_length=64, unique=True, editable=False)
    made_at = models.DateTimeField(auto_now_add=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    # Part of the word, so that a word of one kind never opens the other.
    purpose = "card-link"

    class Meta:
        abstract = True

    def __str__(self) -> str:
        return f"{self.purpose} made {self.made_at:%Y-%m-%d}"

    def save(self, **kwargs: object) -> None:
        self.digest = digest_of(self.word)
        super().save(**kwargs)  # type: ignore[arg-type]  # Django's own keyword arguments

    @property
    def word(self) -> str:
        """The secret part of the address. Never log it."""
        return word_for(self.seed, purpose=self.purpose)

    def renew(self) -> None:
        """Make a new word; the old link stops working."""
        self.seed = new_seed()
        self.revoked_at = None
        self.save()

    def revoke(self, *, now: datetime) -> None:
        """End the link."""
        self.revoked_at = now
        self.save()


class CardLink(PrivateLink):
    """One enrolment's private link."""

    enrolment = models.OneToOneField(Enrolment, on_delete=models.CASCADE, related_name="link")

    class Meta:
        ordering = ["enrolment"]

    def __str__(self) -> str:
        return f"link of {self.enrolment}"

    @property
    def path(self) -> str:
        """The address of the card within the site."""
        return reverse("card", args=[self.word])

    @property
    def seat_path(self) -> str:
        """The address of the household's own page within the site."""
        return reverse("seat", args=[self.word])


class FeedLink(PrivateLink):
    """The calendar feed of one member of the staff: a calendar program cannot sign in."""

    purpose = "staff-feed"

    staff = models.OneToOneField(StaffMember, on_delete=models.CASCADE, related_name="feed")

    class Meta:
        ordering = ["staff"]

    def __str__(self) -> str:
        return f"feed of {self.staff}"

    @property
    def path(self) -> str:
        """The address of the feed within the site."""
        return reverse("staff-calendar", args=[self.word])
