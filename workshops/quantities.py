"""Weights, lengths and temperatures as people read and type them: rows are SI, screens are not.

The exact conversions are in ``stations.trade.measures``; here is only how many decimals a screen
shows, and the number a person would have typed for what is stored.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from stations.trade import measures
from workshops.models import Units

MOST_DECIMALS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """One kind of measure. ``step`` is the finest difference its column keeps, in SI."""

    metric_word: str
    us_word: str
    to_us: Callable[[float], float]
    to_metric: Callable[[float], float]
    step: Decimal

    def word(self, units: str) -> str:
        """The unit's sign: kg or lb."""
        return self.us_word if units == Units.US else self.metric_word

    def stored(self, typed: Decimal, units: str) -> Decimal:
        """What the row keeps for a number typed in those units."""
        metric = self.to_metric(float(typed)) if units == Units.US else typed
        return Decimal(str(metric)).quantize(self.step, ROUND_HALF_UP)

    def typed(self, stored: Decimal | float, units: str) -> Decimal:
        """The shortest number that, typed in those units, means what is stored.

        A person who typed 55 lb finds 55 again, though the row keeps 24.9 kg, which is 54.9 lb.
        """
        kept = Decimal(str(stored)).quantize(self.step, ROUND_HALF_UP)
        shown = self._in(kept, units)
        for decimals in range(MOST_DECIMALS):
            short = rounded(shown, decimals)
            if self.stored(short, units) == kept:
                return short
        return rounded(shown, MOST_DECIMALS)

    def shown(self, stored: Decimal | float, units: str, *, decimals: int = 0) -> str:
        """The number with its unit, for reading: "265 lb"."""
        number = rounded(self._in(Decimal(str(stored)), units), decimals)
        return f"{number} {self.word(units)}"

    def range_words(self, low: Decimal, high: Decimal, units: str) -> str:
        """Whole numbers that surely lie between the two, so that typing either is accepted."""
        least, most = math.ceil(self._in(low, units)), math.floor(self._in(high, units))
        return f"{least} {self.word(units)} to {most} {self.word(units)}"

    def _in(self, stored: Decimal, units: str) -> float:
        return self.to_us(float(stored)) if units == Units.US else float(stored)


def rounded(number: float, decimals: int) -> Decimal:
    """Rounded half up, as people do it, without a tail of zeros."""
    return Decimal(str(number)).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)


WEIGHT = Quantity(
    metric_word="kg",
    us_word="lb",
    to_us=lambda kilograms: measures.pounds(kilograms=kilograms),
    to_metric=lambda pounds: measures.kilograms(pounds=pounds),
    step=Decimal("0.1"),
)
LENGTH = Quantity(
    metric_word="cm",
    us_word="in",
    to_us=lambda centimetres: measures.inches(centimetres=centimetres),
    to_metric=lambda inches: measures.centimetres(inches=inches),
    step=Decimal(1),
)
TEMPERATURE = Quantity(
    metric_word="°C",
    us_word="°F",
    to_us=lambda celsius: measures.fahrenheit(celsius=celsius),
    to_metric=lambda fahrenheit: measures.celsius(fahrenheit=fahrenheit),
    step=Decimal("0.01"),
)
VOLUME = Quantity(
    metric_word="L",
    us_word="gal",
    to_us=lambda litres: measures.gallons(litres=litres),
    to_metric=lambda gallons: measures.litres(gallons=gallons),
    step=Decimal("0.1"),
)


def height_shown(height_cm: float, units: str) -> str:
    """A person's height as it is said: "5 ft 7 in", or "170 cm"."""
    if units != Units.US:
        return LENGTH.shown(height_cm, units)
    feet, inches = divmod(int(rounded(measures.inches(centimetres=height_cm), 0)), 12)
    return f"{feet} ft {inches} in"


OUNCES_A_POUND = 16


def mass_shown(kilograms: float, units: str) -> str:
    """A weight from a pinch to a hog: "2.4 lb", "3.5 oz (99 g)", "12 g", "1.25 kg".

    Spice and cure are weighed in grams everywhere, so ounces carry them beside.
    """
    grams = f"{rounded(kilograms * 1000, 0 if kilograms >= 0.01 else 1)} g"
    if units != Units.US:
        return grams if kilograms < 1 else f"{rounded(kilograms, 2)} kg"
    pounds = measures.pounds(kilograms=kilograms)
    if pounds >= 1:
        return f"{rounded(pounds, 1)} lb"
    return f"{rounded(pounds * OUNCES_A_POUND, 1)} oz ({grams})"
