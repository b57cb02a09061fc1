"""When a draft became what everyone sees, who said so, and what changed."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from scheduling.models.run_sheets import RunSheet


class Posting(models.Model):
    """Append-only. ``difference`` is a list of sentences against the version before."""

    run_sheet = models.OneToOneField(RunSheet, on_delete=models.CASCADE, related_name="posting")
    posted_at = models.DateTimeField()
    posted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True
    )
    difference = models.JSONField(default=list)

    class Meta:
        ordering = ["-posted_at"]

    def __str__(self) -> str:
        return f"{self.run_sheet} at {self.posted_at:%H:%M}"
