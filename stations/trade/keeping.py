"""How long frozen pork keeps well: a matter of quality, by the farm bulletin."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from stations.trade.errors import within
from stations.trade.measures import celsius, pounds
from stations.trade.sources import Source, Trust

FREEZING = Source(
    title="USDA Farmers' Bulletin 2265, 1978 (rev. 1981)", place="Freezing", trust=Trust.PUBLISHED
)
FREEZER_SPACE = Source(
    title="a farm's page on freezer space", place="20 lb to a cubic foot", trust=Trust.PUBLISHED
)
FREEZE_AT_C, STORE_AT_C = celsius(fahrenheit=-10), celsius(fahrenheit=0)
KG_PER_M3 = 20 * 0.45359237 / 0.3048**3


class Frozen(StrEnum):
    """What lies in the freezer."""

    CHOPS = "chops"
    ROASTS = "roasts"
    FRESH_SAUSAGE = "fresh_sausage"
    VARIETY_MEAT = "variety_meat"
    CURED_HAM = "cured_ham"


@dataclass(frozen=True, slots=True, kw_only=True)
class Months:
    """Best within; least is 0 where the bulletin only says at most."""

    least: int
    most: int


KEEPS = {
    Frozen.CHOPS: Months(least=3, most=4),
    Frozen.ROASTS: Months(least=4, most=8),
    Frozen.FRESH_SAUSAGE: Months(least=1, most=2),
    Frozen.VARIETY_MEAT: Months(least=0, most=1),
    Frozen.CURED_HAM: Months(least=1, most=2),
}


def freezer_m3(meat_kg: float) -> float:
    """Freezer room for packages, 20 lb to a cubic foot; 0 to 5000 kg, else OutOfRange.

    >>> round(freezer_m3(60.0), 2)
    0.19

    Source: ``FREEZER_SPACE`` (weak: one farm's page).
    """
    within("meat", meat_kg, low=0.0, high=5000.0, unit="kg", rule="freezer")
    return meat_kg / KG_PER_M3


def thaw_hours(piece_kg: float) -> float:
    """Hours in a refrigerator to thaw a small roast, 3 to a lb; 0.1 to 5 kg, else OutOfRange.

    >>> round(thaw_hours(2.0), 1)
    13.2

    Source: ``FREEZING``.
    """
    within("piece", piece_kg, low=0.1, high=5.0, unit="kg", rule="thawing")
    return 3 * pounds(kilograms=piece_kg)
