"""What households owe and have paid, and what a course costs. Whole cents; nothing is deleted."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from workshops.models.courses import Workshop
from workshops.models.people import Household

# Ten million of any currency; a slip of the finger is caught well before a database is.
MOST_CENTS = 1_000_000_000


class LedgerKind(models.TextChoices):
    """What an entry does to what is owed."""

    CHARGE = "charge", "charge"
    REDUCTION = "reduction", "reduction"
    PAYMENT = "payment", "payment received"
    REFUND = "refund", "payment given back"

    @property
    def sign(self) -> int:
        """Whether it adds to what is owed, or takes off."""
        return 1 if self in {LedgerKind.CHARGE, LedgerKind.REFUND} else -1


class LedgerEntry(models.Model):
    """One amount of one household. A mistake is reversed by a row that points at it."""

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="ledger")
    household = models.ForeignKey(Household, on_delete=models.PROTECT, related_name="ledger")
    kind = models.CharField(max_length=9, choices=LedgerKind.choices)
    cents = models.PositiveIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(MOST_CENTS)]
    )
    on = models.DateField()
    note = models.CharField(max_length=200, blank=True)
    reverses = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="reversal"
    )
    form_id = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True
    )

    class Meta:
        ordering = ["on", "pk"]
        verbose_name_plural = "ledger entries"
        constraints = [
            models.CheckConstraint(
                condition=Q(cents__range=(1, MOST_CENTS)),
                name="ledger_amount",
                violation_error_message="An amount lies above zero; to undo one, reverse it.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind_word} {self.cents / 100:.2f}"

    @property
    def effect_cents(self) -> int:
        """What it adds to what the household owes."""
        sign = LedgerKind(self.kind).sign
        return -sign * self.cents if self.reverses_id else sign * self.cents

    @property
    def kind_word(self) -> str:
        """What it is, in words."""
        word = LedgerKind(self.kind).label
        return f"reversed: {word}" if self.reverses_id else word


class CostBasis(models.TextChoices):
    """What a cost grows with."""

    ONCE = "once", "once"
    PER_HOG = "per_hog", "a hog"
    PER_SEAT = "per_seat", "a seat"
    PER_HELPER_DAY = "per_helper_day", "a helper and day"
    PER_DAY = "per_day", "a day"


class Cost(models.Model):
    """One line of a course's budget."""

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="costs")
    name = models.CharField(max_length=80)
    basis = models.CharField("for each", max_length=14, choices=CostBasis.choices)
    cents = models.PositiveIntegerField(validators=[MaxValueValidator(MOST_CENTS)])

    class Meta:
        ordering = ["basis", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "name"],
                name="one_row_a_cost",
                violation_error_message="The budget has a line of that name; change that one.",
            ),
        ]

    def __str__(self) -> str:
        return self.name
