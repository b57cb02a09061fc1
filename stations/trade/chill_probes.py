"""Probe readings correct the forecast: this carcass chills slower or faster than the fitted one.

One number is learnt, the time this ham takes over the fitted ham's. Its prior spread makes 20 per
cent two spreads. A shallow probe reads too cold and flatters the chill: probe the thickest of the
ham, off the bone (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from stations.trade.chilling import (
    CHILLED_C,
    TIME_BAND,
    ChillCurve,
    Ham,
    HourlyAir,
    chill_curve,
    nodes_of,
    weighed,
)
from stations.trade.conduction import Floats, follow_air, modes_of
from stations.trade.temperature_log import TemperatureLog

PRIOR_SPREAD = TIME_BAND / 2
READING_K = 0.7  # judgement: the probe is seldom just in the middle twice
_SLOWER = np.exp(np.linspace(-0.5, 0.5, 201))


@dataclass(frozen=True, slots=True, kw_only=True)
class ChillForecast:
    """The likely curve, and the quicker and slower that hold four in five.

    Times are s after hanging, None where the air known ends first.
    """

    likely: ChillCurve
    quick: ChillCurve
    slow: ChillCurve
    readings: int

    @property
    def reaches_s(self) -> tuple[float | None, float | None, float | None]:
        """When the centre is at 40 F: quick, likely, slow."""
        return (
            self.quick.reaches_s(CHILLED_C),
            self.likely.reaches_s(CHILLED_C),
            self.slow.reaches_s(CHILLED_C),
        )


def centres_c(ham: Ham, air: HourlyAir, slower: Floats, *, every_s: float = 600.0) -> Floats:
    """The centre at :func:`chilling.nodes_of` for many time factors at once; axes times, factors.

    Raises OutOfRange as ``chilling``. Example: see :func:`probed_forecast`.

    Source: ``conduction.SERIES``.
    """
    times = nodes_of(air, every_s=every_s)
    airs = air.over(times)
    rates = replace(ham, slower=1.0).rates_per_s / slower[:, None]
    modes = follow_air(times, airs, rates=rates, start_c=np.array(ham.start_c))
    return weighed(modes, airs[:, None], modes_of(ham.body.shape, ham.body.Bi).centre)


def probed_forecast(ham: Ham, air: HourlyAir, log: TemperatureLog | None = None) -> ChillForecast:
    """The forecast with its band, corrected by every reading of this ham's centre.

    Weight of a factor s: exp(-(ln s / 0.1)^2 / 2 - sum (reading - T(s))^2 / (2 x 0.7^2)).

    Args:
        ham: weight, hanging, start; its own time factor is where the learning starts.
        air: what is known and forecast of it.
        log: readings, s after hanging; none gives the band of the fit alone.

    Returns: likely (median), quick (10 %) and slow (90 %).

    Raises: AirTooShort for a reading after the air known.

    >>> from stations.trade.chilling import steady_air
    >>> from stations.trade.temperature_log import log_of
    >>> ham, air = Ham(carcass_kg=90.0), steady_air(1.0, hours=40.0)
    >>> before = probed_forecast(ham, air)
    >>> after = probed_forecast(ham, air, log_of((6 * 3600.0, 25.5), (9 * 3600.0, 18.5)))
    >>> after.likely.ham.slower > before.likely.ham.slower
    True
    >>> len(centres_c(ham, air, np.array([1.0, 1.1]))[-1])
    2

    Source: Bayes' rule on a grid (computed); spread from James and James (published, beef).
    """
    fine = _SLOWER * ham.slower
    lie = -0.5 * (np.log(_SLOWER) / PRIOR_SPREAD) ** 2
    if log is not None:
        known = air.cut(max(log.last.at_s, 600.0)) if log.last.at_s < air.until_s else air
        centres, times = centres_c(ham, known, fine), nodes_of(known)
        for one in log.readings:
            air.at(one.at_s)
            there = np.array([np.interp(one.at_s, times, row) for row in centres.T])
            lie = lie - 0.5 * ((one.temp_c - there) / READING_K) ** 2
    weight = np.exp(lie - lie.max())
    sums = np.cumsum(weight) / weight.sum()
    # No band is narrower than the step of the grid, nor wider than the grid.
    quick, likely, slow = (
        chill_curve(replace(ham, slower=float(np.interp(p, sums, fine))), air)
        for p in (0.1, 0.5, 0.9)
    )
    count = 0 if log is None else len(log.readings)
    return ChillForecast(likely=likely, quick=quick, slow=slow, readings=count)
