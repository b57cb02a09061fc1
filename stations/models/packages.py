"""What was wrapped: one row a package, with its number, its hog and its weight."""

from __future__ import annotations

import uuid
from typing import TYPE_CHECKING

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from workshops.models import Animal, Workshop

if TYPE_CHECKING:
    from typing import Self

MOST_GRAMS = 100_000


class PackageKind(models.TextChoices):
    """What lies in it, as people wish for it."""

    CHOPS = "chops", "chops"
    ROAST = "roast", "roast"
    HAM = "ham", "ham"
    BELLY = "belly", "belly"
    RIBS = "ribs", "ribs"
    SAUSAGE = "sausage", "sausage"
    GROUND = "ground", "ground pork"
    LIVER = "liver", "liver and offal"
    LARD = "lard", "lard and fat"
    HOCKS = "hocks", "hocks and feet"
    HEAD = "head", "head meat"
    BONES = "bones", "bones"


class PackageState(models.TextChoices):
    """Where a package is."""

    HERE = "here", "in the cooler"
    MISSING = "missing", "missing"
    HANDED_OVER = "handed_over", "handed over"
    MISTAKE = "mistake", "written by mistake"

    @property
    def is_shared_out(self) -> bool:
        """Whether a division counts with it."""
        return self in {PackageState.HERE, PackageState.HANDED_OVER}


class PackageQuerySet(models.QuerySet["Package"]):
    """Questions about many packages."""

    def real(self) -> Self:
        """All but those written by mistake."""
        return self.exclude(state=PackageState.MISTAKE)

    def to_share(self) -> Self:
        """Those that a division counts with."""
        return self.filter(state__in=[state for state in PackageState if state.is_shared_out])


class Package(models.Model):
    """One wrapped piece of one hog. ``number`` is written on it; it is never given twice.

    ``client_id`` is made by the page: a second arrival of the same press writes nothing.
    """

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="packages")
    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="packages")
    number = models.PositiveIntegerField()
    kind = models.CharField(max_length=8, choices=PackageKind.choices)
    cut = models.CharField(max_length=60)
    grams = models.PositiveIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(MOST_GRAMS)]
    )
    cure = models.CharField(max_length=120, blank=True)
    state = models.CharField(max_length=11, choices=PackageState.choices, default=PackageState.HERE)
    packed_at = models.DateTimeField()
    packed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True
    )
    client_id = models.UUIDField(default=uuid.uuid4, unique=True)

    objects = PackageQuerySet.as_manager()

    class Meta:
        ordering = ["workshop", "number"]
        constraints = [
            models.UniqueConstraint(fields=["workshop", "number"], name="one_number_a_package"),
            models.CheckConstraint(
                condition=Q(grams__range=(1, MOST_GRAMS)),
                name="package_weight",
                violation_error_message="A package weighs 1 g to 100 kg (220 lb).",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number}: {self.cut}"

    @property
    def kg(self) -> float:
        """Its weight, for the units of the screen."""
        return self.grams / 1000
