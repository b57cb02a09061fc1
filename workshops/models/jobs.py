"""A piece of background work: the row is the truth, a message only wakes a worker."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q

from workshops.models.courses import Workshop


class JobState(models.TextChoices):
    """How far a job is."""

    QUEUED = "queued", "waiting for the worker"
    RUNNING = "running", "at work"
    DONE = "done", "done"
    FAILED = "failed", "failed"

    @property
    def is_over(self) -> bool:
        """Whether nothing more will happen."""
        return self in {JobState.DONE, JobState.FAILED}


class Job(models.Model):
    """One request for background work. ``key`` makes a second identical request the same job."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="jobs")
    task = models.CharField(max_length=80)
    title = models.CharField(max_length=120)
    arguments = models.JSONField(default=dict)
    key = models.CharField(max_length=120)
    state = models.CharField(max_length=7, choices=JobState.choices, default=JobState.QUEUED)
    percent = models.PositiveSmallIntegerField(default=0)
    message = models.CharField(max_length=300, blank=True)
    result = models.JSONField(default=dict)
    attempts = models.PositiveSmallIntegerField(default=0)
    claim = models.UUIDField(null=True, blank=True, editable=False)
    heartbeat_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True
    )

    class Meta:
        ordering = ["-created_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["key"],
                condition=Q(state__in=[JobState.QUEUED, JobState.RUNNING]),
                name="one_live_job_a_key",
            ),
            models.CheckConstraint(condition=Q(percent__lte=100), name="job_percent"),
        ]

    def __str__(self) -> str:
        return f"{self.title}: {self.state_word}"

    @property
    def is_running(self) -> bool:
        """Whether the page should keep asking."""
        return not JobState(self.state).is_over

    @property
    def state_word(self) -> str:
        """The state in words."""
        return JobState(self.state).label
