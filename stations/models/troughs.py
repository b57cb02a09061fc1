"""The vessel a hog is scalded in, its fire, its kettle and the weather expected over it."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from stations.models.places import Station
from stations.trade.coats import Season
from stations.trade.fuels import Fuel
from stations.trade.vessels import Cover, Method, Wall


class ScaldMethod(models.TextChoices):
    """How the hog and the hot water are brought together."""

    OPEN_TROUGH = Method.OPEN_TROUGH.value, "open trough"
    TIPPED_BARREL = Method.TIPPED_BARREL.value, "tipped barrel"
    POUR_OVER = Method.POUR_OVER.value, "pour-over with kettles"


class TroughWall(models.TextChoices):
    """What the vessel is made of."""

    SHEET_STEEL = Wall.SHEET_STEEL.value, "sheet steel"
    WOOD = Wall.WOOD.value, "plank"


class HogCover(models.TextChoices):
    """How much of the hog lies under water at once."""

    WHOLE = Cover.WHOLE.value, "covered whole"
    HALF = Cover.HALF.value, "half covered, rolled"


class FireFuel(models.TextChoices):
    """What burns."""

    PROPANE = Fuel.PROPANE.value, "propane"
    WOOD = Fuel.WOOD.value, "wood"


class ScaldSeason(models.TextChoices):
    """The season, since the winter coat coming in makes the hair hard."""

    SPRING = Season.SPRING.value, "spring"
    SUMMER = Season.SUMMER.value, "summer"
    AUTUMN = Season.AUTUMN.value, "autumn"
    WINTER = Season.WINTER.value, "winter"


def between(low: float, high: float) -> list[MinValueValidator | MaxValueValidator]:
    """A number from low to high."""
    return [MinValueValidator(low), MaxValueValidator(high)]


class Trough(models.Model):
    """What one station scalds with, and what the lead expects of the day. SI throughout.

    A pour-over needs the kettle alone; a tipped barrel its diameter as ``width_m`` and its height
    as ``length_m``. Ranges are those of ``stations.trade``, so that a saved row can be computed.
    Defaults are planning values, to be typed over (a judgement).
    """

    station = models.OneToOneField(Station, on_delete=models.CASCADE, related_name="trough")
    method = models.CharField(
        max_length=13, choices=ScaldMethod.choices, default=ScaldMethod.OPEN_TROUGH
    )
    length_m = models.FloatField("inside length", default=1.83, validators=between(0.5, 4))
    width_m = models.FloatField("inside width", default=0.76, validators=between(0.3, 2))
    depth_m = models.FloatField("inside depth", default=0.6, validators=between(0.2, 1.5))
    wall = models.CharField(
        max_length=11, choices=TroughWall.choices, default=TroughWall.SHEET_STEEL
    )
    wall_kg = models.FloatField("weight of the vessel", default=40, validators=between(0, 2000))
    cover = models.CharField(max_length=5, choices=HogCover.choices, default=HogCover.HALF)
    water_kg = models.FloatField(
        "water before the first hog",
        null=True,
        blank=True,
        validators=between(5, 5000),
        help_text="Empty: what the largest hog needs.",
    )
    tap_c = models.FloatField("cold water", default=12, validators=between(0.5, 60))
    fuel = models.CharField(max_length=7, choices=FireFuel.choices, default=FireFuel.PROPANE)
    fire_w = models.FloatField(
        "rated heat of the fire", default=60_000, validators=between(100, 1e6)
    )
    fire_efficiency = models.FloatField(
        "share of the heat that gets in", default=0.4, validators=between(0.02, 0.9)
    )
    fire_stays = models.BooleanField("fire stays on under the hog", default=False)
    kettle_l = models.FloatField(
        "kettle for boiling water", null=True, blank=True, validators=between(5, 200)
    )
    kettle_fuel = models.CharField(max_length=7, choices=FireFuel.choices, default=FireFuel.PROPANE)
    kettle_w = models.FloatField(
        "rated heat under the kettle", default=30_000, validators=between(100, 1e6)
    )
    kettle_efficiency = models.FloatField(
        "share of the kettle's heat that gets in", default=0.4, validators=between(0.02, 0.9)
    )
    bucket_kg = models.FloatField("one bucket holds", default=10, validators=between(1, 20))
    season = models.CharField(max_length=6, choices=ScaldSeason.choices, default=ScaldSeason.AUTUMN)
    falling_scald = models.BooleanField(
        "struck hot and let fall",
        default=False,
        help_text="Common practice: struck at 157 to 159 F and let down towards 145 F.",
    )
    air_c = models.FloatField("air expected", default=5, validators=between(-30, 45))
    humidity = models.FloatField(
        "relative humidity expected", default=0.6, validators=between(0, 1)
    )
    wind_m_s = models.FloatField("wind at the water", default=1, validators=between(0, 10))

    class Meta:
        ordering = ["station__order"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(method=ScaldMethod.POUR_OVER) | Q(kettle_l__isnull=False),
                name="pour_over_has_a_kettle",
                violation_error_message="Pouring over needs a kettle: say how much it holds.",
            ),
            models.CheckConstraint(
                condition=Q(fire_efficiency__range=(0.02, 0.9))
                & Q(kettle_efficiency__range=(0.02, 0.9)),
                name="trough_efficiency",
                violation_error_message="The share of heat that gets in lies between 2 and 90 %.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.station}: {ScaldMethod(self.method).label}"
