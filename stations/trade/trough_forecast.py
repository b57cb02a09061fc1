"""Ten minutes ahead at the trough: the curve, its band, the floor, the buckets that hold it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from stations.trade.estimator import HORIZON_S, Belief, LiveDip, model_step, one_step, poured
from stations.trade.losses import LossCurve

BAND_Z = 1.645
"""A band of nine in ten."""
FORECAST_STEP_S = 10.0
MOST_BUCKETS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """Ten minutes ahead: the curve, its nine-in-ten band, when it crosses the floor, buckets.

    ``crosses_s`` is when the curve does, ``crosses_early_s`` when the band's lower edge does;
    ``buckets_now`` keeps the curve above the floor throughout, None when no number that fits can.
    """

    times_s: tuple[float, ...]
    temps_c: tuple[float, ...]
    low_c: tuple[float, ...]
    high_c: tuple[float, ...]
    crosses_s: float | None
    crosses_early_s: float | None
    buckets_now: int | None


def forecast(live: LiveDip, belief: Belief) -> Forecast:
    """The next ten minutes from a belief. Raises OutOfRange for water off the property range.

    >>> from stations.trade.estimator import Reading, begin, observe
    >>> from stations.trade.hide import Hog
    >>> from stations.trade.losses import Exposure
    >>> from stations.trade.scald import Dip, boiling_bucket
    >>> from stations.trade.thermometers import Thermometer
    >>> from stations.trade.vessels import FARM_VAT
    >>> from stations.trade.water import Air
    >>> air = Air(temp_c=10.0, humidity=0.6, wind_m_s=1.0)
    >>> hog, open_air = Hog(live_kg=125.0), Exposure(air=air)
    >>> dip = Dip(vessel=FARM_VAT, water_kg=250.0, exposure=open_air, hog=hog)
    >>> live = LiveDip(dip=dip, strike_read_c=69.0, thermometer=Thermometer(), floor_c=62.8,
    ...                bucket=boiling_bucket(air))
    >>> belief = observe(live, begin(live), Reading(at_s=60.0, water_c=67.4))
    >>> ahead = forecast(live, belief)
    >>> round(ahead.crosses_s), ahead.buckets_now
    (522, 2)

    Source: extended Kalman filter, prediction; the band adds the thermometer's own spread.
    """
    times, temps, sds = [belief.now_s], [belief.water_c], [belief.water_sd_k]
    curve, ahead = live.curve, belief
    for _ in range(round(HORIZON_S / FORECAST_STEP_S)):
        ahead = one_step(live, curve, ahead, FORECAST_STEP_S)
        times.append(ahead.now_s)
        temps.append(ahead.water_c)
        sds.append(ahead.water_sd_k)
    own = live.thermometer.spread_k
    half = [BAND_Z * math.hypot(sd, own) for sd in sds]
    low = [temp - h for temp, h in zip(temps, half, strict=True)]
    return Forecast(
        times_s=tuple(times),
        temps_c=tuple(temps),
        low_c=tuple(low),
        high_c=tuple(temp + h for temp, h in zip(temps, half, strict=True)),
        crosses_s=_first_below(times, temps, live.floor_c),
        crosses_early_s=_first_below(times, low, live.floor_c),
        buckets_now=_buckets_now(live, belief, min(temps)),
    )


def _first_below(times: list[float], temps: list[float], floor_c: float) -> float | None:
    for i, temp in enumerate(temps):
        if temp < floor_c:
            if i == 0:
                return times[0]
            part = (temps[i - 1] - floor_c) / (temps[i - 1] - temp)
            return times[i - 1] + part * (times[i] - times[i - 1])
    return None


def _buckets_now(live: LiveDip, belief: Belief, lowest_c: float) -> int | None:
    if lowest_c >= live.floor_c:
        return 0
    room_kg = live.dip.room_kg - belief.water_kg
    fits = min(MOST_BUCKETS, int(room_kg / live.bucket.kg))
    curve = live.curve
    one_k = poured(live, belief, live.bucket, count=1).water_c - belief.water_c
    if fits < 1 or one_k <= 0.0:
        return None
    fewest = max(1, int((live.floor_c - lowest_c) / one_k))  # each further bucket raises it less
    for count in range(fewest, fits + 1):
        ahead = poured(live, belief, live.bucket, count=count)
        if _lowest_ahead(live, curve, ahead) >= live.floor_c:
            return count
    return None


def _lowest_ahead(live: LiveDip, curve: LossCurve, belief: Belief) -> float:
    """The coolest of the coming ten minutes, mean only, in half-minute steps."""
    lowest = belief.water_c
    for _ in range(round(HORIZON_S / 30.0)):
        move = model_step(live, curve, belief, 30.0)
        now_s = belief.now_s + 30.0
        belief = replace(belief, now_s=now_s, water_c=move.water_c, water_kg=move.water_kg)
        lowest = min(lowest, belief.water_c)
    return lowest
