"""What a carcass is to be cut into, and what was weighed of it."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from stations.models.noting import Noted, NotedQuerySet
from stations.trade.carcass_tables import Part
from stations.trade.yields import Dressed
from workshops.models import Animal

KG = (0.005, 400)


class DressedAs(models.TextChoices):
    """What is still on the carcass when it is weighed."""

    HEAD_AND_SKIN_ON = Dressed.HEAD_AND_SKIN_ON.value, Dressed.HEAD_AND_SKIN_ON.words
    SKIN_ON = Dressed.SKIN_ON.value, Dressed.SKIN_ON.words
    SKINNED = Dressed.SKINNED.value, Dressed.SKINNED.words
    UNSTATED = Dressed.UNSTATED.value, Dressed.UNSTATED.words


class CutTableName(models.TextChoices):
    """Which published table the expected weights are from."""

    FARM_CUTS = "farm_cuts", "farm cutting, 1978: head and lard fat off"
    PRIMALS = "primals", "five primals with skin, fat and bone"
    CUTS_AS_COUNTED = "cuts_as_counted", "retail, head and feet and back fat counted"
    MARKET_PIG = "market_pig", "typical market pig, 2016"
    HALF = "half", "a half hog, packed"


class CarcassPart(models.TextChoices):
    """A part of the carcass by its trade name."""

    HAM = Part.HAM.value, "ham"
    LOIN = Part.LOIN.value, "loin"
    BELLY = Part.BELLY.value, "belly"
    SPARERIBS = Part.SPARERIBS.value, "spareribs"
    BUTT = Part.BUTT.value, "butt"
    PICNIC = Part.PICNIC.value, "picnic"
    SHOULDER = Part.SHOULDER.value, "shoulder"
    JOWL = Part.JOWL.value, "jowl"
    FEET = Part.FEET.value, "feet"
    HEAD = Part.HEAD.value, "head"
    BACK_FAT = Part.BACK_FAT.value, "back fat"
    TRIM = Part.TRIM.value, "trim"
    OTHER = Part.OTHER.value, "other"


class Becomes(models.TextChoices):
    """What a part is to become."""

    FRESH = "fresh", "fresh cuts"
    CURE = "cure", "cured"
    SAUSAGE = "sausage", "sausage"
    LARD = "lard", "lard"
    KITCHEN = "kitchen", "the course's kitchen"


class CutPlan(models.Model):
    """The published table one carcass is held against; its lines say what each part becomes."""

    animal = models.OneToOneField(Animal, on_delete=models.CASCADE, related_name="cut_plan")
    table = models.CharField(
        max_length=15, choices=CutTableName.choices, default=CutTableName.FARM_CUTS
    )
    note = models.CharField(max_length=200, blank=True)

    def __str__(self) -> str:
        return f"Cut plan of {self.animal}"


class CutLine(models.Model):
    """What one part of one carcass becomes."""

    plan = models.ForeignKey(CutPlan, on_delete=models.CASCADE, related_name="lines")
    part = models.CharField(max_length=9, choices=CarcassPart.choices)
    becomes = models.CharField(max_length=7, choices=Becomes.choices, default=Becomes.FRESH)
    note = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "part"], name="one_line_a_part"),
        ]

    def __str__(self) -> str:
        return f"{self.get_part_display()}: {self.get_becomes_display()}"


class WeighStage(models.TextChoices):
    """Which weighing it was; "aside" is what a stage named and weighed but did not pass on."""

    LIVE = "live", "live"
    HOT = "hot", "hot carcass"
    COLD = "cold", "cold carcass"
    CUT = "cut", "a cut"
    DRESSING_ASIDE = "drawn", "set aside at dressing"
    CUTTING_ASIDE = "trimmed", "set aside at cutting"

    @property
    def is_of_the_whole(self) -> bool:
        """Whether one weight is all there is at that stage."""
        return self in {WeighStage.LIVE, WeighStage.HOT, WeighStage.COLD}


class WeighInQuerySet(NotedQuerySet["WeighIn"]):
    """Questions about many weights."""


class WeighIn(Noted):
    """One weight off the scale. Cuts add up; a carcass is weighed once, whole or as two sides."""

    animal = models.ForeignKey(Animal, on_delete=models.CASCADE, related_name="weigh_ins")
    stage = models.CharField(max_length=7, choices=WeighStage.choices)
    part = models.CharField(max_length=40, help_text="A cut, a side, or what was set aside.")
    kg = models.FloatField(null=True, blank=True)
    dressed = models.CharField(max_length=16, choices=DressedAs.choices, blank=True)

    objects = WeighInQuerySet.as_manager()

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(is_void=True) | Q(kg__range=KG),
                name="weigh_in_weight",
                violation_error_message="A weight lies between 5 g and 400 kg (880 lb).",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal}: {self.part_words}"

    @property
    def part_words(self) -> str:
        """The part by its trade name, or as it was named."""
        if self.stage == WeighStage.CUT:
            return CarcassPart(self.part).label
        return self.part
