"""Numbers of the trough as people type them, cleaned to the plain SI floats its row keeps."""

from __future__ import annotations

from decimal import Decimal

from stations.trade import measures
from stations.trade.fuels import J_PER_BTU
from workshops.fields import MeasureField
from workshops.quantities import Quantity

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
PERCENT = Quantity(metric_word="%", us_word="%", to_us=float, to_metric=float, step=Decimal("0.1"))


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
