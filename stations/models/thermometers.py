"""The farm's thermometers and what each read in ice water and at the boil."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from django.conf import settings
from django.db import models
from django.db.models import Q

from stations.trade import thermometers
from workshops.models import Enrolment, Workshop

if TYPE_CHECKING:
    from typing import Self

A_DAY_S = 86_400.0


class ThermometerQuerySet(models.QuerySet["Thermometer"]):
    """Questions about many thermometers."""

    def with_checks(self) -> Self:
        """With every check, newest first: two queries in all."""
        return self.prefetch_related("checks")


class Thermometer(models.Model):
    """One thermometer, by the name people call it in the yard."""

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="thermometers")
    name = models.CharField(max_length=60)

    objects = ThermometerQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "name"],
                name="one_name_a_thermometer",
                violation_error_message="This workshop already has a thermometer of that name.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def last_check(self) -> ThermometerCheck | None:
        """The newest check; no query where the checks are prefetched."""
        return next(iter(self.checks.all()), None)


class ThermometerCheck(models.Model):
    """What it read in ice water and at a rolling boil, where and when. Append-only.

    The boiling point falls with altitude, so the altitude stands beside the readings.
    """

    thermometer = models.ForeignKey(Thermometer, on_delete=models.CASCADE, related_name="checks")
    client_id = models.UUIDField(unique=True)
    ice_read_c = models.FloatField(null=True, blank=True)
    boil_read_c = models.FloatField(null=True, blank=True)
    altitude_m = models.FloatField(default=0)
    at = models.DateTimeField()
    received_at = models.DateTimeField()
    by_user = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="thermometer_checks",
    )
    by_enrolment = models.ForeignKey(
        Enrolment,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="thermometer_checks",
    )

    class Meta:
        ordering = ["-at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(ice_read_c__isnull=False) | Q(boil_read_c__isnull=False),
                name="check_has_a_reading",
                violation_error_message="Write what it read in ice water, at the boil, or both.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.thermometer}, checked {self.at:%d %b %Y}"

    def as_of(self, moment: datetime) -> thermometers.Thermometer:
        """What the trade rules take, as old as the check is then. Raises OutOfRange."""
        age_s = max(0.0, (moment - self.at).total_seconds())
        return thermometers.Thermometer(
            ice_read_c=self.ice_read_c,
            boil_read_c=self.boil_read_c,
            altitude_m=self.altitude_m,
            age_days=age_s / A_DAY_S,
        )
