"""What a household asked for when it signed up, the waiver, and the letters that go out."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models

from workshops.models.courses import Workshop
from workshops.models.enrolment import Enrolment
from workshops.models.people import Household


class ShareWanted(models.TextChoices):
    """How much meat a household would like; nothing is promised by it."""

    NONE = "none", "none"
    SOME = "some", "a few packages"
    QUARTER = "quarter", "a quarter"
    HALF = "half", "a half"
    WHOLE = "whole", "a whole hog"


class SignUp(models.Model):
    """One household's form for one workshop. The form's own id makes a second post the same one."""

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="sign_ups")
    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="sign_ups")
    heard = models.CharField("how they heard of it", max_length=200, blank=True)
    share_wanted = models.CharField(
        max_length=7, choices=ShareWanted.choices, default=ShareWanted.NONE
    )
    note = models.TextField(blank=True)
    form_id = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.household} for {self.workshop}"


class WaiverText(models.Model):
    """One version of a workshop's waiver. Never changed: an edit is the next version."""

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="waiver_texts")
    version = models.PositiveSmallIntegerField()
    text = models.TextField()
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["-version"]
        constraints = [
            models.UniqueConstraint(fields=["workshop", "version"], name="one_waiver_a_version"),
        ]

    def __str__(self) -> str:
        return f"waiver of {self.workshop}, version {self.version}"


class Waiver(models.Model):
    """One acceptance: who, for which seat, when, and of which words."""

    enrolment = models.ForeignKey(Enrolment, on_delete=models.CASCADE, related_name="waivers")
    text = models.ForeignKey(WaiverText, on_delete=models.PROTECT, related_name="waivers")
    name = models.CharField(max_length=120)
    accepted_at = models.DateTimeField()

    class Meta:
        ordering = ["-accepted_at", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["enrolment", "text"], name="one_acceptance_a_version"),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.accepted_at:%Y-%m-%d %H:%M}"


class LetterKind(models.TextChoices):
    """What a letter says; each has its words in templates/emails."""

    ENQUIRY = "enquiry", "thanks for asking"
    WAITING = "waiting", "on the waiting list"
    OFFERED = "offered", "a seat is free"
    CONFIRMED = "confirmed", "the seat is theirs"
    WITHDRAWN = "withdrawn", "the seat is given up"
    LAPSED = "lapsed", "the offer has run out"
    LINK = "link", "the private link again"


class LetterState(models.TextChoices):
    """How far a letter is."""

    TO_SEND = "to_send", "to send"
    SENDING = "sending", "being sent"
    SENT = "sent", "sent"
    FAILED = "failed", "could not be sent"


class Letter(models.Model):
    """One e-mail to a household, written with the change it tells of and sent afterwards.

    Its words, and the private link in them, are made only when it is sent: no copy is kept.
    """

    seat = models.ForeignKey(Enrolment, on_delete=models.CASCADE, related_name="letters")
    kind = models.CharField(max_length=9, choices=LetterKind.choices)
    state = models.CharField(max_length=7, choices=LetterState.choices, default=LetterState.TO_SEND)
    made_at = models.DateTimeField()
    tried_at = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    sent_at = models.DateTimeField(null=True, blank=True)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True
    )

    class Meta:
        ordering = ["made_at", "pk"]

    def __str__(self) -> str:
        return f"{LetterKind(self.kind).label}: {LetterState(self.state).label}"
