"""Brine by the salometer: degrees, salt by weight, salt to a weight of water, specific gravity.

100 degrees is saturated salt water at 60 F, 26.395 per cent. Another instrument counts 25 per
cent as 100, one is made for 38 F, and sellers print a 26.5 per cent scale: read what is on it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stations.trade.cures import fraction
from stations.trade.errors import within
from stations.trade.sources import Source, Trust

SALOMETER = Source(
    title="The Salometer and How to Use It; brine tables",
    place="60 F: saturated 26.395 % salt; 0 to 50 and 100 degrees printed",
    trust=Trust.PUBLISHED,
)
GRAVITY = Source(
    title="densities of salt water (Kaufmann) over water at 60 F",
    place="interpolated; a trade table from memory agrees to 0.001",
    trust=Trust.COMPUTED,
)
SATURATED = 0.26395
_DEGREES = (0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100)
_GRAVITY = (1.0, 1.019, 1.038, 1.058, 1.078, 1.098, 1.118, 1.139, 1.160, 1.182, 1.204)


@dataclass(frozen=True, slots=True, kw_only=True)
class BrineRow:
    """One line of the table: degrees, salt of the brine's weight, salt to a kg of water, gravity.

    >>> row = brine_row(80.0)
    >>> round(100 * row.salt, 3), round(row.salt_kg_per_kg_water * 8.328, 3), row.gravity
    (21.116, 2.229, 1.16)
    """

    degrees: float
    salt: float
    salt_kg_per_kg_water: float
    gravity: float


def brine_row(degrees: float) -> BrineRow:
    """The table at any degree: p = 0.26395 d, salt to water p / (100 - p).

    0 to 100 degrees, else OutOfRange. Example: see :class:`BrineRow`.

    Source: ``SALOMETER``; gravity ``GRAVITY``.
    """
    within("salometer", degrees, low=0.0, high=100.0, unit="degrees", rule="60 F scale")
    salt = SATURATED * degrees / 100
    return BrineRow(
        degrees=degrees,
        salt=salt,
        salt_kg_per_kg_water=salt / (1 - salt),
        gravity=float(np.interp(degrees, _DEGREES, _GRAVITY)),
    )


BRINE_TABLE = tuple(brine_row(float(d)) for d in _DEGREES[1:])


def salometer_degrees(salt: float) -> float:
    """Degrees of a brine from its salt over salt and water, 0 to 0.26395.

    Raises PercentForFraction or OutOfRange.

    >>> round(salometer_degrees(0.06), 1)
    22.7

    Source: ``SALOMETER``.
    """
    fraction("salt in the brine", salt, low=0.0, high=SATURATED, rule="saturated at 60 F")
    return 100 * salt / SATURATED
