"""Who gets which package: wishes by kind, and each hog's division, draft or posted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.conf import settings
from django.db import models
from django.db.models import Q

from scheduling.planner.shares_problem import Wish
from stations.models import Package, PackageKind
from workshops.models import Animal, Household, Workshop

if TYPE_CHECKING:
    from typing import Self


class KindWish(models.Model):
    """How much one kind is worth to one owner of record. No household means the farm."""

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="kind_wishes")
    household = models.ForeignKey(
        Household, on_delete=models.CASCADE, null=True, blank=True, related_name="kind_wishes"
    )
    kind = models.CharField(max_length=8, choices=PackageKind.choices)
    wish = models.SmallIntegerField(choices=[(wish.value, wish.words) for wish in Wish])

    class Meta:
        ordering = ["household", "kind"]
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "household", "kind"],
                name="one_wish_a_kind",
            ),
            models.UniqueConstraint(
                fields=["workshop", "kind"],
                condition=Q(household__isnull=True),
                name="one_wish_a_kind_of_the_farm",
            ),
            models.CheckConstraint(
                condition=Q(wish__in=[wish.value for wish in Wish]),
                name="kind_wish_known",
                violation_error_message="That is not a wish of the list; choose one that is.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.household or 'the farm'}: {self.kind} {Wish(self.wish).words}"


class DivisionStatus(models.TextChoices):
    """What a division is."""

    DRAFT = "draft", "draft"
    POSTED = "posted", "posted"
    PAST = "past", "replaced"


class DivisionQuerySet(models.QuerySet["Division"]):
    """Questions about many divisions."""

    def with_lines(self) -> Self:
        """With hog, owners, lines, packages and households: a fixed number of queries."""
        return self.select_related("animal", "posted_by").prefetch_related(
            "lines__package", "lines__household"
        )


class Division(models.Model):
    """One hog's packages among its owners. ``answer`` keeps how good it is, as the planner said."""

    animal = models.ForeignKey(Animal, on_delete=models.CASCADE, related_name="divisions")
    status = models.CharField(
        max_length=6, choices=DivisionStatus.choices, default=DivisionStatus.DRAFT
    )
    answer = models.JSONField(default=dict, blank=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    posted_at = models.DateTimeField(null=True, blank=True)
    posted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    objects = DivisionQuerySet.as_manager()

    class Meta:
        ordering = ["animal", "-made_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["animal"],
                condition=Q(status=DivisionStatus.DRAFT),
                name="one_draft_division_a_hog",
            ),
            models.UniqueConstraint(
                fields=["animal"],
                condition=Q(status=DivisionStatus.POSTED),
                name="one_posted_division_a_hog",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal}, {DivisionStatus(self.status).label}"


class DivisionLine(models.Model):
    """One package to one owner of record. No household means the farm."""

    division = models.ForeignKey(Division, on_delete=models.CASCADE, related_name="lines")
    package = models.ForeignKey(Package, on_delete=models.PROTECT, related_name="lines")
    household = models.ForeignKey(
        Household, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["division", "package"]
        constraints = [
            models.UniqueConstraint(fields=["division", "package"], name="one_owner_a_package"),
        ]

    def __str__(self) -> str:
        return f"{self.package} to {self.household or 'the farm'}"
