"""When the lead put someone at a place beyond their own screen, having looked."""

from __future__ import annotations

import uuid
from typing import TYPE_CHECKING

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from scheduling.models.run_sheets import Step
from stations.models import Duty
from workshops.models import Animal, Day, Enrolment

if TYPE_CHECKING:
    from typing import Self


class OverrideQuerySet(models.QuerySet["Override"]):
    """Questions about many overrides."""

    def with_names(self) -> Self:
        """With the names a page says: one query in all."""
        return self.select_related("enrolment__attendee", "made_by", "animal", "duty")


class Override(models.Model):
    """Append-only: who, when, which hog and place, the load, the limit and why.

    It holds for one step of one day in every version of the plan (``step_code``), for one person
    at one place, up to the load that was looked at: a heavier hog asks again.
    """

    client_id = models.UUIDField(unique=True, default=uuid.uuid4)
    day = models.ForeignKey(Day, on_delete=models.CASCADE, related_name="overrides")
    step_code = models.CharField(max_length=80)
    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="overrides")
    duty = models.ForeignKey(Duty, on_delete=models.PROTECT, related_name="overrides")
    place = models.CharField(max_length=30)
    enrolment = models.ForeignKey(Enrolment, on_delete=models.CASCADE, related_name="overrides")
    load_kg = models.FloatField()
    limit_kg = models.FloatField()
    limit_assumed = models.BooleanField(default=False)
    reason = models.CharField(max_length=300)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="overrides"
    )
    made_at = models.DateTimeField()

    objects = OverrideQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(load_kg__gt=F("limit_kg")),
                name="override_is_beyond_a_limit",
                violation_error_message="An override is for a load above the limit.",
            ),
            models.CheckConstraint(
                condition=~Q(reason=""),
                name="override_has_a_reason",
                violation_error_message="Say why, in a few words.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.enrolment} at {self.place}, {self.step_code}"

    @property
    def made_by_name(self) -> str:
        """Who said so."""
        return str(self.made_by.get_full_name() or self.made_by) if self.made_by else "the lead"

    def covers(self, step: Step, place: str, person_key: str, load_kg: float) -> bool:
        """Whether it was made for this person at this place of this step, and for such a load."""
        same = (self.step_code, self.place, f"a{self.enrolment_id}")
        # A rounding of the load is no heavier hog.
        return same == (step.code, place, person_key) and load_kg <= self.load_kg + 0.05
