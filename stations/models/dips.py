"""A hog's dip and everything that was noted while it was in the water.

The entries are one table, not one a kind: the id that a phone makes is then unique whatever the
entry says, an undo can point at any of them, and a dip is read in one query, in order. What each
kind must carry is a constraint of the database. Nothing is edited or deleted: an entry made in
error stays, and an undo stands beside it.
"""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from django.conf import settings
from django.db import models
from django.db.models import Exists, OuterRef, Q

from stations.models.places import Station
from stations.models.thermometers import Thermometer, ThermometerCheck
from stations.trade.scald_watch import Hair, Part
from workshops.models import Animal, Enrolment, Workshop

if TYPE_CHECKING:
    from typing import Self


class EntryKind(models.TextChoices):
    """What was noted."""

    READING = "reading", "reading"
    POUR = "pour", "bucket in"
    ROLL = "roll", "rolled"
    HAIR_TEST = "hair_test", "hair test"
    OUT = "out", "out"
    MISTAKE = "mistake", "started by mistake"
    UNDO = "undo", "undo"

    @property
    def ends_the_dip(self) -> bool:
        """Whether the hog is no longer in the water after it."""
        return self in {EntryKind.OUT, EntryKind.MISTAKE}


class HogPart(models.TextChoices):
    """Where on the hog the hair was tested."""

    BACK = Part.BACK.value, "back"
    FLANK = Part.FLANK.value, "flank"
    SHOULDER = Part.SHOULDER.value, "shoulder"
    HEAD = Part.HEAD.value, "head"
    FEET = Part.FEET.value, "feet"


class HairSlip(models.TextChoices):
    """What the hair did."""

    SLIPS = Hair.SLIPS.value, "slips"
    HOLDS = Hair.HOLDS.value, "holds"
    SET = Hair.SET.value, "is set"


class DipQuerySet(models.QuerySet["Dip"]):
    """Questions about many dips."""

    def standing(self) -> Self:
        """Dips that were not started by mistake."""
        return self.exclude(Exists(DipEntry.objects.of_kind(EntryKind.MISTAKE)))

    def in_water(self) -> Self:
        """Dips with a hog still in the water."""
        return self.standing().exclude(Exists(DipEntry.objects.of_kind(EntryKind.OUT)))

    def with_all(self) -> Self:
        """With hog, place, thermometer and every entry and its writer: two queries in all."""
        return self.select_related(
            "workshop",
            "animal",
            "station__trough",
            "station__workshop",
            "thermometer",
            "check_used",
            "by_user",
            "by_enrolment__attendee",
        ).prefetch_related(
            models.Prefetch("entries", queryset=DipEntry.objects.with_writers()),
        )


class Dip(models.Model):
    """One hog in the water, from "in water" to "out".

    ``floor_c``, ``ceiling_c`` and ``air_c`` are what the trough was set to at the start: they make
    dips of different hogs and years comparable after the trough's own row has changed.
    """

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="dips")
    station = models.ForeignKey(Station, on_delete=models.RESTRICT, related_name="dips")
    animal = models.ForeignKey(Animal, on_delete=models.RESTRICT, related_name="dips")
    client_id = models.UUIDField(unique=True)
    water_in_at = models.DateTimeField("in water")
    received_at = models.DateTimeField()
    water_kg = models.FloatField()
    strike_read_c = models.FloatField("strike reading")
    thermometer = models.ForeignKey(
        Thermometer, on_delete=models.RESTRICT, null=True, blank=True, related_name="dips"
    )
    check_used = models.ForeignKey(
        ThermometerCheck, on_delete=models.RESTRICT, null=True, blank=True, related_name="dips"
    )
    floor_c = models.FloatField()
    ceiling_c = models.FloatField()
    air_c = models.FloatField()
    by_user = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="dips_started",
    )
    by_enrolment = models.ForeignKey(
        Enrolment, on_delete=models.SET_NULL, null=True, blank=True, related_name="dips_started"
    )

    objects = DipQuerySet.as_manager()

    class Meta:
        ordering = ["-water_in_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(water_kg__range=(5, 5000)),
                name="dip_water",
                violation_error_message="A dip takes 5 to 5000 kg of water.",
            ),
            models.CheckConstraint(
                condition=Q(strike_read_c__range=(20, 95)),
                name="dip_strike",
                violation_error_message="The strike reading lies between 20 and 95 degC.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal}, {self.water_in_at:%d %b %Y %H:%M}"

    def standing(self) -> list[DipEntry]:
        """What counts, in the order it happened: neither taken back nor an undo itself.

        A late entry from a second phone falls into its place. No query where entries are loaded.
        """
        rows = list(self.entries.all())
        gone = {row.takes_back_id for row in rows}
        kept = [row for row in rows if row.kind != EntryKind.UNDO and row.pk not in gone]
        return sorted(kept, key=lambda row: (row.at, row.pk))

    def of_kind(self, kind: EntryKind) -> list[DipEntry]:
        """The standing entries of one kind."""
        return [row for row in self.standing() if row.kind == kind]

    @property
    def ended_by(self) -> DipEntry | None:
        """The entry that ended it; None while the hog is in the water."""
        return next((row for row in self.standing() if EntryKind(row.kind).ends_the_dip), None)

    def seconds_at(self, moment: datetime) -> float:
        """Seconds in the water at a moment, and no more after it is out."""
        end = self.ended_by
        until = min(moment, end.at) if end else moment
        return max(0.0, (until - self.water_in_at).total_seconds())


class DipEntryQuerySet(models.QuerySet["DipEntry"]):
    """Questions about many entries."""

    def of_kind(self, kind: EntryKind) -> Self:
        """Standing entries of a kind, of the dip that an outer query is at."""
        return self.filter(dip=OuterRef("pk"), kind=kind, taken_back__isnull=True)

    def with_writers(self) -> Self:
        """With who wrote each."""
        return self.select_related("by_user", "by_enrolment__attendee")


class DipEntry(models.Model):
    """One thing noted at the trough. ``at`` is when it happened, ``received_at`` when it came.

    ``confirmed``: the number was questioned, and whoever read it said that it stood there.
    """

    dip = models.ForeignKey(Dip, on_delete=models.CASCADE, related_name="entries")
    client_id = models.UUIDField(unique=True)
    kind = models.CharField(max_length=9, choices=EntryKind.choices)
    at = models.DateTimeField()
    received_at = models.DateTimeField()
    water_c = models.FloatField(
        null=True, blank=True, help_text="As read, or of the water poured in."
    )
    water_kg = models.FloatField(null=True, blank=True, help_text="Poured in.")
    part = models.CharField(max_length=8, choices=HogPart.choices, blank=True)
    hair = models.CharField(max_length=8, choices=HairSlip.choices, blank=True)
    confirmed = models.BooleanField(default=False)
    takes_back = models.OneToOneField(
        "self", on_delete=models.CASCADE, null=True, blank=True, related_name="taken_back"
    )
    by_user = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="dip_entries",
    )
    by_enrolment = models.ForeignKey(
        Enrolment, on_delete=models.SET_NULL, null=True, blank=True, related_name="dip_entries"
    )

    objects = DipEntryQuerySet.as_manager()

    class Meta:
        ordering = ["at", "id"]
        verbose_name_plural = "dip entries"
        constraints = [
            models.CheckConstraint(
                condition=~Q(kind=EntryKind.READING) | Q(water_c__isnull=False),
                name="reading_has_a_temperature",
                violation_error_message="A reading says what the thermometer showed.",
            ),
            models.CheckConstraint(
                condition=~Q(kind=EntryKind.POUR)
                | Q(water_c__isnull=False, water_kg__isnull=False, water_kg__range=(0.1, 200)),
                name="pour_has_water",
                violation_error_message="A bucket says how much water, 0.1 to 200 kg, and how hot.",
            ),
            models.CheckConstraint(
                condition=~Q(kind=EntryKind.HAIR_TEST)
                | Q(part__in=HogPart.values, hair__in=HairSlip.values),
                name="hair_test_has_a_part",
                violation_error_message="A hair test says where, and what the hair did.",
            ),
            models.CheckConstraint(
                condition=Q(kind=EntryKind.UNDO, takes_back__isnull=False)
                | (~Q(kind=EntryKind.UNDO) & Q(takes_back__isnull=True)),
                name="undo_points_at_an_entry",
                violation_error_message="An undo points at the entry it takes back.",
            ),
        ]

    def __str__(self) -> str:
        return f"{EntryKind(self.kind).label} at {self.at:%H:%M:%S}"

    @property
    def writer(self) -> str:
        """Who wrote it, as said in the yard."""
        if self.by_enrolment is not None:
            return self.by_enrolment.attendee.given_name
        return str(self.by_user) if self.by_user is not None else ""
