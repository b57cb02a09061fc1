"""How a carcass is chilled, and what the probe said."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q

from stations.models.noting import Noted, NotedQuerySet
from stations.models.thermometers import Thermometer, ThermometerCheck
from stations.trade.chilling import Hung
from workshops.models import Animal

MOST_AIR_POINTS = 12


class ChillMethod(models.TextChoices):
    """What takes the heat away."""

    STILL_AIR = Hung.STILL_AIR.value, "hung in still air"
    FAN = Hung.FAN.value, "hung before a fan"
    ICE_WATER = Hung.ICE_WATER.value, "in ice and water"


def check_air(value: object) -> None:
    """Pairs of hours after hanging (from 0, rising) and degC."""
    pairs = value if isinstance(value, list) else []
    fine = all(
        isinstance(pair, list) and len(pair) == 2 and all(isinstance(n, int | float) for n in pair)
        for pair in pairs
    )
    hours = [pair[0] for pair in pairs] if fine else []
    if not hours or hours[0] != 0 or sorted(set(hours)) != hours or len(hours) > MOST_AIR_POINTS:
        raise ValidationError("The air is typed from hanging on, each hour once, in order.")


class ChillPlan(models.Model):
    """When a carcass was killed and hung, how, and in what air as far as it is known.

    ``air`` is pairs of hours after hanging and degC; between them the air changes evenly, after
    the last it is taken to stay.
    """

    animal = models.OneToOneField(Animal, on_delete=models.CASCADE, related_name="chill_plan")
    killed_at = models.DateTimeField("killed")
    hung_at = models.DateTimeField("in the cold since")
    method = models.CharField(
        max_length=9, choices=ChillMethod.choices, default=ChillMethod.STILL_AIR
    )
    air = models.JSONField(default=list, validators=[check_air])

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(hung_at__gte=F("killed_at")),
                name="hung_after_the_kill",
                violation_error_message="A carcass is hung after the kill; look at the two times.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal}, {ChillMethod(self.method).label}"


class ProbedPart(models.TextChoices):
    """Where the probe was. The ham's centre alone decides."""

    HAM = "ham", "middle of the ham"
    SHOULDER = "shoulder", "middle of the shoulder"
    AIR = "air", "air beside it"


class ChillReadingQuerySet(NotedQuerySet["ChillReading"]):
    """Questions about many chill readings."""


class ChillReading(Noted):
    """One reading of a carcass. ``read_c`` is what the probe showed, ``temp_c`` what that means
    with the thermometer's own error taken off.
    """

    animal = models.ForeignKey(Animal, on_delete=models.CASCADE, related_name="chill_readings")
    part = models.CharField(
        max_length=8, choices=ProbedPart.choices, default=ProbedPart.HAM, blank=True
    )
    read_c = models.FloatField(null=True, blank=True)
    temp_c = models.FloatField(null=True, blank=True)
    thermometer = models.ForeignKey(
        Thermometer, on_delete=models.RESTRICT, null=True, blank=True, related_name="+"
    )
    check_used = models.ForeignKey(
        ThermometerCheck, on_delete=models.RESTRICT, null=True, blank=True, related_name="+"
    )

    objects = ChillReadingQuerySet.as_manager()

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(is_void=True)
                | Q(read_c__isnull=False, temp_c__range=(-40, 60), part__in=ProbedPart.values),
                name="chill_reading_is_possible",
                violation_error_message=(
                    "A reading of a carcass lies between -40 and 60 degC (-40 and 140 degF)."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal} at {self.at:%d %b %H:%M}"
