"""What really happened, beside what was planned: when a step started and when it was finished."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models

from workshops.models import Day


class Mark(models.TextChoices):
    """Which end of a step was seen."""

    STARTED = "started", "started"
    FINISHED = "finished", "finished"


class Actual(models.Model):
    """Append-only. Of one step's rows with one mark the newest counts; without ``at`` it is empty.

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
    client_id = models.UUIDField(default=uuid.uuid4, unique=True)
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["day", "code"], name="actual_of_a_step")]

    def __str__(self) -> str:
        when = f"{self.at:%H:%M}" if self.at else "taken back"
        return f"{self.code} {self.mark} {when}"
