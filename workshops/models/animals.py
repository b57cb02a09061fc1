"""The hogs and who owns them."""

from __future__ import annotations

from datetime import date, timedelta

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from workshops.models.courses import Workshop
from workshops.models.people import Household

LIVE_KG = (20, 450)


class Coat(models.TextChoices):
    """How hard the hair comes off; red, dark and autumn coats are harder (common practice)."""

    EASY = "easy", "easy: white, thin"
    ORDINARY = "ordinary", "ordinary"
    HARD = "hard", "hard: red, dark or autumn coat"


class AnimalStatus(models.TextChoices):
    """Where a hog is on its way."""

    RAISED = "raised", "on the farm"
    CHOSEN = "chosen", "chosen"
    HELD_BACK = "held_back", "held back"
    KILLED = "killed", "killed"
    CHILLED = "chilled", "chilled"
    CUT = "cut", "cut"

    @property
    def takes_part(self) -> bool:
        """Whether the days are planned with it."""
        return self not in {AnimalStatus.RAISED, AnimalStatus.HELD_BACK}


class Animal(models.Model):
    """One hog of one workshop."""

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="animals")
    tag = models.CharField(max_length=20)
    order = models.PositiveSmallIntegerField(default=1, help_text="Order of the kill.")
    live_kg = models.DecimalField(
        "live weight, kg",
        max_digits=5,
        decimal_places=1,
        validators=[MinValueValidator(LIVE_KG[0]), MaxValueValidator(LIVE_KG[1])],
    )
    carcass_kg = models.DecimalField(
        "carcass weight, kg",
        max_digits=5,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(LIVE_KG[1])],
        help_text="Opened and drawn, hot. Empty until it is weighed.",
    )
    coat = models.CharField(max_length=8, choices=Coat.choices, default=Coat.ORDINARY)
    colour = models.CharField(max_length=40, blank=True)
    status = models.CharField(
        max_length=9, choices=AnimalStatus.choices, default=AnimalStatus.RAISED
    )

    record_seen = models.BooleanField(
        "its record of treatments has been seen",
        default=False,
        help_text="Tick it also when the record says that it was never treated.",
    )

    class Meta:
        ordering = ["order", "tag"]
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "tag"],
                name="one_tag_a_hog",
                violation_error_message="Another hog of this workshop has that tag.",
            ),
            models.CheckConstraint(
                condition=Q(live_kg__range=LIVE_KG),
                name="animal_live_weight",
                violation_error_message=(
                    "A live weight lies between 20 and 450 kg (44 and 990 lb)."
                ),
            ),
            models.CheckConstraint(
                condition=Q(carcass_kg__isnull=True)
                | Q(carcass_kg__gte=1, carcass_kg__lte=F("live_kg")),
                name="animal_carcass_weight",
                violation_error_message="A carcass weighs no more than the hog did alive.",
            ),
        ]

    def __str__(self) -> str:
        return f"Hog {self.tag}"

    def ready_on(self) -> date | None:
        """The first day on which every label's withdrawal is over; None if never treated.

        The longest wins. Uses prefetched ``treatments``.
        """
        return max((row.ready_on for row in self.treatments.all()), default=None)

    def is_ready_on(self, day: date) -> bool:
        """Whether no withdrawal still runs on that day. It says nothing else about the animal."""
        ready = self.ready_on()
        return ready is None or ready <= day


class Basis(models.TextChoices):
    """How an owner came to own the animal; local law usually turns on this."""

    RAISED_BY = "raised_by", "raised by the owner"
    BOUGHT_LIVE = "bought_live", "bought live before the day"
    FARMS_OWN = "farms_own", "the farm's own"


class Ownership(models.Model):
    """One owner of record of one animal, and since when. No household means the farm."""

    animal = models.ForeignKey(Animal, on_delete=models.CASCADE, related_name="owners")
    household = models.ForeignKey(
        Household, on_delete=models.PROTECT, null=True, blank=True, related_name="animals"
    )
    percent = models.DecimalField(max_digits=5, decimal_places=2, default=100)
    basis = models.CharField(max_length=11, choices=Basis.choices)
    since = models.DateField()

    class Meta:
        ordering = ["animal", "-percent"]
        constraints = [
            models.UniqueConstraint(fields=["animal", "household"], name="one_share_a_household"),
            models.UniqueConstraint(
                fields=["animal"], condition=Q(household__isnull=True), name="one_share_of_the_farm"
            ),
            models.CheckConstraint(
                condition=Q(percent__gt=0, percent__lte=100),
                name="ownership_percent",
                violation_error_message="A share lies above 0 and at most 100 percent.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.household or 'the farm'}: {self.percent.normalize():f} % of {self.animal}"


class Treatment(models.Model):
    """One treatment of one hog, with the withdrawal of its label or as the vet has set it.

    The earliest day of slaughter is the last treatment's date plus the days of withdrawal; of
    several the latest counts (9 CFR 309.16 holds treated animals back; published). Use other than
    the label says has the days that the vet sets.
    """

    animal = models.ForeignKey(Animal, on_delete=models.CASCADE, related_name="treatments")
    product = models.CharField(max_length=80)
    on = models.DateField("last given on")
    withdrawal_days = models.PositiveSmallIntegerField(validators=[MaxValueValidator(365)])
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(withdrawal_days__lte=365),
                name="treatment_withdrawal",
                violation_error_message="A withdrawal lasts 0 to 365 days; read the label again.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.product}, {self.on:%d %b %Y}"

    @property
    def ready_on(self) -> date:
        """The first day after its withdrawal."""
        return self.on + timedelta(days=self.withdrawal_days)


class LocalCheck(models.Model):
    """That somebody asked the local authority about this workshop's animals. Never changed; taken
    back, it stays with the moment at which it was.
    """

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="local_checks")
    name = models.CharField("checked by", max_length=120)
    authority = models.CharField("whom they asked", max_length=160)
    on = models.DateField("on")
    note = models.CharField("what was said", max_length=500, blank=True)
    may_leave_off = models.BooleanField(
        "the authority says that packages need no NOT FOR SALE", default=False
    )
    made_at = models.DateTimeField()
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.name} asked {self.authority}, {self.on:%d %b %Y}"
