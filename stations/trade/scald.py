"""A hog goes into the water: the curve through the dip, the strike temperature, the buckets.

Heat soaks into the skin as the sum of warm waves, one from each change of the water (Duhamel's
principle on ``hide.skin_uptake_j_m2_k``); everything else is the open vessel of ``heat``. The hog's
share is booked as heat taken, so the joules still close.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from stations.trade.errors import OutOfRange, within
from stations.trade.evaporation import Evaporation, evaporation_w_m2
from stations.trade.heat import Bath, advance, pour
from stations.trade.hide import SKIN_OVER_FAT, Hog, Layers, skin_uptake_j_m2_k
from stations.trade.losses import Exposure, loss_curve
from stations.trade.roots import root
from stations.trade.vessels import Cover, Vessel
from stations.trade.water import Air, density_kg_m3

HOTTEST_STRIKE_C = 82.2
"""180 F: named as usable but not recommended in a weak copy of a meat text; past it we refuse."""
LONGEST_DIP_S = 3600.0
STEP_S = 5.0
_HOT_C = 65.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bucket:
    """Water poured in: 0.1 to 200 kg at 0.5 to 101 degC, at a time after "in water" (s)."""

    kg: float
    water_c: float
    at_s: float = 0.0

    def __post_init__(self) -> None:
        within("bucket", self.kg, low=0.1, high=200.0, unit="kg", rule="bucket")
        within("bucket temperature", self.water_c, low=0.5, high=101.0, unit="degC", rule="bucket")
        within("bucket time", self.at_s, low=0.0, high=LONGEST_DIP_S, unit="s", rule="bucket")


def boiling_bucket(air: Air, *, kg: float = 9.0, carry_c: float = 4.0) -> Bucket:
    """A bucket from the rolling boil at this altitude, less what it loses on the way.

    ``kg`` 0.1 to 200 (9 kg is a US bucket of 2.5 gal not quite full); ``carry_c`` 0 to 30 K lost
    while carried (a judgement); otherwise raises OutOfRange.

    >>> round(boiling_bucket(Air(temp_c=10.0, humidity=0.6, altitude_m=1524.0)).water_c, 1)
    90.9

    Source: boiling point by ``water.boiling_point_c`` (published).
    """
    within("carrying loss", carry_c, low=0.0, high=30.0, unit="K", rule="bucket")
    return Bucket(kg=kg, water_c=air.boils_at_c - carry_c)


@dataclass(frozen=True, slots=True, kw_only=True)
class Dip:
    """What is known before the hog goes in: vessel, water (kg, 5 to 5000), air, hog, fire kept on.

    ``power_w`` 0 to 1e6 W is useful heat during the dip. The exposure should be DISTURBED: the hog
    is kept moving.
    """

    vessel: Vessel
    water_kg: float
    exposure: Exposure
    hog: Hog
    cover: Cover = Cover.WHOLE
    power_w: float = 0.0
    layers: Layers = SKIN_OVER_FAT

    def __post_init__(self) -> None:
        within("water", self.water_kg, low=5.0, high=5000.0, unit="kg", rule="dip")
        within("fire", self.power_w, low=0.0, high=1e6, unit="W", rule="dip")

    @property
    def working_skin_m2(self) -> float:
        """Skin that takes up heat, A sqrt(share under water).

        A patch under water for a share of the time takes heat as the square root of that time.
        """
        return float(self.hog.skin_m2 * self.cover.share**0.5)

    @property
    def room_kg(self) -> float:
        """Most hot water the vessel holds beside the hog, brim-full."""
        free = self.vessel.brim_m3 - self.hog.volume_m3 * self.cover.share
        return free * density_kg_m3(_HOT_C)


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaldCurve:
    """Water temperature through a dip, with the buckets poured and where the heat went."""

    times_s: tuple[float, ...]
    temps_c: tuple[float, ...]
    buckets: tuple[Bucket, ...] = ()
    hog_j: float
    end: Bath
    _t: NDArray[np.float64] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_t", np.asarray(self.times_s))

    def at(self, seconds: float) -> float:
        """Temperature at a time; raises OutOfRange outside the curve."""
        last = self.times_s[-1]
        within("time", seconds, low=0.0, high=last, unit="s", rule="scald curve")
        return float(np.interp(seconds, self._t, self.temps_c))

    @property
    def lowest_c(self) -> float:
        """The coolest the water gets."""
        return min(self.temps_c)

    def crosses_s(self, floor_c: float) -> float | None:
        """When the water first falls below a floor, straight between steps; None if never."""
        for i, temp in enumerate(self.temps_c):
            if temp < floor_c:
                if i == 0:
                    return self.times_s[0]
                before = self.temps_c[i - 1]
                part = (before - floor_c) / (before - temp)
                return self.times_s[i - 1] + part * (self.times_s[i] - self.times_s[i - 1])
        return None


@lru_cache(maxsize=64)
def _waves(steps: int, layers: Layers) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Uptake in each step of a wave begun at time 0, and of one begun half a step into step 0."""
    whole = [skin_uptake_j_m2_k(i * STEP_S, layers=layers) for i in range(steps + 1)]
    half = [skin_uptake_j_m2_k((i + 0.5) * STEP_S, layers=layers) for i in range(steps + 1)]
    return np.diff(whole), np.diff(half)


_Pours = Callable[[float, Bath], Bucket | None]


def _march(dip: Dip, *, strike_c: float, seconds: float, pours: _Pours) -> ScaldCurve:
    steps = max(1, round(seconds / STEP_S))
    first, later = _waves(steps, dip.layers)
    curve, wall, area = (
        loss_curve(dip.vessel, dip.exposure),
        dip.vessel.wall_j_k,
        dip.working_skin_m2,
    )
    hog = dip.hog
    bath = Bath(water_c=strike_c, water_kg=dip.water_kg)
    if hog.film_kg > 0.0:
        bath = pour(bath, water_kg=hog.film_kg, water_c=hog.film_c, wall_j_k=wall)
    start_jump, hog_j = bath.water_c - hog.skin_c, 0.0
    jumps = np.zeros(steps)
    temps, poured = [bath.water_c], []
    for n in range(steps):
        before = bath.water_c
        bucket = pours(n * STEP_S, bath)
        if bucket is not None:
            bath = pour(bath, water_kg=bucket.kg, water_c=bucket.water_c, wall_j_k=wall)
            poured.append(replace(bucket, at_s=n * STEP_S))
        echo = float(jumps[:n] @ later[:n][::-1])
        taken = area * (start_jump * float(first[n]) + echo)
        power = dip.power_w - taken / STEP_S
        bath = advance(bath, seconds=STEP_S, power_w=power, curve=curve, wall_j_k=wall)
        hog_j += taken
        jumps[n] = bath.water_c - before
        temps.append(bath.water_c)
    return ScaldCurve(
        times_s=tuple(i * STEP_S for i in range(steps + 1)),
        temps_c=tuple(temps),
        buckets=tuple(poured),
        hog_j=hog_j,
        end=bath,
    )


def _checked(strike_c: float, seconds: float) -> None:
    within("strike temperature", strike_c, low=20.0, high=HOTTEST_STRIKE_C, unit="degC", rule="dip")
    within("dip", seconds, low=STEP_S, high=LONGEST_DIP_S, unit="s", rule="dip")


def dip_curve(
    dip: Dip, *, strike_c: float, seconds: float, buckets: tuple[Bucket, ...] = ()
) -> ScaldCurve:
    """The water's temperature from "in water" on, with buckets poured at their times.

    At 0 s the rinse film has just mixed in. ``strike_c`` 20 to 82.2 degC, ``seconds`` 5 to 3600 s,
    taken to the nearest 5 s step, as bucket times are; otherwise raises OutOfRange, also when the
    water would boil.

    >>> from stations.trade.vessels import FARM_VAT
    >>> cool = Exposure(air=Air(temp_c=10.0, humidity=0.6, wind_m_s=2.0))
    >>> dip = Dip(vessel=FARM_VAT, water_kg=300.0, exposure=cool, hog=Hog(live_kg=125.0))
    >>> curve = dip_curve(dip, strike_c=68.0, seconds=300.0)
    >>> round(curve.temps_c[0], 1), round(curve.at(240.0), 1)
    (67.7, 64.4)

    Source: conduction into skin and fat (computed from published inputs), ``losses``, ``heat``.
    """
    _checked(strike_c, seconds)
    waiting = sorted(buckets, key=lambda bucket: bucket.at_s, reverse=True)

    def due(now_s: float, _: Bath) -> Bucket | None:
        if waiting and waiting[-1].at_s < now_s + STEP_S / 2:
            return waiting.pop()
        return None

    return _march(dip, strike_c=strike_c, seconds=seconds, pours=due)


def hold_curve(
    dip: Dip, *, strike_c: float, seconds: float, hold_c: float, bucket: Bucket
) -> ScaldCurve:
    """The dip with a bucket poured each time the water comes down to ``hold_c``.

    Buckets are as ``bucket`` (its time is not read), at most one in 5 s, and only while the vessel
    holds them beside the hog. Ranges as :func:`dip_curve`; ``hold_c`` must be
    below the bucket's temperature; otherwise raises OutOfRange.

    >>> from stations.trade.vessels import FARM_VAT
    >>> air = Air(temp_c=10.0, humidity=0.6, wind_m_s=2.0)
    >>> hog, open_air = Hog(live_kg=125.0), Exposure(air=air)
    >>> dip = Dip(vessel=FARM_VAT, water_kg=300.0, exposure=open_air, hog=hog)
    >>> hot = boiling_bucket(air)
    >>> kept = hold_curve(dip, strike_c=66.0, seconds=480.0, hold_c=63.0, bucket=hot)
    >>> len(kept.buckets), kept.lowest_c > 62.9
    (3, True)

    Source: as :func:`dip_curve`.
    """
    _checked(strike_c, seconds)
    top = bucket.water_c
    within("temperature to hold", hold_c, low=20.0, high=top - 0.1, unit="degC", rule="bucket")

    def when_low(_: float, bath: Bath) -> Bucket | None:
        fits = bath.water_kg + bucket.kg <= dip.room_kg
        return bucket if bath.water_c <= hold_c and fits else None

    return _march(dip, strike_c=strike_c, seconds=seconds, pours=when_low)


def strike_temperature_c(dip: Dip, *, wanted_c: float, at_s: float) -> float:
    """Water temperature before the hog that gives the wanted one at a time in the dip, in degC.

    Solves T(at; strike) = wanted. ``wanted_c`` 20 to 80 degC, ``at_s`` 5 to 3600 s; raises
    OutOfRange when it would take water above 82.2 degC or above this altitude's boil.

    >>> from stations.trade.vessels import FARM_VAT
    >>> air = Air(temp_c=10.0, humidity=0.6, wind_m_s=2.0)
    >>> hog, open_air = Hog(live_kg=125.0), Exposure(air=air)
    >>> dip = Dip(vessel=FARM_VAT, water_kg=300.0, exposure=open_air, hog=hog)
    >>> strike = strike_temperature_c(dip, wanted_c=62.0, at_s=180.0)
    >>> round(strike, 1), round(dip_curve(dip, strike_c=strike, seconds=180.0).at(180.0), 2)
    (64.6, 62.0)

    Source: as :func:`dip_curve`.
    """
    within("wanted temperature", wanted_c, low=20.0, high=80.0, unit="degC", rule="strike")
    within("time in the dip", at_s, low=STEP_S, high=LONGEST_DIP_S, unit="s", rule="strike")
    return _strike(dip, wanted_c, at_s)


@lru_cache(maxsize=512)  # each card warns of the same few troughs' water
def _strike(dip: Dip, wanted_c: float, at_s: float) -> float:
    top = min(HOTTEST_STRIKE_C, loss_curve(dip.vessel, dip.exposure).high - 1.0)

    def over(strike_c: float) -> float:
        return dip_curve(dip, strike_c=strike_c, seconds=at_s).temps_c[-1] - wanted_c

    highest = over(top)
    if highest < 0.0:
        reach = wanted_c + highest
        raise OutOfRange(
            "wanted temperature", got=wanted_c, low=20.0, high=reach, unit="degC",
            rule="with the hottest strike that is allowed",
        )  # fmt: skip
    low = wanted_c if dip.power_w == 0.0 else 20.0
    if over(low) >= 0.0:
        return low
    return root(over, low, top, xtol=1e-3)


@dataclass(frozen=True, slots=True, kw_only=True)
class DipBand:
    """A curve with the coolest and hottest the published formulas allow, step by step."""

    curve: ScaldCurve
    low_c: tuple[float, ...]
    high_c: tuple[float, ...]


def dip_band(
    dip: Dip, *, strike_c: float, seconds: float, buckets: tuple[Bucket, ...] = ()
) -> DipBand:
    """The curve, and those with most and least evaporation and with all skin and all fat.

    Ranges and refusals as :func:`dip_curve`; a formula that does not reach this hot is left out.

    >>> from stations.trade.vessels import FARM_VAT
    >>> air = Air(temp_c=10.0, humidity=0.6, wind_m_s=2.0)
    >>> hog, open_air = Hog(live_kg=125.0), Exposure(air=air)
    >>> dip = Dip(vessel=FARM_VAT, water_kg=300.0, exposure=open_air, hog=hog)
    >>> band = dip_band(dip, strike_c=68.0, seconds=300.0)
    >>> band.low_c[-1] < band.curve.temps_c[-1] < band.high_c[-1]
    True

    Source: as :func:`dip_curve`; the spread of ``evaporation``.
    """
    least, most = _extreme_formulas(dip.exposure, strike_c)
    k, alpha = dip.layers.skin_w_m_k, dip.layers.skin_m2_s
    all_skin = replace(dip.layers, fat_w_m_k=k, fat_m2_s=alpha)
    k, alpha = dip.layers.fat_w_m_k, dip.layers.fat_m2_s
    all_fat = replace(dip.layers, skin_w_m_k=k, skin_m2_s=alpha)

    def run(formula: Evaporation, layers: Layers) -> ScaldCurve:
        other = replace(dip, exposure=replace(dip.exposure, formula=formula), layers=layers)
        return dip_curve(other, strike_c=strike_c, seconds=seconds, buckets=buckets)

    return DipBand(
        curve=dip_curve(dip, strike_c=strike_c, seconds=seconds, buckets=buckets),
        low_c=run(most, all_skin).temps_c,
        high_c=run(least, all_fat).temps_c,
    )


def _extreme_formulas(exposure: Exposure, water_c: float) -> tuple[Evaporation, Evaporation]:
    found = {exposure.formula: evaporation_w_m2(water_c, exposure.air, formula=exposure.formula)}
    for formula in Evaporation:
        try:
            found[formula] = evaporation_w_m2(water_c + 2.0, exposure.air, formula=formula)
        except OutOfRange:  # a bucket could carry the water past this formula's limit
            continue
    return min(found, key=lambda f: found[f]), max(found, key=lambda f: found[f])
