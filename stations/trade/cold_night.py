"""Hang it tonight? The odds, from a night typed in as a few temperatures.

Two things are unsure: the forecast, and how fast this carcass gives up its heat. Both are drawn
some thousand times from a seed. The odds are of the model, not of the meat: a probe decides, and
the lead.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from stations.trade.chill_probes import PRIOR_SPREAD
from stations.trade.chill_rules import DAY_S, FREEZES_C
from stations.trade.chilling import CHILLED_C, Ham, HourlyAir, nodes_of, weighed
from stations.trade.conduction import Floats, follow_air, modes_of
from stations.trade.errors import within

FORECAST_SPREAD_K = 1.7
"""One spread of a next-night temperature forecast (judgement)."""
_MODES = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class NightOdds:
    """Of ``runs`` nights: how many chilled in time and how many froze the skin in the first day.

    Hours are from the kill to 40 F at the centre, four in five inside ``quick`` to ``slow``; a
    run that does not get there in the air known counts as the end of it.
    """

    runs: int
    in_time: float
    skin_freezes: float
    quick_h: float
    likely_h: float
    slow_h: float
    ends_before: bool

    @property
    def doubt(self) -> float:
        """One spread of ``in_time`` from the number of runs alone."""
        return math.sqrt(max(self.in_time * (1 - self.in_time), 1 / self.runs) / self.runs)

    @property
    def sentence(self) -> str:
        """The odds in words, with who decides."""
        return (
            f"{_in_100(self.in_time)} nights in 100 like this bring the ham to 40 F inside 24 h "
            f"of the kill; in {_in_100(self.skin_freezes).lower()} the skin freezes. The lead "
            "decides, and a probe in the ham tells."
        )


def _in_100(share: float) -> str:
    """A share as nights in 100; never all, never none: it is a model that says so."""
    whole = round(100 * share)
    if whole < 1:
        return "Fewer than 1"
    return "More than 99" if whole > 99 else str(whole)


def night_odds(
    ham: Ham, air: HourlyAir, *, delay_s: float = 0.0, runs: int = 2000, seed: int = 1
) -> NightOdds:
    """The odds that a ham hung in a forecast night is at 40 F inside 24 h of the kill.

    Each run moves the whole night by one normal error (1.7 K) and stretches the ham's time by a
    lognormal factor (0.1).

    Args:
        ham: weight, hanging, start; probe readings have gone into its ``slower``.
        air: 24 h or more of forecast after hanging, else the missing hours count against it.
        delay_s: kill to hanging, 0 to 12 h, in s.
        runs: 100 to 20000.
        seed: the same seed gives the same odds.

    Returns: the odds.

    Raises: OutOfRange.

    >>> night = HourlyAir(points=((0.0, 4.0), (10 * 3600.0, -3.0), (24 * 3600.0, 3.0)))
    >>> odds = night_odds(Ham(carcass_kg=80.0), night)
    >>> 0.9 < odds.in_time <= 1.0
    True

    Source: ``chilling``; spreads are judgements, so the odds never decide alone.
    """
    within("delay", delay_s, low=0.0, high=12 * 3600.0, unit="s", rule="cold night")
    within("runs", runs, low=100, high=20_000, unit="", rule="cold night")
    draw = np.random.default_rng(seed)
    shift = draw.normal(0.0, FORECAST_SPREAD_K, runs)
    slower = ham.slower * np.exp(draw.normal(0.0, PRIOR_SPREAD, runs))
    times = nodes_of(air, every_s=1800.0)
    airs = air.over(times)[None, :] + shift[:, None]
    rates = replace(ham, slower=1.0).rates_per_s[:_MODES] / slower[:, None]
    modes = follow_air(times, airs, rates=rates, start_c=np.full(runs, ham.start_c))
    shape = modes_of(ham.body.shape, ham.body.Bi)
    centre = weighed(modes, airs.T, shape.centre)
    skin = weighed(modes, airs.T, shape.surface)
    at = _reached(np.array(times), centre) + delay_s
    first_day = np.array(times) + delay_s <= DAY_S
    quick, likely, slow = np.quantile(np.minimum(at, times[-1] + delay_s), (0.1, 0.5, 0.9)) / 3600
    return NightOdds(
        runs=runs,
        in_time=float(np.mean(at <= DAY_S)),
        skin_freezes=float(np.mean((skin[first_day] < FREEZES_C).any(axis=0))),
        quick_h=float(quick),
        likely_h=float(likely),
        slow_h=float(slow),
        ends_before=bool(np.isinf(at).any()),
    )


def _reached(times: Floats, centre: Floats) -> Floats:
    """When each run first comes down to 40 F, infinite where it does not."""
    cold = centre <= CHILLED_C
    first = np.where(cold.any(axis=0), cold.argmax(axis=0), -1)
    runs = np.arange(centre.shape[1])
    before = np.maximum(first - 1, 0)
    warm, chill = centre[before, runs], centre[first, runs]
    part = np.where(warm > chill, (warm - CHILLED_C) / np.where(warm > chill, warm - chill, 1), 0)
    at = times[before] + part * (times[first] - times[before])
    return np.where(first >= 0, at, np.inf)
