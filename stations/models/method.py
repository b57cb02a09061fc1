"""How this workshop works: the stages of a hog's way and of the kitchen, and the gaps between."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from stations.models.equipment import Equipment
from stations.models.places import Duty, Station
from stations.trade.sources import Trust
from workshops.models import Workshop


class Subject(models.TextChoices):
    """What a stage is done to."""

    EACH_HOG = "each_hog", "each hog"
    ONCE = "once", "once"


class Trusted(models.TextChoices):
    """How far to trust a duration or a gap (see ``stations.trade.sources``)."""

    PUBLISHED = Trust.PUBLISHED.value, Trust.PUBLISHED.words
    COMPUTED = Trust.COMPUTED.value, Trust.COMPUTED.words
    PRACTICE = Trust.PRACTICE.value, Trust.PRACTICE.words
    MEMORY = Trust.MEMORY.value, Trust.MEMORY.words


class Stage(models.Model):
    """One stage: where, on which day, how long, and which duties it needs."""

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="stages")
    key = models.SlugField(max_length=40)
    name = models.CharField(max_length=60)
    order = models.PositiveSmallIntegerField(default=1)
    subject = models.CharField(max_length=8, choices=Subject.choices, default=Subject.EACH_HOG)
    day_number = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(14)]
    )
    station = models.ForeignKey(Station, on_delete=models.PROTECT, related_name="stages")
    or_at = models.ManyToManyField(
        Station,
        blank=True,
        related_name="stages_too",
        verbose_name="or at",
        help_text="Other stations where it may be done; the planner chooses.",
    )
    duties = models.ManyToManyField(Duty, blank=True, related_name="stages")
    least_min = models.PositiveSmallIntegerField()
    expected_min = models.PositiveSmallIntegerField()
    most_min = models.PositiveSmallIntegerField()
    unattended = models.BooleanField(
        default=False, help_text="Runs on by itself through breaks and the night, like chilling."
    )
    not_before = models.TimeField(null=True, blank=True)
    done_by = models.TimeField(null=True, blank=True)
    source = models.CharField(max_length=200, blank=True)
    trust = models.CharField(max_length=9, choices=Trusted.choices, default=Trusted.PRACTICE)
    # Old run sheets keep their stages; a retired one is on no new one and in no clone.
    retired = models.BooleanField(default=False, editable=False)

    class Meta:
        ordering = ["day_number", "order"]
        constraints = [
            models.UniqueConstraint(fields=["workshop", "key"], name="one_key_a_stage"),
            models.CheckConstraint(
                condition=Q(least_min__gte=1)
                & Q(expected_min__gte=F("least_min"))
                & Q(most_min__gte=F("expected_min")),
                name="stage_minutes",
                violation_error_message=(
                    "Minutes run from least to expected to most, and least is 1 or more."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def comes_before(self, other: Stage) -> bool:
        """Whether it stands before another in the way of a hog."""
        return (self.day_number, self.order) < (other.day_number, other.order)

    @property
    def hours_words(self) -> str:
        """When on its day it may be."""
        said = [f"from {self.not_before:%H:%M}"] if self.not_before else []
        said += [f"done by {self.done_by:%H:%M}"] if self.done_by else []
        return ", ".join(said) or "any time"


class StageGap(models.Model):
    """From the end of one stage to the start of another: at least and at most so long."""

    before = models.ForeignKey(Stage, on_delete=models.CASCADE, related_name="gaps_after")
    after = models.ForeignKey(Stage, on_delete=models.CASCADE, related_name="gaps_before")
    least_min = models.PositiveSmallIntegerField(default=0)
    most_min = models.PositiveSmallIntegerField(null=True, blank=True)
    keeps_place = models.BooleanField(
        "keeps its place",
        default=False,
        help_text="The carcass stays where it is, and blocks it, until the next station takes it.",
    )
    source = models.CharField(max_length=200, blank=True)
    trust = models.CharField(max_length=9, choices=Trusted.choices, default=Trusted.PRACTICE)

    class Meta:
        ordering = ["before", "after"]
        constraints = [
            models.UniqueConstraint(fields=["before", "after"], name="one_gap_a_pair"),
            models.CheckConstraint(
                condition=~Q(before=F("after")),
                name="gap_between_two",
                violation_error_message="A gap lies between two different stages.",
            ),
            models.CheckConstraint(
                condition=Q(most_min__isnull=True) | Q(most_min__gte=F("least_min")),
                name="gap_minutes",
                violation_error_message="The longest gap cannot be shorter than the least.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.before} to {self.after}"

    @property
    def sentence(self) -> str:
        """How long the carcass waits, and where."""
        least, most = self.least_min, self.most_min
        said = f"{least} min or more" if most is None else f"{least} to {most} min"
        return f"{said}; it keeps its place meanwhile" if self.keeps_place else said


class KitHold(models.Model):
    """Pieces of kit that a stage takes, and gives back when it or a later stage is over.

    Gambrels are held from the hanging to the end of the chill: how many there are limits how many
    hogs can hang.
    """

    stage = models.ForeignKey(Stage, on_delete=models.CASCADE, related_name="kit_held")
    until = models.ForeignKey(
        Stage,
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="kit_given_back",
        verbose_name="kept to the end of",
        help_text="Empty: to the end of this stage.",
    )
    equipment = models.ForeignKey(
        Equipment, on_delete=models.CASCADE, related_name="holds", verbose_name="what"
    )
    each = models.PositiveSmallIntegerField(
        "how many", default=1, validators=[MinValueValidator(1), MaxValueValidator(99)]
    )

    class Meta:
        ordering = ["stage", "equipment"]
        constraints = [
            models.UniqueConstraint(fields=["stage", "equipment"], name="one_hold_of_a_kit"),
            models.CheckConstraint(
                condition=Q(each__gte=1),
                name="kit_is_held",
                violation_error_message="A stage holds 1 or more of it.",
            ),
        ]

    def __str__(self) -> str:
        until = f" to the end of {self.until.name.lower()}" if self.until else ""
        return f"{self.each} of {self.equipment.name}{until}"
