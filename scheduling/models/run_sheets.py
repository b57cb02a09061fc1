"""The timed steps of a day, in versions: one draft, one posted, the rest history."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from stations.models import Stage, Station
from workshops.models import Animal, Day

if TYPE_CHECKING:
    from typing import Self


class SheetStatus(models.TextChoices):
    """What a version of a run sheet is."""

    DRAFT = "draft", "draft"
    POSTED = "posted", "posted"
    PAST = "past", "replaced"


class RunSheetQuerySet(models.QuerySet["RunSheet"]):
    """Questions about many run sheets."""

    def drafts(self) -> Self:
        """Plans the lead is working on."""
        return self.filter(status=SheetStatus.DRAFT)

    def posted(self) -> Self:
        """Plans everyone sees."""
        return self.filter(status=SheetStatus.POSTED)

    def with_steps(self) -> Self:
        """With steps and placements and all they name: a fixed number of queries."""
        return self.select_related("day__workshop").prefetch_related(
            "day__breaks",
            "steps__stage__duties",
            "steps__station",
            "steps__animal",
            "steps__placements__duty",
            "steps__placements__enrolment__attendee",
            "steps__placements__staff",
        )


class RunSheet(models.Model):
    """One version of a day's plan. ``timetable`` and ``rotation`` keep how good it is, and why."""

    day = models.ForeignKey(Day, on_delete=models.CASCADE, related_name="run_sheets")
    version = models.PositiveIntegerField()
    status = models.CharField(max_length=6, choices=SheetStatus.choices, default=SheetStatus.DRAFT)
    timetable = models.JSONField(default=dict, blank=True)
    rotation = models.JSONField(default=dict, blank=True)
    # Raised by every write to the draft, so that a slow planner never overwrites a newer hand.
    revision = models.PositiveIntegerField(default=0)
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True
    )

    objects = RunSheetQuerySet.as_manager()

    class Meta:
        ordering = ["day", "-version"]
        constraints = [
            models.UniqueConstraint(fields=["day", "version"], name="one_sheet_a_version"),
            models.UniqueConstraint(
                fields=["day"], condition=Q(status=SheetStatus.DRAFT), name="one_draft_a_day"
            ),
            models.UniqueConstraint(
                fields=["day"], condition=Q(status=SheetStatus.POSTED), name="one_posted_a_day"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.day}, version {self.version} ({SheetStatus(self.status).label})"

    @property
    def meal_starts(self) -> dict[str, datetime]:
        """When the breaks that may move start in this plan, by "break" and their id."""
        kept: dict[str, str] = self.timetable.get("meals", {})
        return {code: datetime.fromisoformat(at) for code, at in kept.items()}


class Step(models.Model):
    """One stage of one hog's way, or one kitchen job, at its time.

    ``code`` names the same step in every version ("hog2:scald"), so that versions can be compared.
    """

    run_sheet = models.ForeignKey(RunSheet, on_delete=models.CASCADE, related_name="steps")
    code = models.CharField(max_length=80)
    stage = models.ForeignKey(Stage, on_delete=models.PROTECT, related_name="steps")
    animal = models.ForeignKey(
        Animal, on_delete=models.PROTECT, null=True, blank=True, related_name="steps"
    )
    station = models.ForeignKey(Station, on_delete=models.PROTECT, related_name="steps")
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    slack_min = models.PositiveIntegerField(null=True, blank=True)
    pinned = models.BooleanField(default=False)

    class Meta:
        ordering = ["starts_at", "station__order", "code"]
        constraints = [
            models.UniqueConstraint(fields=["run_sheet", "code"], name="one_step_a_code"),
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")),
                name="step_ends_after_it_starts",
                violation_error_message="A step must end after it starts.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.stage.name}, {self.animal}" if self.animal else self.stage.name

    @property
    def is_critical(self) -> bool:
        """Whether any delay here delays the day."""
        return self.slack_min == 0

    @property
    def minutes(self) -> int:
        """Planned length."""
        return int((self.ends_at - self.starts_at).total_seconds() // 60)

    def runs_at(self, moment: datetime) -> bool:
        """Whether the plan has it running then."""
        return self.starts_at <= moment < self.ends_at
