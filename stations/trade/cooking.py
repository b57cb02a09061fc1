"""Is the batch cooked to a published rule? Judged from the log as it stands, at once.

Which rule applies goes by what the product is. "Outside" on a finished batch means: back on the
heat, or not served; the sentence says which source asks what. No finding says that food may be
eaten.
"""

from __future__ import annotations

from enum import StrEnum

from stations.trade.findings import WHO_DECIDES, Finding, Rule, Sense
from stations.trade.lethality import (
    MINCED,
    MINCED_HOLDS,
    ROAST_HOLDS,
    ROASTS,
    Reduction,
    nearest_hold,
)
from stations.trade.measures import celsius
from stations.trade.sources import Source, Trust
from stations.trade.temperature_log import TemperatureLog

USDA_CHART = Source(
    title="USDA minimum internal temperatures", place="consumer chart", trust=Trust.PUBLISHED
)
REHEAT = Source(
    title="FDA Food Code", place="3-403.11, reheating for hot holding", trust=Trust.MEMORY
)
REHEAT_S = 2 * 3600.0
REST_S = 180.0


class Product(StrEnum):
    """What is cooked, as the chart sorts it."""

    WHOLE_PORK = "whole_pork"
    MINCED_PORK = "minced_pork"
    STUFFED_OR_LEFTOVER = "stuffed_or_leftover"
    HAM_FROM_HERE = "ham_from_here"
    POULTRY = "poultry"

    @property
    def words(self) -> str:
        """What the screen says."""
        return {
            Product.WHOLE_PORK: "whole pork",
            Product.MINCED_PORK: "minced pork or sausage",
            Product.STUFFED_OR_LEFTOVER: "stuffing, casserole or leftovers",
            Product.HAM_FROM_HERE: "cooked ham reheated, not packed in an inspected plant",
            Product.POULTRY: "poultry",
        }[self]

    @property
    def endpoint_f(self) -> int:
        """The chart's temperature, degF."""
        return _ENDPOINTS_F[self]


_ENDPOINTS_F = {
    Product.WHOLE_PORK: 145,
    Product.MINCED_PORK: 160,
    Product.STUFFED_OR_LEFTOVER: 165,
    Product.HAM_FROM_HERE: 165,
    Product.POULTRY: 165,
}


def _endpoint(product: Product) -> Rule:
    return Rule(
        name=f"{product.words}: hottest reading at the coldest place",
        limit=celsius(fahrenheit=product.endpoint_f),
        sense=Sense.AT_LEAST,
        unit="degC",
        source=USDA_CHART,
        remedy=f"Back on the heat to {product.endpoint_f} F. {WHO_DECIDES}",
    )


_REST = Rule(
    name="whole pork: rest after 145 F",
    limit=REST_S / 60,
    sense=Sense.AT_LEAST,
    unit="min",
    source=USDA_CHART,
    remedy="Let it rest 3 min before it is cut",
)
_IN_TWO_HOURS = Rule(
    name="reheating: time to 165 F",
    limit=REHEAT_S / 3600,
    sense=Sense.AT_MOST,
    unit="h",
    source=REHEAT,
    remedy=f"Reheat quickly, in small lots. {WHO_DECIDES}",
)


def chart_findings(
    product: Product, log: TemperatureLog, *, cooking: bool = False
) -> tuple[Finding, ...]:
    """The consumer chart: whole pork 145 F and 3 min rest, minced 160 F, the rest 165 F.

    The rest is the time from the first reading at 145 F to the last reading of the log.

    Args:
        product: what is cooked.
        log: readings at the coldest place, into the rest.
        cooking: still in the heat; what is not yet reached stays open.

    Returns: temperature, and for whole pork the rest.

    Raises: nothing.

    >>> from stations.trade.temperature_log import log_of
    >>> roast = log_of((0.0, 55.0), (600.0, 63.0), (800.0, 63.5))
    >>> [one.standing.value for one in chart_findings(Product.WHOLE_PORK, roast)]
    ['within', 'within']
    >>> print(chart_findings(Product.MINCED_PORK, log_of((0.0, 71.0)))[0].sentence()[:75])
    Outside the limit: minced pork or sausage: hottest reading at the coldest p

    Source: ``USDA_CHART`` (145 F since 2011).
    """
    top = _endpoint(product)
    hottest = max(one.temp_c for one in log.readings)
    temperature = top.held_against(hottest, still_running=cooking)
    if product is not Product.WHOLE_PORK:
        return (temperature,)
    reached = log.reaches_at_s(top.limit)
    rested = 0.0 if reached is None else log.last.at_s - reached
    return temperature, _REST.held_against(rested / 60, still_running=cooking)


def hold_finding(
    product: Product,
    log: TemperatureLog,
    *,
    cooking: bool = False,
    reduction: Reduction = Reduction.LOG_6_5,
) -> Finding | None:
    """The time-at-temperature tables, for slow cooking below the chart's temperatures.

    Args:
        product: whole pork by the roasts' table, minced by its own; others have none.
        log: readings at the coldest place.
        cooking: still in the heat.
        reduction: column of the roasts' table.

    Returns: the finding, or None where no table covers the product.

    Raises: nothing.

    >>> from stations.trade.temperature_log import log_of
    >>> hold_finding(Product.MINCED_PORK, log_of((0.0, 66.0), (60.0, 66.0))).standing.value
    'within'
    >>> hold_finding(Product.POULTRY, log_of((0.0, 66.0))) is None
    True

    Source: ``lethality``.
    """
    match product:
        case Product.WHOLE_PORK:
            return nearest_hold(
                log, ROAST_HOLDS[reduction], name="whole pork", source=ROASTS, cooking=cooking
            )
        case Product.MINCED_PORK:
            return nearest_hold(
                log, MINCED_HOLDS, name="minced pork", source=MINCED, cooking=cooking
            )
        case _:
            return None


def reheat_findings(log: TemperatureLog, *, heating: bool = False) -> tuple[Finding, ...]:
    """Reheating for hot holding: 165 F, and inside 2 h of the log's first reading.

    The two hours are from memory, so that a kept time stays open for the lead.

    Args:
        log: readings from when reheating began.
        heating: still in the heat.

    Returns: temperature, then time.

    Raises: nothing.

    >>> from stations.trade.temperature_log import log_of
    >>> [one.standing.value for one in reheat_findings(log_of((0.0, 4.0), (3000.0, 75.0)))]
    ['within', 'open']

    Source: ``USDA_CHART`` for 165 F (leftovers); ``REHEAT`` for the time (from memory).
    """
    product = Product.STUFFED_OR_LEFTOVER
    temperature = chart_findings(product, log, cooking=heating)[0]
    reached = log.reaches_at_s(_endpoint(product).limit)
    at_s = log.last.at_s if reached is None else reached
    time = _IN_TWO_HOURS.held_against((at_s - log.first.at_s) / 3600, still_running=reached is None)
    return temperature, time
