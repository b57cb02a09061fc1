"""Households, attendees, and the staff of one workshop."""

from __future__ import annotations

from datetime import date

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from workshops.models.courses import Workshop, years_between

ADULT_AT = 18


class Household(models.Model):
    """The people who share an order."""

    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    emergency_contact = models.CharField(max_length=120, blank=True)
    emergency_phone = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Attendee(models.Model):
    """A person who comes to learn."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="attendees")
    given_name = models.CharField(max_length=80)
    family_name = models.CharField(max_length=80, blank=True)
    born = models.DateField(null=True, blank=True, help_text="Needed for anyone under 18.")
    height_cm = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(100), MaxValueValidator(230)]
    )
    diet = models.CharField(max_length=200, blank=True)
    guardian = models.CharField(
        max_length=120, blank=True, help_text="Who answers for a person under 18."
    )

    class Meta:
        ordering = ["given_name", "family_name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(height_cm__isnull=True) | Q(height_cm__range=(100, 230)),
                name="attendee_height",
                violation_error_message="Height must be between 100 and 230 cm (39 and 91 in).",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.given_name} {self.family_name}".strip()

    def is_minor_on(self, day: date) -> bool:
        """Whether they are under 18 on that day; someone without a birth date counts as adult."""
        return self.born is not None and years_between(self.born, day) < ADULT_AT


class Allergen(models.TextChoices):
    """The nine major food allergens of United States law.

    Source: FASTER Act, signed 23 April 2021, which added sesame from 1 January 2023 to the eight of
    the Food Allergen Labeling and Consumer Protection Act (published). Other places list more:
    the rest is written under diet.
    """

    MILK = "milk", "milk"
    EGGS = "eggs", "eggs"
    FISH = "fish", "fish"
    SHELLFISH = "shellfish", "crustacean shellfish"
    TREE_NUTS = "tree_nuts", "tree nuts"
    PEANUTS = "peanuts", "peanuts"
    WHEAT = "wheat", "wheat"
    SOY = "soy", "soybeans"
    SESAME = "sesame", "sesame"


class AttendeeAllergen(models.Model):
    """One allergen that one person must not meet."""

    attendee = models.ForeignKey(Attendee, on_delete=models.CASCADE, related_name="allergens")
    allergen = models.CharField(max_length=9, choices=Allergen.choices)

    class Meta:
        ordering = ["allergen"]
        constraints = [
            models.UniqueConstraint(fields=["attendee", "allergen"], name="one_row_an_allergen"),
            models.CheckConstraint(
                condition=Q(allergen__in=Allergen.values),
                name="attendee_allergen_known",
                violation_error_message="That is not one of the nine; write it under diet.",
            ),
        ]

    def __str__(self) -> str:
        return Allergen(self.allergen).label


class StaffRole(models.TextChoices):
    """What a member of the staff is on one workshop."""

    LEAD = "lead", "lead"
    HELPER = "helper", "helper"


class StaffMember(models.Model):
    """The lead or a helper on one workshop, with or without a sign-in."""

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="staff")
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="staff_memberships",
    )
    name = models.CharField(max_length=80)
    role = models.CharField(max_length=6, choices=StaffRole.choices, default=StaffRole.HELPER)

    class Meta:
        ordering = ["-role", "name"]
        constraints = [
            models.UniqueConstraint(fields=["workshop", "name"], name="one_staff_name_a_workshop"),
            models.UniqueConstraint(
                fields=["workshop", "user"],
                condition=Q(user__isnull=False),
                name="one_staff_row_a_user",
            ),
        ]

    def __str__(self) -> str:
        return self.name
