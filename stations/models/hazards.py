"""Safety notes, with the signal words in the ANSI Z535 sense."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from stations.models.method import Trusted
from stations.models.places import Duty, Station


class Signal(models.TextChoices):
    """How bad, how likely. Source: ANSI Z535.4 definitions (from memory)."""

    DANGER = "danger", "DANGER"
    WARNING = "warning", "WARNING"
    CAUTION = "caution", "CAUTION"
    NOTICE = "notice", "NOTICE"

    @property
    def rank(self) -> int:
        """0 for the worst."""
        return list(Signal).index(self)


class HazardNote(models.Model):
    """One note at a station, or at one duty of it."""

    station = models.ForeignKey(Station, on_delete=models.CASCADE, related_name="notes")
    duty = models.ForeignKey(
        Duty, on_delete=models.CASCADE, null=True, blank=True, related_name="notes"
    )
    signal = models.CharField(max_length=7, choices=Signal.choices)
    text = models.CharField(max_length=300)
    source = models.CharField(max_length=200, blank=True)
    trust = models.CharField(max_length=9, choices=Trusted.choices, default=Trusted.PRACTICE)

    class Meta:
        ordering = ["station", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(signal__in=Signal.values), name="note_signal"),
        ]

    def __str__(self) -> str:
        return f"{self.signal_word}: {self.text}"

    @property
    def signal_word(self) -> str:
        """The word on the band."""
        return Signal(self.signal).label

    @property
    def source_line(self) -> str:
        """Small print: where it comes from and how far to trust it."""
        trust = Trusted(self.trust).label
        return f"{self.source} ({trust})" if self.source else trust
