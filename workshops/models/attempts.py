"""How often something was tried lately: what slows down those who guess."""

from __future__ import annotations

from django.db import models


class Attempt(models.Model):
    """Tries under one key in one window of time. The key is a digest, not a name."""

    key = models.CharField(max_length=64)
    window = models.DateTimeField()
    count = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-window"]
        constraints = [
            models.UniqueConstraint(fields=["key", "window"], name="one_count_a_window"),
        ]

    def __str__(self) -> str:
        return f"{self.count} since {self.window:%Y-%m-%d %H:%M}"
