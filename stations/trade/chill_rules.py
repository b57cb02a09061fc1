"""What published texts ask of a chill, held against a curve or against the probe's own readings."""

from __future__ import annotations

from stations.trade.chilling import CHILLED_C, ChillCurve
from stations.trade.errors import within
from stations.trade.findings import WHO_DECIDES, Finding, Rule, Sense
from stations.trade.measures import celsius
from stations.trade.sources import Source, Trust
from stations.trade.temperature_log import TemperatureLog

SHED_CHILL = Source(
    title="USDA Farmers' Bulletin 2265, 1978 (rev. 1981)", place="Chilling", trust=Trust.PUBLISHED
)
TWENTY_FOUR_HOURS = Source(
    title="ICAR/IASRI e-course, page 63986",
    place="ham centre 4.4 degC or below within 24 h (degree signs lost in print)",
    trust=Trust.PUBLISHED,
)
PORK_FREEZES = Source(
    title="Earle, Unit Operations in Food Processing",
    place="appendix 7: pork freezes at -2 degC",
    trust=Trust.PUBLISHED,
)
DAY_S = 24 * 3600.0
SHED_LOW_C, SHED_HIGH_C = celsius(fahrenheit=28.0), celsius(fahrenheit=35.0)
FREEZES_C = -2.0
_COLDER = (
    "Chill faster: spread the hams, move air, pack ice in and around, or take the carcass to a "
    f"cooler. {WHO_DECIDES}"
)

IN_TIME = Rule(
    name="time from kill until the ham centre is at 40 F",
    limit=24.0,
    sense=Sense.AT_MOST,
    unit="h",
    source=TWENTY_FOUR_HOURS,
    remedy=_COLDER,
)
BELOW_40_F = Rule(
    name="Ham centre",
    limit=CHILLED_C,
    sense=Sense.AT_MOST,
    unit="degC",
    source=SHED_CHILL,
    remedy="Below 40 F before cutting, or move it to a plant with a cooler",
)
AIR_WARM = Rule(
    name="Warmest air",
    limit=SHED_HIGH_C,
    sense=Sense.AT_MOST,
    unit="degC",
    source=SHED_CHILL,
    remedy="Shed air for hanging is 28 to 35 F; plan a cooler or ice for the warm hours",
)
AIR_COLD = Rule(
    name="Coldest air",
    limit=SHED_LOW_C,
    sense=Sense.AT_LEAST,
    unit="degC",
    source=SHED_CHILL,
    remedy="Thin parts freeze first: cover the carcass or bring it in for the coldest hours",
)
SKIN_UNFROZEN = Rule(
    name="Coldest skin of the ham in the first day",
    limit=FREEZES_C,
    sense=Sense.AT_LEAST,
    unit="degC",
    source=PORK_FREEZES,
    remedy="Meat frozen within a day of the kill toughens: warm or cover it",
)


def chill_forecast_findings(curve: ChillCurve, *, delay_s: float = 0.0) -> tuple[Finding, ...]:
    """The forecast against every rule: in time, air neither too warm nor too cold, skin unfrozen.

    A curve is a forecast: that it comes in time is never more than open until a probe says so.

    Args:
        curve: the ham in the air that is known.
        delay_s: from the kill to hanging in that air, 0 to 24 h, in s.

    Returns: findings in that order; where the air known ends too soon, its end is the value.

    Raises: OutOfRange.

    >>> from stations.trade.chilling import Ham, chill_curve, steady_air
    >>> curve = chill_curve(Ham(carcass_kg=90.0), steady_air(6.0, hours=30.0))
    >>> [one.standing.value for one in chill_forecast_findings(curve)]
    ['outside', 'outside', 'within', 'within']

    Source: ``TWENTY_FOUR_HOURS``, ``SHED_CHILL``, ``PORK_FREEZES``.
    """
    within("delay", delay_s, low=0.0, high=DAY_S, unit="s", rule="chilling")
    reached = curve.reaches_s()
    ends = curve.air.until_s if reached is None else reached
    hours = (ends + delay_s) / 3600
    first_day = max(0.0, min(curve.air.until_s, DAY_S - delay_s))
    return (
        IN_TIME.held_against(hours, still_running=True),
        AIR_WARM.held_against(max(temp for _, temp in curve.air.points)),
        AIR_COLD.held_against(curve.air.coldest_c),
        SKIN_UNFROZEN.held_against(curve.skin_coldest_c(until_s=first_day)),
    )


def chill_log_findings(log: TemperatureLog) -> tuple[Finding, ...]:
    """The probe's own readings, timed from the kill: inside 24 h, and where the ham stands now.

    Chilled counts from the first reading after which none is warmer than 40 F; until then the
    latest reading's time is the value, so the rule turns outside by itself after 24 h.

    Args:
        log: readings in the middle of the ham, s from the kill.

    Returns: time, then temperature.

    Raises: nothing; an empty log cannot be made.

    >>> from stations.trade.temperature_log import log_of
    >>> done = log_of((0.0, 39.0), (18 * 3600.0, 6.0), (22 * 3600.0, 4.4))
    >>> [one.standing.value for one in chill_log_findings(done)]
    ['within', 'within']
    >>> late = log_of((0.0, 39.0), (25 * 3600.0, 4.5))
    >>> [one.standing.value for one in chill_log_findings(late)]
    ['outside', 'outside']

    Source: ``TWENTY_FOUR_HOURS``, ``SHED_CHILL``.
    """
    cold_from = log.stays_at_or_below_from_s(CHILLED_C)
    at_s = log.last.at_s if cold_from is None else cold_from
    return (
        IN_TIME.held_against(at_s / 3600, still_running=cold_from is None),
        BELOW_40_F.held_against(log.last.temp_c),
    )
