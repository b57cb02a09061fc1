"""How far off a thermometer reads, from its last check in ice water and in boiling water."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stations.trade.errors import within
from stations.trade.water import boiling_point_c

UNCHECKED_K = 1.0
CHECKED_K = 0.25
DRIFT_K_PER_DAY = 0.02
BAROMETER_K = 0.3
"""Spreads (one standard deviation) are a judgement; the barometer's is 1 % of air pressure."""
ICE_C = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Thermometer:
    """A thermometer and its last check: what it read in ice water and at the boil, where, how old.

    ``ice_read_c`` and ``boil_read_c`` in degC or None, within 3 K of 0 and of the boiling point at
    ``altitude_m`` (-100 to 4000 m); ``age_days`` 0 to 3650. Otherwise raises OutOfRange: such a
    thermometer is not corrected but replaced.

    >>> dial = Thermometer(ice_read_c=0.5, boil_read_c=96.4, altitude_m=1524.0)
    >>> round(dial.offset_c(62.0), 2)
    1.15
    """

    ice_read_c: float | None = None
    boil_read_c: float | None = None
    altitude_m: float = 0.0
    age_days: float = 0.0

    def __post_init__(self) -> None:
        rule = "a thermometer further off is replaced"
        boils = boiling_point_c(self.altitude_m)
        within("age of the check", self.age_days, low=0.0, high=3650.0, unit="days", rule=rule)
        if self.ice_read_c is not None:
            within("ice reading", self.ice_read_c, low=-3.0, high=3.0, unit="degC", rule=rule)
        if self.boil_read_c is not None:
            low, high = boils - 3.0, boils + 3.0
            within("boil reading", self.boil_read_c, low=low, high=high, unit="degC", rule=rule)

    def offset_c(self, read_c: float) -> float:
        """How much too high it reads there: straight between the two checks, level beyond one, K.

        Source: two-point check (computed); boiling point by altitude (published).
        """
        boils = boiling_point_c(self.altitude_m)
        ice = None if self.ice_read_c is None else self.ice_read_c - ICE_C
        boil = None if self.boil_read_c is None else self.boil_read_c - boils
        if ice is not None and boil is not None:
            return ice + (boil - ice) * read_c / boils
        if boil is not None:
            return boil
        return ice if ice is not None else 0.0

    @property
    def spread_k(self) -> float:
        """One standard deviation of what the check leaves open; an old check is worth no check."""
        if self.ice_read_c is None and self.boil_read_c is None:
            return UNCHECKED_K
        weather = 0.0 if self.boil_read_c is None else BAROMETER_K
        one_point = 0.0 if None not in (self.ice_read_c, self.boil_read_c) else 0.4
        drift = DRIFT_K_PER_DAY * self.age_days
        return min(UNCHECKED_K, math.hypot(CHECKED_K, weather, one_point, drift))
