"""The duty log's own entries: what no other row of the day already says.

Readings, buckets, rolls and hair tests are the dip's entries, starts and finishes the clock's; the
log page shows them beside these and nothing is stored twice.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NoReturn

from django.conf import settings
from django.db import models
from django.db.models import Q

from stations.models import Station
from workshops.models import Animal, Enrolment, StaffMember, Workshop

if TYPE_CHECKING:
    from typing import Self


class LogKind(models.TextChoices):
    """What an entry tells of."""

    NOTE = "note", "note"
    NEAR_MISS = "near_miss", "near miss"
    INJURY = "injury", "injury"
    SWAP = "swap", "swap"
    REST = "rest", "rest"
    CORRECTION = "correction", "correction"

    @property
    def is_about_harm(self) -> bool:
        """Whether somebody was hurt, so that who and how is for organizer and lead alone."""
        return self == LogKind.INJURY


TYPED_KINDS = (LogKind.NOTE, LogKind.NEAR_MISS, LogKind.INJURY)
"""What a person writes by hand; the rest is written by the act itself."""


class AppendOnlyError(TypeError):
    """An entry of the log was to be changed or deleted; write a correction that points at it."""

    def __init__(self) -> None:
        super().__init__("The log is only added to: write a correction that points at the entry.")


class LogQuerySet(models.QuerySet["LogEntry"]):
    """Questions about many entries. Changing many is refused as changing one is."""

    def with_all(self) -> Self:
        """With where, which hog, whom it is about and who wrote it: one query."""
        return self.select_related(
            "workshop",
            "station",
            "animal",
            "about__attendee",
            "about_staff",
            "by_user",
            "by_enrolment__attendee",
            "corrects",
            "corrected_by",
        )

    def forget_details(self) -> int:
        """Empty what tells of a person's health, and whose it is: the one change there is."""
        return super().update(detail="", about=None)

    def update(self, **_values: object) -> NoReturn:
        """Refused."""
        raise AppendOnlyError

    def delete(self) -> NoReturn:
        """Refused."""
        raise AppendOnlyError


class LogEntry(models.Model):
    """One thing told. ``at`` is when it happened, ``received_at`` when it came.

    ``detail`` says who was hurt how and what was done: health, for organizer and lead alone. It is
    the one field that may be emptied later, when a person asks to be forgotten.
    """

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="log")
    client_id = models.UUIDField(unique=True)
    kind = models.CharField(max_length=10, choices=LogKind.choices)
    at = models.DateTimeField("when")
    received_at = models.DateTimeField()
    text = models.TextField("what happened")
    detail = models.TextField("who was hurt how, and what was done", blank=True)
    station = models.ForeignKey(
        Station, on_delete=models.SET_NULL, null=True, blank=True, related_name="log"
    )
    animal = models.ForeignKey(
        Animal, on_delete=models.SET_NULL, null=True, blank=True, related_name="log"
    )
    about = models.ForeignKey(
        Enrolment, on_delete=models.SET_NULL, null=True, blank=True, related_name="log_about"
    )
    about_staff = models.ForeignKey(
        StaffMember, on_delete=models.SET_NULL, null=True, blank=True, related_name="log_about"
    )
    corrects = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )
    by_user = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="log_entries",
    )
    by_enrolment = models.ForeignKey(
        Enrolment, on_delete=models.SET_NULL, null=True, blank=True, related_name="log_entries"
    )

    objects = LogQuerySet.as_manager()

    class Meta:
        ordering = ["at", "id"]
        verbose_name_plural = "log entries"
        indexes = [models.Index(fields=["workshop", "at"], name="log_of_a_workshop")]
        constraints = [
            models.CheckConstraint(
                condition=~Q(text=""),
                name="log_entry_says_something",
                violation_error_message="Say what happened.",
            ),
            models.CheckConstraint(
                condition=Q(kind=LogKind.CORRECTION, corrects__isnull=False)
                | (~Q(kind=LogKind.CORRECTION) & Q(corrects__isnull=True)),
                name="correction_points_at_an_entry",
                violation_error_message="A correction points at the entry it corrects.",
            ),
        ]

    def __str__(self) -> str:
        return f"{LogKind(self.kind).label} at {self.at:%H:%M}"

    def save(self, *args: object, **kwargs: object) -> None:
        """Add it; a row that is there is never written again."""
        if not self._state.adding:
            raise AppendOnlyError
        super().save(force_insert=True)

    def delete(self, *args: object, **kwargs: object) -> NoReturn:
        """Refused."""
        raise AppendOnlyError

    @property
    def writer(self) -> str:
        """Who wrote it, as said in the yard."""
        if self.by_enrolment is not None:
            return self.by_enrolment.attendee.given_name
        return str(self.by_user) if self.by_user is not None else ""

    @property
    def is_about_harm(self) -> bool:
        """Whether it, or the entry it corrects, tells of an injury."""
        told = self.corrects if self.corrects is not None else self
        return LogKind(told.kind).is_about_harm

    @property
    def person(self) -> str:
        """Whom it is about."""
        if self.about is not None:
            return self.about.attendee.given_name
        return self.about_staff.name if self.about_staff is not None else ""
