"""One person on one duty of one step."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from scheduling.models.run_sheets import Step
from stations.models import Duty
from workshops.models import Enrolment, StaffMember


class Placement(models.Model):
    """Who stands where. Exactly one of ``enrolment`` and ``staff`` is set."""

    step = models.ForeignKey(Step, on_delete=models.CASCADE, related_name="placements")
    duty = models.ForeignKey(Duty, on_delete=models.PROTECT, related_name="placements")
    place = models.CharField(max_length=30, blank=True)
    enrolment = models.ForeignKey(
        Enrolment, on_delete=models.CASCADE, null=True, blank=True, related_name="placements"
    )
    staff = models.ForeignKey(
        StaffMember, on_delete=models.CASCADE, null=True, blank=True, related_name="placements"
    )
    locked = models.BooleanField(default=False)

    class Meta:
        ordering = ["step", "duty__order", "duty", "place", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(enrolment__isnull=False, staff__isnull=True)
                | Q(enrolment__isnull=True, staff__isnull=False),
                name="placement_of_one_person",
                violation_error_message="A placement is of one attendee or of one of the staff.",
            ),
            models.UniqueConstraint(
                fields=["step", "enrolment"],
                name="one_place_a_step_attendee",
                violation_error_message="This person already has a place at this step.",
            ),
            models.UniqueConstraint(
                fields=["step", "staff"],
                name="one_place_a_step_staff",
                violation_error_message="This person already has a place at this step.",
            ),
            models.UniqueConstraint(
                fields=["step", "duty", "place"],
                condition=~Q(place=""),
                name="one_person_a_named_place",
                violation_error_message="Someone already has that named place.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_name}: {self.title}"

    @property
    def person_key(self) -> str:
        """The person's identifier in the planner."""
        return f"a{self.enrolment_id}" if self.enrolment_id else f"s{self.staff_id}"

    @property
    def person_name(self) -> str:
        """The name as said in the yard."""
        if self.enrolment is not None:
            return self.enrolment.attendee.given_name
        return self.staff.name if self.staff is not None else ""

    @property
    def title(self) -> str:
        """The duty, with its named place."""
        return f"{self.duty.name}, {self.place}" if self.place else self.duty.name
