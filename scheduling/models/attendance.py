"""Each morning: who is here, and what hurts today."""

from __future__ import annotations

from django.db import models

from workshops.models import Day, Enrolment, Limit


class Turnout(models.TextChoices):
    """Whether someone is here today."""

    EXPECTED = "expected", "expected"
    HERE = "here", "here"
    AWAY = "away", "away today"

    @property
    def can_be_placed(self) -> bool:
        """Expected counts: the plan is made before people arrive."""
        return self is not Turnout.AWAY


class Attendance(models.Model):
    """One seat on one day."""

    day = models.ForeignKey(Day, on_delete=models.CASCADE, related_name="attendance")
    enrolment = models.ForeignKey(Enrolment, on_delete=models.CASCADE, related_name="attendance")
    turnout = models.CharField(max_length=8, choices=Turnout.choices, default=Turnout.EXPECTED)
    updated_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["day", "enrolment"]
        constraints = [
            models.UniqueConstraint(fields=["day", "enrolment"], name="one_attendance_a_day"),
        ]

    def __str__(self) -> str:
        return f"{self.enrolment}, {self.day}: {Turnout(self.turnout).label}"


class TodayLimit(models.Model):
    """A limit for one day only: a cut hand, a sore back."""

    attendance = models.ForeignKey(Attendance, on_delete=models.CASCADE, related_name="limits")
    limit = models.CharField(max_length=16, choices=Limit.choices)

    class Meta:
        ordering = ["limit"]
        constraints = [
            models.UniqueConstraint(fields=["attendance", "limit"], name="one_row_a_today_limit"),
        ]

    def __str__(self) -> str:
        return Limit(self.limit).label
