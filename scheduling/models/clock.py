"""What really happened, beside what was planned: a step's start, its pauses, its finish."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models

from workshops.models import Day, Enrolment


class Mark(models.TextChoices):
    """What of a step was seen: its ends, and the pauses between."""

    STARTED = "started", "started"
    PAUSED = "paused", "paused"
    RESUMED = "resumed", "gone on"
    FINISHED = "finished", "finished"


class Actual(models.Model):
    """Append-only. Of one step's rows with one end as mark the newest counts; without ``at`` it is
    empty. Pauses are read in the order they were written; one without ``at`` takes the last away.

    ``code`` names the step in every version of the plan, so that a new version keeps its times.
    ``client_id`` is made by the page: a second arrival of the same press changes nothing.
    """

    day = models.ForeignKey(Day, on_delete=models.CASCADE, related_name="actuals")
    code = models.CharField(max_length=80)
    mark = models.CharField(max_length=8, choices=Mark.choices)
    at = models.DateTimeField(null=True, blank=True, help_text="Empty takes the mark back.")
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True
    )
    by_enrolment = models.ForeignKey(
        Enrolment, on_delete=models.SET_NULL, null=True, blank=True, related_name="marks"
    )
    client_id = models.UUIDField(default=uuid.uuid4, unique=True)
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["day", "code"], name="actual_of_a_step")]

    def __str__(self) -> str:
        when = f"{self.at:%H:%M}" if self.at else "taken back"
        return f"{self.code} {self.mark} {when}"

    @property
    def writer(self) -> str:
        """Who marked it, as said in the yard."""
        if self.by_enrolment is not None:
            return self.by_enrolment.attendee.given_name
        return str(self.by) if self.by is not None else ""
