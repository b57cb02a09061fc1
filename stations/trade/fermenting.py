"""Degree-hours of a fermenting sausage: how long it may be warm before it is sour."""

from __future__ import annotations

import math
from itertools import pairwise

from stations.trade.errors import OutOfRange, within
from stations.trade.findings import WHO_DECIDES, Finding, Rule, Sense
from stations.trade.measures import fahrenheit
from stations.trade.sources import Source, Trust
from stations.trade.temperature_log import TemperatureLog

FIRST_BAND = Source(
    title="degree-hours for fermented sausage, extension pages",
    place="1200 below 90 F",
    trust=Trust.PUBLISHED,
)
LOG_SHEET = Source(
    title="UW-Madison fermentation log, 2012",
    place="its hours give 1000 at 90 to 100 F and 900 above (computed)",
    trust=Trust.PUBLISHED,
)
BASE_F = 60.0


def degree_hour_limit(hottest_f: float) -> float:
    """Degree-hours allowed by the chamber's highest temperature: 1200, 1000 or 900 (degF h).

    60 to 125 degF, else OutOfRange.

    >>> degree_hour_limit(85), degree_hour_limit(90), degree_hour_limit(105)
    (1200.0, 1000.0, 900.0)

    Source: ``FIRST_BAND``, ``LOG_SHEET``.
    """
    within("chamber", hottest_f, low=BASE_F, high=125.0, unit="degF", rule="degree-hours")
    if hottest_f < 90:
        return 1200.0
    return 1000.0 if hottest_f <= 100 else 900.0


def hours_allowed(chamber_f: float) -> int:
    """Whole hours at one chamber temperature until pH 5.3 must be reached, rounded down.

    Above 60 to 125 degF, else OutOfRange.

    >>> hours_allowed(80), hours_allowed(95)
    (60, 28)

    Source: ``LOG_SHEET``.
    """
    if not chamber_f > BASE_F:
        raise OutOfRange(
            "chamber", got=chamber_f, low=61.0, high=125.0, unit="degF", rule="degree-hours"
        )
    return math.floor(degree_hour_limit(chamber_f) / (chamber_f - BASE_F))


def degree_hours_finding(chamber: TemperatureLog, *, sour_at_s: float | None) -> Finding:
    """Degree-hours above 60 F until pH 5.3, each stretch taken at the warmer of its two readings.

    Args:
        chamber: readings of the chamber's air.
        sour_at_s: when pH 5.3 was measured, s on the log's clock; None while it is not.

    Returns: the finding, in degF h, still open before pH 5.3.

    Raises: OutOfRange for a chamber above 125 degF.

    >>> from stations.trade.temperature_log import log_of
    >>> warm = log_of((0.0, 26.0), (20 * 3600.0, 27.0), (70 * 3600.0, 26.5))
    >>> degree_hours_finding(warm, sour_at_s=48 * 3600.0).standing.value
    'within'

    Source: ``FIRST_BAND``, ``LOG_SHEET``.
    """
    stop_s = chamber.last.at_s if sour_at_s is None else sour_at_s
    total = _above(chamber.last.temp_c) * max(0.0, stop_s - chamber.last.at_s) / 3600
    for one, after in pairwise(chamber.readings):
        hours = max(0.0, min(after.at_s, stop_s) - one.at_s) / 3600
        total += _above(max(one.temp_c, after.temp_c)) * hours
    before = [one for one in chamber.readings if one.at_s <= stop_s]
    hottest = BASE_F + max((_above(one.temp_c) for one in before), default=0.0)
    rule = Rule(
        name="degree-hours above 60 F until pH 5.3",
        limit=degree_hour_limit(hottest),
        sense=Sense.AT_MOST,
        unit="degF h",
        source=FIRST_BAND if hottest < 90 else LOG_SHEET,
        remedy=f"Measure the pH; past the limit hold the batch apart. {WHO_DECIDES}",
    )
    return rule.held_against(total, still_running=sour_at_s is None)


def _above(temp_c: float) -> float:
    """degF above 60, or 0."""
    return max(0.0, fahrenheit(celsius=temp_c) - BASE_F)
