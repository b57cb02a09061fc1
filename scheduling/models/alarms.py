"""An alarm that rose: what it said, when it ended, who acknowledged it."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from stations.trade.alarms import AlarmKind as TradeKind
from workshops.models import Enrolment, Workshop


class AlarmKind(models.TextChoices):
    """What is wrong (see ``stations.trade.alarms``)."""

    WATER_LOW = TradeKind.WATER_LOW.value, "water below the floor"
    DIP_LONG = TradeKind.DIP_LONG.value, "long in the water"
    WAITING = TradeKind.WAITING.value, "carcass waiting"
    BELLY = TradeKind.BELLY.value, "belly not open"
    NOT_CHILLED = TradeKind.NOT_CHILLED.value, "carcass not chilled"
    REST = TradeKind.REST.value, "rest not taken"
    COLD = TradeKind.COLD.value, "wind chill"
    HEAT = TradeKind.HEAT.value, "heat"


class Alarm(models.Model):
    """One alarm. ``key`` names the episode: the same trouble, come again, is another one."""

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="alarms")
    key = models.CharField(max_length=120)
    kind = models.CharField(max_length=11, choices=AlarmKind.choices)
    what = models.CharField(max_length=300)
    to_do = models.CharField(max_length=400, blank=True)
    who = models.CharField(max_length=300, blank=True)
    source = models.CharField(max_length=300, blank=True)
    raised_at = models.DateTimeField()
    over_at = models.DateTimeField(null=True, blank=True)
    acknowledged_at = models.DateTimeField(null=True, blank=True)
    by_user = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="alarms_acknowledged",
    )
    by_enrolment = models.ForeignKey(
        Enrolment, on_delete=models.SET_NULL, null=True, blank=True, related_name="alarms"
    )

    class Meta:
        ordering = ["raised_at", "id"]
        constraints = [
            models.UniqueConstraint(fields=["workshop", "key"], name="one_alarm_an_episode"),
        ]
        indexes = [
            models.Index(
                fields=["workshop"], condition=Q(over_at__isnull=True), name="alarms_standing"
            )
        ]

    def __str__(self) -> str:
        return f"{AlarmKind(self.kind).label} at {self.raised_at:%H:%M}"

    @property
    def acknowledged_by(self) -> str:
        """Who has seen it, as said in the yard."""
        if self.by_enrolment is not None:
            return self.by_enrolment.attendee.given_name
        return str(self.by_user) if self.by_user is not None else ""
