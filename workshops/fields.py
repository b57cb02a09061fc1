"""Form fields that people type in their own units and in the farm's time."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from workshops.quantities import Quantity


class MeasureField(forms.DecimalField):
    """A number typed in the workshop's units and cleaned to SI.

    ``low`` and ``high`` are SI; the refusal speaks in the units that were typed.
    """

    def __init__(self, *, quantity: Quantity, low: int, high: int, **kwargs: object) -> None:
        self.quantity = quantity
        self.low, self.high = Decimal(low), Decimal(high)
        self.units = ""
        super().__init__(max_digits=8, **kwargs)  # type: ignore[arg-type]  # Django's own keyword arguments

    def speak(self, units: str) -> None:
        """Take the workshop's units; the label then says which."""
        self.units = units
        self.label = f"{self.label}, {self.quantity.word(units)}"

    def prepare_value(self, value: object) -> object:
        """What stands in the box: as typed, or the stored value in the workshop's units."""
        return self.quantity.typed(value, self.units) if isinstance(value, Decimal | int) else value

    def clean(self, value: object) -> Decimal | None:
        """The typed number as SI."""
        typed = super().clean(value)
        if typed is None:
            return None
        stored = self.quantity.stored(typed, self.units)
        if not self.low <= stored <= self.high:
            raise ValidationError(
                f"{typed:f} {self.quantity.word(self.units)} is out of range; write a number from "
                f"{self.quantity.range_words(self.low, self.high, self.units)}."
            )
        return stored


class FarmTimeField(forms.DateTimeField):
    """A date and time on the farm's clock, cleaned to an aware moment."""

    widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
    zone = ZoneInfo("UTC")

    def prepare_value(self, value: object) -> object:
        """The moment as the farm's clock shows it."""
        if isinstance(value, datetime) and timezone.is_aware(value):
            return timezone.make_naive(value, self.zone)
        return value

    def to_python(self, value: str | datetime | date | None) -> datetime | None:
        """A time without a zone is the farm's."""
        with timezone.override(self.zone):
            return super().to_python(value)
