"""Holding food hot or cold, or by time alone, from the log."""

from __future__ import annotations

from enum import StrEnum

from stations.trade.findings import WHO_DECIDES, Finding, Rule, Sense
from stations.trade.measures import celsius
from stations.trade.sources import Source, Trust
from stations.trade.temperature_log import TemperatureLog

HOLDING = Source(title="FDA Food Code 3-501.16", place="WAC 246-215-03525", trust=Trust.PUBLISHED)
TIME_ALONE = Source(title="FDA Food Code", place="WAC 246-215-03530", trust=Trust.PUBLISHED)
DANGER_ZONE = Source(
    title="USDA/FSIS statement, 2016", place="40 to 140 F, by quotation", trust=Trust.PUBLISHED
)
ZONE_LOW_C, ZONE_HIGH_C = celsius(fahrenheit=40.0), celsius(fahrenheit=140.0)
HOT_DAY_C = celsius(fahrenheit=90.0)


class Held(StrEnum):
    """How food is kept for serving."""

    HOT = "hot"
    HOT_ROAST = "hot_roast"
    COLD = "cold"

    @property
    def rule(self) -> Rule:
        """The limit at every reading."""
        return _HELD[self]


def _held(name: str, limit_f: int, sense: Sense, remedy: str) -> Rule:
    return Rule(
        name=name,
        limit=celsius(fahrenheit=limit_f),
        sense=sense,
        unit="degC",
        source=HOLDING,
        remedy=f"{remedy}. {WHO_DECIDES}",
    )


_TIME = "Time it below as food out of temperature control (4 h at most)"
_HELD = {
    Held.HOT: _held("hot holding: coolest reading", 135, Sense.AT_LEAST, _TIME),
    Held.HOT_ROAST: _held(
        "roast held hot after a table's time: coolest reading", 130, Sense.AT_LEAST, _TIME
    ),
    Held.COLD: _held("cold holding: warmest reading", 41, Sense.AT_MOST, _TIME),
}
FOUR_HOURS = Rule(
    name="longest time that may have been out of temperature control",
    limit=4.0,
    sense=Sense.AT_MOST,
    unit="h",
    source=TIME_ALONE,
    remedy=f"Past its 4 h: do not serve it. {WHO_DECIDES}",
)


def holding_findings(held: Held, log: TemperatureLog) -> tuple[Finding, ...]:
    """The worst reading against the holding limit, and the longest lapse against 4 h.

    A lapse runs from the good reading before it to the good reading after it: between, nobody
    looked.

    Args:
        held: hot, roast held hot, or cold.
        log: readings of the food, not of the box.

    Returns: temperature, then the lapse.

    Raises: nothing.

    >>> from stations.trade.temperature_log import log_of
    >>> [one.standing.value for one in holding_findings(
    ...     Held.COLD, log_of((0.0, 4.0), (7200.0, 6.5), (9000.0, 4.5)))]
    ['outside', 'within']

    Source: ``HOLDING``, ``TIME_ALONE``.
    """
    rule, temps = held.rule, [one.temp_c for one in log.readings]
    if rule.sense is Sense.AT_LEAST:
        value, lapse_s = min(temps), log.longest_between_s(-273.15, rule.limit)
    else:
        value, lapse_s = max(temps), log.longest_above_s(rule.limit)
    return rule.held_against(value), FOUR_HOURS.held_against(lapse_s / 3600)


def danger_zone_finding(log: TemperatureLog, *, air_c: float) -> Finding:
    """The longest time between 40 and 140 F against 2 h, or 1 h where the air is above 90 F.

    Args:
        log: readings of the food.
        air_c: where it stood, degC.

    Returns: the finding, in h.

    Raises: nothing.

    >>> from stations.trade.temperature_log import log_of
    >>> out = log_of((0.0, 70.0), (3600.0, 40.0), (5400.0, 30.0))
    >>> danger_zone_finding(out, air_c=20.0).standing.value
    'within'
    >>> danger_zone_finding(out, air_c=33.0).standing.value
    'outside'

    Source: ``DANGER_ZONE``.
    """
    limit_h = 1.0 if air_c > HOT_DAY_C else 2.0
    rule = Rule(
        name="time between 40 and 140 F",
        limit=limit_h,
        sense=Sense.AT_MOST,
        unit="h",
        source=DANGER_ZONE,
        remedy=f"The statement has it discarded. {WHO_DECIDES}",
    )
    return rule.held_against(log.longest_between_s(ZONE_LOW_C, ZONE_HIGH_C) / 3600)
