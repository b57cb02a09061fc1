"""Numbers of the trough as people type them, cleaned to the plain SI floats its row keeps."""

from __future__ import annotations

from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError

from stations.trade import measures
from stations.trade.fuels import J_PER_BTU
from workshops.fields import MeasureField
from workshops.models import Units
from workshops.quantities import TEMPERATURE, WEIGHT, Quantity

# A litre of cold water, kg (IAPWS-95 at 15 degC); people measure water by the bucket, rows by mass.
KG_PER_L = 0.9991

# Fine enough that what was typed in US units comes back as it was typed.
INSIDE = Quantity(
    metric_word="cm",
    us_word="in",
    to_us=lambda centimetres: measures.inches(centimetres=centimetres),
    to_metric=lambda inches: measures.centimetres(inches=inches),
    step=Decimal("0.1"),
)
HEAT_RATE = Quantity(
    metric_word="kW",
    us_word="Btu/h",
    to_us=lambda kilowatts: kilowatts * 3.6e6 / J_PER_BTU,
    to_metric=lambda btu_h: btu_h * J_PER_BTU / 3.6e6,
    step=Decimal("0.0001"),
)
WIND = Quantity(
    metric_word="m/s",
    us_word="mph",
    to_us=lambda metres_s: metres_s / measures.MPS_PER_MPH,
    to_metric=lambda mph: mph * measures.MPS_PER_MPH,
    step=Decimal("0.01"),
)
ALTITUDE = Quantity(
    metric_word="m",
    us_word="ft",
    to_us=lambda metres: metres / measures.M_PER_FT,
    to_metric=lambda feet: feet * measures.M_PER_FT,
    step=Decimal("0.1"),
)
# A kitchen scale: to the gram.
SCALE = Quantity(
    metric_word="kg",
    us_word="lb",
    to_us=lambda kilograms: measures.pounds(kilograms=kilograms),
    to_metric=lambda pounds: measures.kilograms(pounds=pounds),
    step=Decimal("0.001"),
)
PERCENT = Quantity(metric_word="%", us_word="%", to_us=float, to_metric=float, step=Decimal("0.1"))

GRAMS_FINE = Quantity(
    metric_word="kg",
    us_word="lb",
    to_us=WEIGHT.to_us,
    to_metric=WEIGHT.to_metric,
    step=Decimal("0.0001"),
)


class SiField(MeasureField):
    """A measure whose row keeps a float: ``si`` is how much SI one metric unit of it is.

    ``low`` and ``high`` are in the metric unit, as for every measure.
    """

    def __init__(
        self, *, quantity: Quantity, low: int, high: int, si: float = 1.0, **kwargs: object
    ) -> None:
        self.si = si
        super().__init__(quantity=quantity, low=low, high=high, **kwargs)

    def prepare_value(self, value: object) -> object:
        """What stands in the box: as typed, or the stored value in the workshop's units."""
        if isinstance(value, float | int):
            return f"{self.quantity.typed(value / self.si, self.units):f}"
        return value

    def clean(self, value: object) -> float | None:  # type: ignore[override]  # the row keeps a float
        """The typed number as the row keeps it."""
        metric = super().clean(value)
        return None if metric is None else float(metric) * self.si


class ProbeField(MeasureField):
    """A probe's reading, kept as the very number that was typed: a limit is held against it.

    The other measures are rounded to the step of their column; 160 F would become 71.11 degC and
    fail a rule of 160 F. ``low`` and ``high`` are degC.
    """

    def __init__(self, *, low: int, high: int, **kwargs: object) -> None:
        super().__init__(quantity=TEMPERATURE, low=low, high=high, **kwargs)
        self.widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        self.error_messages["required"] = "Write the number that you read."
        self.error_messages["invalid"] = "Write a number, such as 39 or 39.5."

    def prepare_value(self, value: object) -> object:
        """What stands in the box: as typed, or the kept value in the workshop's units."""
        if isinstance(value, float):
            return f"{self.quantity.typed(value, self.units):f}"
        return value

    def clean(self, value: object) -> float | None:  # type: ignore[override]  # the row keeps a float
        """degC, exactly."""
        typed = forms.DecimalField.clean(self, value)
        if typed is None:
            return None
        shown = float(typed)
        found = measures.celsius(fahrenheit=shown) if self.units == Units.US else shown
        if not float(self.low) <= found <= float(self.high):
            raise ValidationError(
                f"{typed:f} {self.quantity.word(self.units)} is out of range; write a number from "
                f"{self.quantity.range_words(self.low, self.high, self.units)}."
            )
        return found
