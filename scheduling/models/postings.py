"""When a draft became what everyone sees, who said so, what changed, and who has heard."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from django.conf import settings
from django.db import models
from django.db.models import Q

from scheduling.models.run_sheets import RunSheet
from workshops.models import Day, Enrolment

if TYPE_CHECKING:
    from typing import Self


class Posting(models.Model):
    """Append-only. ``difference`` is a list of sentences against the version before."""

    run_sheet = models.OneToOneField(RunSheet, on_delete=models.CASCADE, related_name="posting")
    posted_at = models.DateTimeField()
    posted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True
    )
    difference = models.JSONField(default=list, blank=True)
    # The earlier version that was posted again, when a posting was undone.
    again = models.ForeignKey(
        RunSheet, on_delete=models.SET_NULL, null=True, blank=True, related_name="posted_again"
    )

    class Meta:
        ordering = ["-posted_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.run_sheet} at {self.posted_at:%H:%M}"


class Heard(models.TextChoices):
    """How we know that someone has heard of a change."""

    TOLD = "told", "told"
    READ = "read", "read on their card"


class NoticeQuerySet(models.QuerySet["Notice"]):
    """Questions about many notices."""

    def open(self) -> Self:
        """Those nobody has told, and their people have not read."""
        return self.filter(heard_at__isnull=True)

    def of_day(self, day: Day) -> Self:
        """Those of one day."""
        return self.filter(posting__run_sheet__day=day)

    def with_people(self) -> Self:
        """With the attendee and the posting: one query."""
        return self.select_related("enrolment__attendee", "posting__run_sheet")


class Notice(models.Model):
    """One attendee's changed day: what to tell them, until they have heard it."""

    posting = models.ForeignKey(Posting, on_delete=models.CASCADE, related_name="notices")
    enrolment = models.ForeignKey(Enrolment, on_delete=models.CASCADE, related_name="notices")
    sentences = models.JSONField(default=list)
    heard = models.CharField(max_length=4, choices=Heard.choices, blank=True)
    heard_at = models.DateTimeField(null=True, blank=True)
    told_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True
    )

    objects = NoticeQuerySet.as_manager()

    class Meta:
        ordering = ["enrolment__attendee__given_name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["posting", "enrolment"], name="one_notice_a_person_and_posting"
            ),
            models.CheckConstraint(
                condition=Q(heard="", heard_at__isnull=True)
                | Q(heard__in=Heard.values, heard_at__isnull=False),
                name="notice_heard_has_a_time",
                violation_error_message="A notice that was heard says how and when.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.enrolment}: {' '.join(self.sentences)}"

    def heard_line(self, *, now: datetime) -> str:
        """What is known, in words."""
        if self.heard_at is None:
            return "not told yet"
        minutes = int((now - self.heard_at).total_seconds() // 60)
        return f"{Heard(self.heard).label} {minutes} min ago"
