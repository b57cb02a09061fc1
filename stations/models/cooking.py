"""Logs of what is cooked, cooled, held, heated again, frozen or fermented."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from stations.models.cures import CureBatch
from stations.models.noting import Noted, NotedQuerySet
from stations.models.thermometers import Thermometer, ThermometerCheck
from workshops.models import Animal, Workshop


class FoodRule(models.TextChoices):
    """What is done, and so which published rule judges it."""

    COOK_WHOLE = "cook_whole", "cook whole pork: 145 F and 3 min"
    COOK_MINCED = "cook_minced", "cook sausage or minced pork: 160 F"
    COOK_STUFFED = "cook_stuffed", "cook stuffing, a casserole or leftovers: 165 F"
    COOK_HAM = "cook_ham", "heat a ham cured here: 165 F"
    COOK_POULTRY = "cook_poultry", "cook poultry: 165 F"
    REHEAT = "reheat", "heat again for hot holding: 165 F in 2 h"
    COOL = "cool", "cool: 135 to 70 F in 2 h, to 41 F in 6 h"
    COOL_COLD_MADE = "cool_cold_made", "cool what was made at room heat: 41 F in 4 h"
    COOL_MEAT = "cool_meat", "cool meat: 130 to 80 F in 1.5 h, to 40 F in 5 h more"
    COOL_MEAT_SLOWLY = "cool_slow", "cool meat slowly: 120 to 80 F in 1 h, to 55 F in 6 h"
    COOL_CURED = "cool_cured", "cool cured meat: 130 to 80 F in 5 h, to 40 F in 10 h more"
    HOLD_HOT = "hold_hot", "hold hot: 135 F or more"
    HOLD_HOT_ROAST = "hold_roast", "hold a roast hot: 130 F or more"
    HOLD_COLD = "hold_cold", "hold cold: 41 F or less"
    ON_THE_TABLE = "on_the_table", "on the table: 2 h between 40 and 140 F"
    TRICHINAE_HEAT = "trich_heat", "heat against trichinae"
    FREEZE_TO_6_IN = "freeze_6_in", "freeze against trichinae, room, pieces to 6 in"
    FREEZE_TO_27_IN = "freeze_27_in", "freeze against trichinae, room, pieces to 27 in"
    FREEZE_CENTRE = "freeze_mid", "freeze against trichinae, by the centre"
    FERMENT = "ferment", "ferment: degree-hours until pH 5.3"


class FoodLog(models.Model):
    """One batch under one rule. ``air_c`` is where it stands, for the rule that asks."""

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="food_logs")
    animal = models.ForeignKey(
        Animal, on_delete=models.SET_NULL, null=True, blank=True, related_name="food_logs"
    )
    cure_batch = models.ForeignKey(
        CureBatch, on_delete=models.SET_NULL, null=True, blank=True, related_name="food_logs"
    )
    client_id = models.UUIDField(unique=True)
    name = models.CharField(max_length=80)
    rule = models.CharField(max_length=14, choices=FoodRule.choices)
    air_c = models.FloatField(null=True, blank=True)
    started_at = models.DateTimeField()
    made_at = models.DateTimeField()
    by_user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["-started_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(rule="on_the_table") | Q(air_c__isnull=False),
                name="food_on_the_table_has_air",
                violation_error_message="Write how warm it is where the food stands.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class FoodMark(models.TextChoices):
    """What an entry says."""

    READING = "reading", "reading"
    SOUR = "sour", "pH 5.3 measured"
    DONE = "done", "finished"
    MISTAKE = "mistake", "the log was a mistake"


class FoodEntryQuerySet(NotedQuerySet["FoodEntry"]):
    """Questions about many entries of food logs."""


class FoodEntry(Noted):
    """One reading of a batch, or the word that it is finished."""

    log = models.ForeignKey(FoodLog, on_delete=models.CASCADE, related_name="entries")
    mark = models.CharField(max_length=7, choices=FoodMark.choices, default=FoodMark.READING)
    read_c = models.FloatField(null=True, blank=True)
    temp_c = models.FloatField(null=True, blank=True)
    thermometer = models.ForeignKey(
        Thermometer, on_delete=models.RESTRICT, null=True, blank=True, related_name="+"
    )
    check_used = models.ForeignKey(
        ThermometerCheck, on_delete=models.RESTRICT, null=True, blank=True, related_name="+"
    )

    objects = FoodEntryQuerySet.as_manager()

    class Meta:
        ordering = ["at", "id"]
        verbose_name_plural = "food entries"
        constraints = [
            models.CheckConstraint(
                condition=Q(is_void=True)
                | ~Q(mark="reading")
                | Q(read_c__isnull=False, temp_c__range=(-60, 250)),
                name="food_reading_is_possible",
                violation_error_message=(
                    "A reading lies between -60 and 250 degC (-76 and 482 degF)."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.log} at {self.at:%d %b %H:%M}"
