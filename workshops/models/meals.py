"""What is on the table, and the allergens in it."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from workshops.models.courses import Day
from workshops.models.people import Allergen


def check_allergens(found: Any) -> None:
    """Refuse what is not a list of the nine. JSON gives no narrower type."""
    if not isinstance(found, list) or any(one not in Allergen.values for one in found):
        raise ValidationError(f"Write a list of {', '.join(Allergen.values)}.")


class Meal(models.Model):
    """One dish or meal of one day."""

    day = models.ForeignKey(Day, on_delete=models.CASCADE, related_name="meals")
    name = models.CharField(max_length=120)
    contains = models.JSONField(default=list, blank=True, validators=[check_allergens])
    instead = models.CharField(
        max_length=200, blank=True, help_text="What those eat who must not have it."
    )

    class Meta:
        ordering = ["day", "pk"]

    def __str__(self) -> str:
        return self.name

    @property
    def allergens(self) -> list[Allergen]:
        """What is in it, of the nine."""
        return [Allergen(one) for one in self.contains]

    @property
    def contains_words(self) -> str:
        """What is in it, in words."""
        return ", ".join(allergen.label for allergen in self.allergens) or "none of the nine"
