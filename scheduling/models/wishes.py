"""What the lead asks of the timetable of a day, beside the rules of the course."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q

from stations.models import Station
from workshops.models import Day, Enrolment, StaffMember


class DayWish(models.Model):
    """When a day should be over, and whether its hands should be used evenly."""

    day = models.OneToOneField(Day, on_delete=models.CASCADE, related_name="wish")
    finish_by = models.TimeField(
        "over by",
        null=True,
        blank=True,
        help_text="The planner comes as near as it can. Empty: as early as can be.",
    )
    even_hands = models.BooleanField(
        "keep the most hands busy at once small",
        default=False,
        help_text="After every other goal.",
    )

    def __str__(self) -> str:
        return f"{self.day}: over by {self.finish_by or 'any time'}"


class Absence(models.Model):
    """Someone is away for part of a day: an appointment, school, a delivery to fetch."""

    day = models.ForeignKey(Day, on_delete=models.CASCADE, related_name="absences")
    enrolment = models.ForeignKey(
        Enrolment, on_delete=models.CASCADE, null=True, blank=True, related_name="absences"
    )
    staff = models.ForeignKey(
        StaffMember, on_delete=models.CASCADE, null=True, blank=True, related_name="absences"
    )
    leaves = models.TimeField("away from")
    back = models.TimeField("back at")

    class Meta:
        ordering = ["day", "leaves"]
        constraints = [
            models.CheckConstraint(
                condition=Q(enrolment__isnull=True) ^ Q(staff__isnull=True),
                name="absence_is_of_one",
                violation_error_message="Choose who is away: one person.",
            ),
            models.CheckConstraint(
                condition=Q(back__gt=F("leaves")),
                name="absence_ends",
                violation_error_message="Back at a time after leaving.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.who} away {self.leaves:%H:%M} to {self.back:%H:%M}"

    @property
    def who(self) -> str:
        """The name to show."""
        return str(self.enrolment.attendee if self.enrolment else self.staff)

    @property
    def person_key(self) -> str:
        """As the planner names the person."""
        return f"a{self.enrolment_id}" if self.enrolment_id else f"s{self.staff_id}"

    def clean(self) -> None:
        """Two absences of one person at once would count twice."""
        if not self.leaves or not self.back:
            return
        same = Absence.objects.filter(
            day=self.day,
            enrolment=self.enrolment,
            staff=self.staff,
            leaves__lt=self.back,
            back__gt=self.leaves,
        ).exclude(pk=self.pk)
        if standing := same.first():
            raise ValidationError(
                f"{standing} already; take that off first, or choose other times."
            )


class StationHours(models.Model):
    """A station is in use only in these hours of a day: dry weather, light, the vet at the pen.

    Several of one day are several stretches; a day without any is open from end to end.
    """

    day = models.ForeignKey(Day, on_delete=models.CASCADE, related_name="station_hours")
    station = models.ForeignKey(Station, on_delete=models.CASCADE, related_name="hours")
    opens = models.TimeField("in use from")
    closes = models.TimeField("in use until")
    why = models.CharField(
        max_length=80, blank=True, help_text="Such as: rain from two, by the forecast."
    )

    class Meta:
        ordering = ["day", "station", "opens"]
        constraints = [
            models.CheckConstraint(
                condition=Q(closes__gt=F("opens")),
                name="station_hours_end",
                violation_error_message="In use until a time after it opens.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.station} from {self.opens:%H:%M} until {self.closes:%H:%M}"
