"""The live trough: fit this dip's losses and the hog's heat to its readings, one by one.

An extended Kalman filter on three numbers: the water's temperature, a factor on the vessel's loss,
a factor on the heat the hog takes. One wild reading is questioned and held back; a second that
agrees with it moves the estimate. The thermometer's own error cannot be seen from its readings, so
it is carried beside the filter and widens the band.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from stations.trade.errors import within
from stations.trade.heat import Bath, pour
from stations.trade.hide import Layers, skin_uptake_j_m2_k
from stations.trade.losses import LossCurve, loss_curve
from stations.trade.scald import LONGEST_DIP_S, Bucket, Dip
from stations.trade.thermometers import Thermometer

LOSS_SPREAD = 0.35
"""Prior spread of the loss factor: the published formulas lie 0.7 to 1.5 of the chosen one."""
HOG_SPREAD = 0.35
"""Prior spread of the hog factor: all-fat to all-skin uptake is 0.68 to 1.22 of the chosen one."""
READING_K = 0.3
"""One reading's scatter: half a degree F on the dial, water not evenly warm (judgement)."""
WANDER_K_PER_ROOT_S = 0.01
FACTOR_WANDER_PER_ROOT_S = 0.006
NEAR, WILD = 2.5, 4.0
HORIZON_S = 600.0
LONGEST_STEP_S = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A thermometer reading: seconds after "in water" (0 to 3600), what it showed (0 to 105 degC).

    Anything else raises OutOfRange, to be questioned by whoever took it.
    """

    at_s: float
    water_c: float

    def __post_init__(self) -> None:
        within("reading time", self.at_s, low=0.0, high=LONGEST_DIP_S, unit="s", rule="reading")
        within("reading", self.water_c, low=0.0, high=105.0, unit="degC", rule="reading")


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveDip:
    """What the estimator is told: the dip, the strike reading before it (20 to 95 degC), the
    thermometer, the floor (degC), and a bucket as it would arrive now."""

    dip: Dip
    strike_read_c: float
    thermometer: Thermometer
    floor_c: float
    bucket: Bucket

    def __post_init__(self) -> None:
        within("strike reading", self.strike_read_c, low=20.0, high=95.0, unit="degC", rule="dip")
        within("floor", self.floor_c, low=20.0, high=80.0, unit="degC", rule="dip")

    @property
    def curve(self) -> LossCurve:
        """The losses this vessel should have."""
        return loss_curve(self.dip.vessel, self.dip.exposure)


Spread = tuple[tuple[float, float, float], tuple[float, float, float], tuple[float, float, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """What is believed at a time: temperature, factors, water, their covariance, odd readings.

    ``odd`` holds every reading questioned so far; ``waiting`` the last one, until another speaks
    for or against it.
    """

    now_s: float
    water_c: float
    loss_factor: float
    hog_factor: float
    water_kg: float
    spread: Spread
    used: int = 0
    odd: tuple[Reading, ...] = ()
    waiting: Reading | None = None

    @property
    def water_sd_k(self) -> float:
        """Spread of the temperature, without the thermometer's own error."""
        return math.sqrt(self.spread[0][0])


def _frozen(P: NDArray[np.float64]) -> Spread:
    a, b, c = P.tolist()
    return (a[0], a[1], a[2]), (b[0], b[1], b[2]), (c[0], c[1], c[2])


def begin(live: LiveDip) -> Belief:
    """The belief at "in water", from the corrected strike reading, the rinse film mixed in.

    Raises OutOfRange for water outside the property range.

    >>> from stations.trade.hide import Hog
    >>> from stations.trade.losses import Exposure
    >>> from stations.trade.scald import boiling_bucket
    >>> from stations.trade.vessels import FARM_VAT
    >>> from stations.trade.water import Air
    >>> air = Air(temp_c=10.0, humidity=0.6, wind_m_s=1.0)
    >>> hog, open_air = Hog(live_kg=125.0), Exposure(air=air)
    >>> dip = Dip(vessel=FARM_VAT, water_kg=250.0, exposure=open_air, hog=hog)
    >>> live = LiveDip(dip=dip, strike_read_c=69.0, thermometer=Thermometer(), floor_c=62.8,
    ...                bucket=boiling_bucket(air))
    >>> belief = observe(live, begin(live), Reading(at_s=60.0, water_c=67.4))
    >>> round(belief.water_c, 1), round(belief.loss_factor, 1)
    (67.4, 1.0)
    >>> round(carry_forward(live, belief, to_s=180.0).water_c, 1)
    66.0
    >>> hot = Bucket(kg=9.0, water_c=95.0, at_s=120.0)
    >>> round(pour_bucket(live, belief, hot).water_c, 1)
    67.6
    >>> late_first = [hot, Reading(at_s=60.0, water_c=67.4)]
    >>> replay(live, late_first) == pour_bucket(live, belief, hot)
    True
    >>> one_step(live, live.curve, belief, 10.0).water_c < belief.water_c
    True

    Source: ``scald`` for the model, priors from the published spreads.
    """
    hog = live.dip.hog
    strike = live.strike_read_c - live.thermometer.offset_c(live.strike_read_c)
    wall = live.dip.vessel.wall_j_k
    bath = Bath(water_c=strike, water_kg=live.dip.water_kg)
    if hog.film_kg > 0.0:
        bath = pour(bath, water_kg=hog.film_kg, water_c=hog.film_c, wall_j_k=wall)
    film_k = (strike - bath.water_c) / 2  # the film is a guess: half of it either way
    P = np.diag([READING_K**2 + film_k**2, LOSS_SPREAD**2, HOG_SPREAD**2])
    return Belief(
        now_s=0.0,
        water_c=bath.water_c,
        loss_factor=1.0,
        hog_factor=1.0,
        water_kg=bath.water_kg,
        spread=_frozen(P),
    )


@dataclass(frozen=True, slots=True)
class Step:
    """Where a model step leads, and its derivatives to temperature, loss and hog factors."""

    water_c: float
    water_kg: float
    by_water: float
    by_loss: float
    by_hog: float


@lru_cache(maxsize=4096)
def _uptake(seconds: float, layers: Layers) -> float:
    return skin_uptake_j_m2_k(seconds, layers=layers)


def model_step(live: LiveDip, curve: LossCurve, b: Belief, seconds: float) -> Step:
    """One midpoint step of the heat balance with the factors on loss and hog, ``seconds`` long.

    dT = (P - a loss(T) - b uptake(t)(T - skin)/dt) dt / (m c + C). Steps up to 30 s; raises
    OutOfRange for water off the property range. Example: see ``begin``, through ``one_step``.

    Source: ``losses``, ``hide`` (computed).
    """
    dip, cold = live.dip, live.dip.hog.skin_c
    per_k = _uptake(b.now_s + seconds, dip.layers) - _uptake(b.now_s, dip.layers)
    taken = per_k * dip.working_skin_m2  # J for each kelvin in this step
    wall = dip.vessel.wall_j_k

    def fall(T: float) -> tuple[float, float, float, float]:
        dry, vapour, latent, _, heat = curve.row(T)
        J_K = b.water_kg * heat + wall
        return (dry + latent) * seconds / J_K, taken * (T - cold) / J_K, J_K, vapour * seconds

    loss, hog, J_K, _ = fall(b.water_c)
    fire = dip.power_w * seconds / J_K
    half = b.water_c + (fire - b.loss_factor * loss - b.hog_factor * hog) / 2
    loss2, hog2, _, vapour_kg = fall(half)
    warmer, hog3, _, _ = fall(b.water_c + 0.5)
    slope = (b.loss_factor * (warmer - loss) + b.hog_factor * (hog3 - hog)) / 0.5
    return Step(
        b.water_c + fire - b.loss_factor * loss2 - b.hog_factor * hog2,
        b.water_kg - b.loss_factor * vapour_kg,
        1.0 - slope,
        -loss2,
        -hog2,
    )


def one_step(live: LiveDip, curve: LossCurve, b: Belief, seconds: float) -> Belief:
    """The belief one step of the model later, its spread grown: F P F' + Q.

    Range, refusals and source as :func:`model_step`. Example: see ``begin``.
    """
    move = model_step(live, curve, b, seconds)
    return Belief(
        now_s=b.now_s + seconds,
        water_c=move.water_c,
        loss_factor=b.loss_factor,
        hog_factor=b.hog_factor,
        water_kg=move.water_kg,
        spread=_spread_after(b.spread, move, seconds),
        used=b.used,
        odd=b.odd,
        waiting=b.waiting,
    )


def _spread_after(spread: Spread, move: Step, seconds: float) -> Spread:
    """F P F' + Q, written out: F differs from one only in the row of the temperature."""
    (tt, tl, th), (_, ll, lh), (_, _, hh) = spread
    f, g, h = move.by_water, move.by_loss, move.by_hog
    new_tl = f * tl + g * ll + h * lh
    new_th = f * th + g * lh + h * hh
    new_tt = f * (f * tt + g * tl + h * th) + g * new_tl + h * new_th
    drift = FACTOR_WANDER_PER_ROOT_S**2 * seconds
    new_tt += WANDER_K_PER_ROOT_S**2 * seconds
    return (new_tt, new_tl, new_th), (new_tl, ll + drift, lh), (new_th, lh, hh + drift)


def carry_forward(live: LiveDip, belief: Belief, *, to_s: float) -> Belief:
    """The belief at a later time with nothing new seen; ``to_s`` from now to 4200 s.

    Raises OutOfRange for an earlier time or water off the property range. Example: see ``begin``.

    Source: extended Kalman filter, prediction (published in any text on estimation).
    """
    last = LONGEST_DIP_S + HORIZON_S
    within("time", to_s, low=belief.now_s, high=last, unit="s", rule="live dip goes forward")
    gap = to_s - belief.now_s
    steps = math.ceil(gap / LONGEST_STEP_S)
    for _ in range(steps):
        belief = one_step(live, live.curve, belief, gap / steps)
    return belief


def observe(live: LiveDip, belief: Belief, reading: Reading) -> Belief:
    """The belief after one more reading, not earlier than the last; odd readings are questioned.

    With nu the surprise and s its spread: up to 2.5 s it counts whole; to 4 s its pull is held at
    that of 2.5 s (Huber); beyond, it is kept as odd, and a second that agrees brings both back.
    Raises OutOfRange for a reading earlier than the belief. Example: see ``begin``.

    Source: extended Kalman filter; Huber 1964 for the held pull (published).
    """
    belief = carry_forward(live, belief, to_s=reading.at_s)
    surprise = reading.water_c - live.thermometer.offset_c(reading.water_c) - belief.water_c
    s = math.hypot(belief.water_sd_k, READING_K)
    if abs(surprise) <= WILD * s:
        held = max(1.0, abs(surprise) / (NEAR * s))
        return replace(_corrected(belief, surprise, held=held), waiting=None)
    if belief.waiting is not None and _agrees(belief, reading):
        P = np.array(belief.spread)
        P[0, 0] += surprise**2
        wide = replace(belief, spread=_frozen(P), waiting=None)
        return _corrected(wide, surprise, held=1.0)
    return replace(belief, odd=(*belief.odd, reading), waiting=reading)


def _agrees(belief: Belief, reading: Reading) -> bool:
    """Whether the waiting odd reading tells the same story, allowing for the fall in between."""
    waiting = belief.waiting
    if waiting is None or reading.at_s - waiting.at_s > 180.0:
        return False
    allowed = WILD * math.sqrt(2) * READING_K + 0.02 * (reading.at_s - waiting.at_s)
    return abs(reading.water_c - waiting.water_c) <= allowed


def _corrected(belief: Belief, surprise: float, *, held: float) -> Belief:
    P = np.array(belief.spread)
    gain = P[:, 0] / ((P[0, 0] + READING_K**2) * held)
    keep = np.eye(3) - np.outer(gain, [1.0, 0.0, 0.0])
    R = READING_K**2 * held
    P = keep @ P @ keep.T + np.outer(gain, gain) * R  # Joseph's form stays symmetric
    return replace(
        belief,
        water_c=belief.water_c + float(gain[0]) * surprise,
        loss_factor=belief.loss_factor + float(gain[1]) * surprise,
        hog_factor=belief.hog_factor + float(gain[2]) * surprise,
        spread=_frozen(P),
        used=belief.used + 1,
    )


def pour_bucket(live: LiveDip, belief: Belief, bucket: Bucket) -> Belief:
    """The belief after a bucket at its time; how full and how hot it was is taken as 15 % unsure.

    Raises OutOfRange for a bucket earlier than the belief. Example: see ``begin``.

    Source: mixing (computed); the 15 % is a judgement.
    """
    return poured(live, carry_forward(live, belief, to_s=bucket.at_s), bucket, count=1)


def poured(live: LiveDip, belief: Belief, bucket: Bucket, *, count: int) -> Belief:
    """The belief after ``count`` buckets at once, its time unchanged; as :func:`pour_bucket`."""
    wall = live.dip.vessel.wall_j_k
    bath = Bath(water_c=belief.water_c, water_kg=belief.water_kg)
    mixed = pour(bath, water_kg=bucket.kg * count, water_c=bucket.water_c, wall_j_k=wall)
    rise = mixed.water_c - bath.water_c
    F = np.diag([belief.water_kg / mixed.water_kg, 1.0, 1.0])
    P = F @ np.array(belief.spread) @ F
    P[0, 0] += (0.15 * rise) ** 2
    return replace(
        belief, water_c=mixed.water_c, water_kg=mixed.water_kg, spread=_frozen(P), waiting=None
    )


def replay(live: LiveDip, events: Iterable[Reading | Bucket]) -> Belief:
    """The belief from all the readings and buckets of a dip, in whatever order they arrived.

    This is how an undone entry or a late one from a second phone is taken in: start over.
    Raises OutOfRange as :func:`observe`. Example: see ``begin``.

    Source: as :func:`observe`.
    """
    belief = begin(live)
    for event in sorted(events, key=lambda event: event.at_s):
        if isinstance(event, Reading):
            belief = observe(live, belief, event)
        else:
            belief = pour_bucket(live, belief, event)
    return belief
