"""How often something of a workshop has changed: how an open page learns that it is old."""

from __future__ import annotations

from django.db import models

from workshops.models.courses import Workshop


class Topic(models.TextChoices):
    """What changed. A page listens to the topics it shows and to no others."""

    PLAN = "plan", "a plan was posted"
    CLOCK = "clock", "a step was started, paused or finished"
    DIP = "dip", "something was noted at a trough"
    LOG = "log", "an entry in the duty log"
    ALARM = "alarm", "an alarm rose, ended or was acknowledged"
    MORNING = "morning", "who is here, and who has heard of a change"
    SWAP = "swap", "someone asked to swap places or to rest, or was answered"


class Pulse(models.Model):
    """One counter a workshop and topic, raised in the transaction of the change itself."""

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="pulses")
    topic = models.CharField(max_length=7, choices=Topic.choices)
    count = models.PositiveBigIntegerField(default=0)

    class Meta:
        ordering = ["workshop", "topic"]
        constraints = [
            models.UniqueConstraint(fields=["workshop", "topic"], name="one_pulse_a_topic"),
        ]

    def __str__(self) -> str:
        return f"{Topic(self.topic).label}: {self.count}"
