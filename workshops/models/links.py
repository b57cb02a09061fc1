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

WORD_LENGTH = 22


def new_seed() -> str:
    """128 random bits, as text."""
    return secrets.token_hex(16)


def word_for(seed: str) -> str:
    """The unguessable word of a seed: 22 characters, 132 bits."""
    made = hmac.new(settings.SECRET_KEY.encode(), b"card-link:" + seed.encode(), hashlib.sha256)
    return base64.urlsafe_b64encode(made.digest()).decode()[:WORD_LENGTH]


def digest_of(word: str) -> str:
    """What is stored and looked up."""
    return hashlib.sha256(word.encode()).hexdigest()


class CardLink(models.Model):
    """One enrolment's private link."""

    enrolment = models.OneToOneField(Enrolment, on_delete=models.CASCADE, related_name="link")
    seed = models.CharField(max_length=32, default=new_seed, editable=False)
    digest = models.CharField(max_length=64, unique=True, editable=False)
    made_at = models.DateTimeField(auto_now_add=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["enrolment"]

    def __str__(self) -> str:
        return f"link of {self.enrolment}"

    def save(self, **kwargs: object) -> None:
        self.digest = digest_of(self.word)
        super().save(**kwargs)  # type: ignore[arg-type]  # Django's own keyword arguments

    @property
    def word(self) -> str:
        """The secret part of the address. Never log it."""
        return word_for(self.seed)

    @property
    def path(self) -> str:
        """The address within the site."""
        return reverse("card", args=[self.word])

    def renew(self) -> None:
        """Make a new word; the old link stops working."""
        self.seed = new_seed()
        self.revoked_at = None
        self.save()

    def revoke(self, *, now: datetime) -> None:
        """End the link."""
        self.revoked_at = now
        self.save()
