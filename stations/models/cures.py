"""Batches of cure: what was worked out and kept, and what was done to them since."""

from __future__ import annotations

from datetime import date, timedelta

from django.conf import settings
from django.db import models
from django.db.models import Q

from stations.models.noting import Noted, NotedQuerySet
from stations.trade.cure_limits import Cured
from workshops.models import Animal, Workshop


class CuredProduct(models.TextChoices):
    """What is cured and how: the limits go by both."""

    DRY_CUT = Cured.DRY_CUT.value, "ham, shoulder or loin, dry or equilibrium"
    DRY_BACON = Cured.DRY_BACON.value, "belly for bacon, dry or equilibrium"
    PUMPED_CUT = Cured.PUMPED_CUT.value, "ham, shoulder or loin, pumped"
    PUMPED_BACON = Cured.PUMPED_BACON.value, "belly for bacon, pumped"
    IMMERSED_CUT = Cured.IMMERSED_CUT.value, "ham, shoulder or loin, in pickle"
    IMMERSED_BACON = Cured.IMMERSED_BACON.value, "belly for bacon, in pickle"
    MINCED = Cured.MINCED.value, "minced: sausage to be smoked or dried"

    @property
    def in_pickle(self) -> bool:
        """Whether water goes with it."""
        return self not in {CuredProduct.DRY_CUT, CuredProduct.DRY_BACON, CuredProduct.MINCED}

    @property
    def is_pumped(self) -> bool:
        """Whether the pickle is pumped in."""
        return self in {CuredProduct.PUMPED_CUT, CuredProduct.PUMPED_BACON}


class TimesBy(models.TextChoices):
    """Whose days it lies in the cure."""

    METHOD_3 = "method_3", "ham, method 3: 1.5 days a lb in the cure, 40 days in all or more"
    METHOD_4 = "method_4", "ham, method 4: 2 days a lb in the cure, then 1 a lb evening out"
    BAG = "bag", "ham in a bag: 2 days a lb, 40 days or more"
    PICKLED_HAM = "ham_or_shoulder", "sweet pickle, ham or shoulder: 4 days a lb"
    PICKLED_BELLY = "belly", "sweet pickle, belly: 15 days to 10 lb, else 21"
    PICKLED_LOIN = "loin", "sweet pickle, loin: 21 days"
    OWN = "own", "days that the lead sets"


class CureBatch(models.Model):
    """One batch as it was worked out. Its numbers are never changed: a new one is worked out.

    Weights are kg, shares and strengths fractions of 1. ``evening_days`` follow the days in the
    cure.
    """

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="cure_batches")
    animal = models.ForeignKey(
        Animal, on_delete=models.SET_NULL, null=True, blank=True, related_name="cure_batches"
    )
    client_id = models.UUIDField(unique=True)
    name = models.CharField(max_length=80)
    product = models.CharField(max_length=14, choices=CuredProduct.choices)
    weighed_kg = models.FloatField("meat as weighed, kg")
    skin_on = models.BooleanField(default=False)
    heaviest_kg = models.FloatField("heaviest piece, kg")
    cure_name = models.CharField(max_length=60)
    nitrite = models.FloatField("nitrite in the curing salt, fraction")
    nitrate = models.FloatField("nitrate in the curing salt, fraction", default=0.0)
    wanted_ppm = models.FloatField("wanted nitrite, ppm")
    wanted_salt = models.FloatField("wanted salt, fraction of the green weight", null=True)
    taken = models.FloatField("pumped or picked up, fraction", null=True, blank=True)
    is_even = models.BooleanField("soaked until meat and pickle are even", default=False)
    water_kg = models.FloatField(default=0.0)
    cure_kg = models.FloatField()
    salt_kg = models.FloatField()
    sugar_kg = models.FloatField(default=0.0)
    nitrite_ppm = models.FloatField()
    nitrate_ppm = models.FloatField(default=0.0)
    limit_ppm = models.FloatField()
    limit_source = models.CharField(max_length=250)
    times_by = models.CharField(max_length=15, choices=TimesBy.choices)
    days = models.PositiveSmallIntegerField("days in the cure")
    evening_days = models.PositiveSmallIntegerField(default=0)
    started_on = models.DateField("in the cure on")
    made_at = models.DateTimeField()
    by_user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["started_on", "id"]
        verbose_name_plural = "cure batches"
        constraints = [
            models.CheckConstraint(
                condition=Q(nitrite__range=(0, 0.1), nitrate__range=(0, 0.1)),
                name="cure_strength",
                violation_error_message="Curing salt is at most a tenth nitrite: 6.25 % is 0.0625.",
            ),
            models.CheckConstraint(
                condition=Q(nitrite_ppm__lte=models.F("limit_ppm")),
                name="cure_within_its_limit",
                violation_error_message="This is more nitrite than the product's rule lets in.",
            ),
            models.CheckConstraint(
                condition=Q(weighed_kg__range=(0.01, 2000), days__range=(1, 366)),
                name="cure_batch_size",
                violation_error_message="A batch weighs 10 g to 2000 kg and lies 1 to 366 days.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def out_on(self) -> date:
        """When it comes out of the cure."""
        return self.started_on + timedelta(days=self.days)

    @property
    def ready_on(self) -> date:
        """When it has evened out too."""
        return self.out_on + timedelta(days=self.evening_days)


class CureAct(models.TextChoices):
    """What was done to a batch."""

    WEIGHED = "weighed", "curing salt weighed in"
    PUMPED = "pumped", "weighed after the pump"
    TURNED = "turned", "rubbed or turned"
    OUT = "out", "out of the cure"
    NOTE = "note", "a note"
    MISTAKE = "mistake", "the batch was a mistake"


class CureEntryQuerySet(NotedQuerySet["CureEntry"]):
    """Questions about many entries of cures."""


class CureEntry(Noted):
    """One thing done to a batch."""

    batch = models.ForeignKey(CureBatch, on_delete=models.CASCADE, related_name="entries")
    what = models.CharField(max_length=7, choices=CureAct.choices)
    kg = models.FloatField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    objects = CureEntryQuerySet.as_manager()

    class Meta:
        ordering = ["at", "id"]
        verbose_name_plural = "cure entries"
        constraints = [
            models.CheckConstraint(
                condition=Q(is_void=True)
                | ~Q(what__in=["weighed", "pumped"])
                | Q(kg__isnull=False, kg__range=(0, 2000)),
                name="cure_entry_weight",
                violation_error_message="Write the weight, up to 2000 kg.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.batch}: {self.get_what_display()}"
