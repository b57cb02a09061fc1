"""Kit: what is at the farm, and how many."""

from __future__ import annotations

from django.db import models

from stations.models.places import Station
from workshops.models import Workshop


class EquipmentKind(models.TextChoices):
    """What a piece of kit is for."""

    VESSEL = "vessel", "vessel"
    FIRE = "fire", "fire or burner"
    CHAIN = "chain", "chain"
    HOIST = "hoist", "hoist or tackle"
    THERMOMETER = "thermometer", "thermometer"
    BLADE = "blade", "knife, scraper or saw"
    BENCH = "bench", "bench or table"
    BUCKET = "bucket", "bucket or tub"
    OTHER = "other", "other"


class Equipment(models.Model):
    """One kind of thing and its count."""

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="equipment")
    station = models.ForeignKey(
        Station, on_delete=models.SET_NULL, null=True, blank=True, related_name="equipment"
    )
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=11, choices=EquipmentKind.choices)
    count = models.PositiveSmallIntegerField(default=1)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["station__order", "kind", "name"]
        verbose_name_plural = "equipment"
        constraints = [
            models.UniqueConstraint(fields=["workshop", "name"], name="one_row_a_thing"),
        ]

    def __str__(self) -> str:
        return f"{self.count} x {self.name}"
