"""How long the middle of a ham takes to cool, in air that varies by the hour.

The ham is taken for a long cylinder. Its radius was fitted to two published readings (air at 4
and at -2 degC for 16.5 h) and goes with the cube root of the carcass's weight. The study's weights
were not in the part that was read, and fat sides cool slower than lean ones: every time carries a
band of 20 per cent, and a probe in the ham is worth more than any of it (``chill_probes``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

import numpy as np

from stations.trade.conduction import Floats, Shape, follow_air, modes_of
from stations.trade.conduction_grid import Body
from stations.trade.errors import OutOfRange, TradeError, within
from stations.trade.measures import celsius
from stations.trade.roots import root
from stations.trade.sources import Source, Trust

HIND_LEGS = Source(
    title="Resources Science Research, article rsr-7-3-126",
    place="table 2: hind legs after 16.5 h, 9.28 degC in air at 4, 2.90 in air at -2",
    trust=Trust.PUBLISHED,
)
SPREAD_BY_FAT = Source(
    title="James and James, Meat Refrigeration, 2002",
    place="page 105, beef: fattest sides 20 % slower, leanest 20 % faster",
    trust=Trust.PUBLISHED,
)
ENTERS_AT = Source(
    title="New Food, 2013", place="carcass 39 to 40 degC before chilling", trust=Trust.PUBLISHED
)
FITTED_RADIUS_M = 0.0913  # mean of 0.0945 and 0.0881, which give the two readings (computed)
FITTED_CARCASS_KG = 90.0  # judgement: the excerpt gives no weight
HAM_W_M_K = 0.47
HAM_J_M3_K = 1050.0 * 3500.0  # with the line above, the lean ham of the fit (computed inputs)
CARCASS_START_C = 39.5
CHILLED_C = celsius(fahrenheit=40.0)
TIME_BAND = 0.20
NODE_S = 600.0
LONGEST_CHILL_S = 96 * 3600.0


class Hung(StrEnum):
    """What takes the heat away."""

    STILL_AIR = "still_air"
    FAN = "fan"
    ICE_WATER = "ice_water"

    @property
    def film_w_m2_k(self) -> float:
        """Heat through the film, W/m2 K: 10 is what the fit took, the others are from memory."""
        return {Hung.STILL_AIR: 10.0, Hung.FAN: 18.0, Hung.ICE_WATER: 200.0}[self]

    @property
    def source(self) -> Source:
        """How far to trust the film."""
        if self is Hung.STILL_AIR:
            return Source(title="fit to the hind legs", trust=Trust.COMPUTED)
        return Source(title="usual films of moving air and iced water", trust=Trust.MEMORY)


class AirTooShort(TradeError):
    """The typed air ends before the time asked about."""

    def __init__(self, *, until_s: float, asked_s: float) -> None:
        self.until_s = until_s
        self.asked_s = asked_s
        super().__init__(
            f"The air is known to {until_s / 3600:g} h; {asked_s / 3600:g} h was asked for. "
            "Add a temperature for a later hour."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class HourlyAir:
    """Air at times after hanging: pairs of s (from 0, increasing) and degC (-40 to 45), two or
    more; it changes evenly between them.

    >>> night = HourlyAir(points=((0.0, 6.0), (9 * 3600.0, -2.0), (24 * 3600.0, 8.0)))
    >>> night.at(4.5 * 3600.0), night.coldest_c
    (2.0, -2.0)
    """

    points: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        within("air temperatures", len(self.points), low=2, high=400, unit="", rule="air")
        for _, temp in self.points:
            within("air", temp, low=-40.0, high=45.0, unit="degC", rule="air by the hour")
        times = [at for at, _ in self.points]
        if times[0] != 0.0 or any(later <= at for at, later in pairwise(times)):
            message = "Give the air from the hour of hanging on, each hour once, in order."
            raise TradeError(message)

    @property
    def until_s(self) -> float:
        """How far the air is known."""
        return self.points[-1][0]

    @property
    def coldest_c(self) -> float:
        """The lowest temperature typed."""
        return min(temp for _, temp in self.points)

    def at(self, seconds: float) -> float:
        """degC at a time within what was typed; else AirTooShort."""
        if not 0.0 <= seconds <= self.until_s:
            raise AirTooShort(until_s=self.until_s, asked_s=seconds)
        return float(self.over((seconds,))[0])

    def over(self, times_s: Sequence[float]) -> Floats:
        """degC at many times, which the caller knows to lie within what was typed."""
        known = np.array(self.points, dtype=np.float64)
        found: Floats = np.interp(np.asarray(times_s, dtype=np.float64), known[:, 0], known[:, 1])
        return found

    def cut(self, seconds: float) -> HourlyAir:
        """The air up to a time within what was typed."""
        before = tuple(point for point in self.points if point[0] < seconds)
        return HourlyAir(points=(*before, (seconds, self.at(seconds))))


def steady_air(temp_c: float, *, hours: float) -> HourlyAir:
    """A cooler that keeps one temperature: -40 to 45 degC for above 0 to 96 h, else OutOfRange.

    >>> steady_air(2.0, hours=24.0).at(3600.0)
    2.0

    Source: none needed.
    """
    within("hours", hours, low=0.1, high=LONGEST_CHILL_S / 3600, unit="h", rule="air")
    return HourlyAir(points=((0.0, temp_c), (hours * 3600.0, temp_c)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Ham:
    """The thickest part of a carcass, and how it hangs.

    ``carcass_kg`` 20 to 220 kg hot, both sides; ``start_c`` 15 to 43 degC in the middle;
    ``slower`` 0.4 to 2.5, the time it takes over the fitted one (1 before any probe reading).

    >>> round(Ham(carcass_kg=90.0).body.radius_m, 4), round(Ham(carcass_kg=120.0).body.radius_m, 4)
    (0.0913, 0.1005)
    """

    carcass_kg: float
    hung: Hung = Hung.STILL_AIR
    start_c: float = CARCASS_START_C
    slower: float = 1.0

    def __post_init__(self) -> None:
        within("carcass", self.carcass_kg, low=20.0, high=220.0, unit="kg", rule="chilling")
        within("ham centre", self.start_c, low=15.0, high=43.0, unit="degC", rule="chilling")
        within("time factor", self.slower, low=0.4, high=2.5, unit="", rule="chilling")

    @property
    def body(self) -> Body:
        """The cylinder that stands for the ham."""
        return Body(
            shape=Shape.CYLINDER,
            radius_m=FITTED_RADIUS_M * (self.carcass_kg / FITTED_CARCASS_KG) ** (1 / 3),
            k_w_m_k=HAM_W_M_K,
            heat_j_m3_k=HAM_J_M3_K,
            film_w_m2_k=self.hung.film_w_m2_k,
        )

    @property
    def rates_per_s(self) -> Floats:
        """How fast each mode of the ham follows the air, 1/s."""
        body = self.body
        zeta = np.array(modes_of(body.shape, body.Bi).zeta)
        return zeta**2 * body.alpha_m2_s / body.radius_m**2 / self.slower


@dataclass(frozen=True, slots=True, kw_only=True)
class ChillCurve:
    """Centre and skin of a ham at times after hanging; degC, s."""

    ham: Ham
    air: HourlyAir
    times_s: tuple[float, ...]
    centre_c: tuple[float, ...]
    surface_c: tuple[float, ...]

    def centre_at(self, seconds: float) -> float:
        """Centre at a time on the curve, between its points by a straight line."""
        last = self.times_s[-1]
        within("time", seconds, low=0.0, high=last, unit="s", rule="chill curve")
        return float(np.interp(seconds, self.times_s, self.centre_c))

    def reaches_s(self, temp_c: float = CHILLED_C) -> float | None:
        """When the centre first comes down to a temperature; None if not in the air known."""
        below = next((n for n, temp in enumerate(self.centre_c) if temp <= temp_c), None)
        if below is None or below == 0:
            return None if below is None else 0.0
        warm, cold = self.centre_c[below - 1], self.centre_c[below]
        part = (warm - temp_c) / (warm - cold)
        return self.times_s[below - 1] + part * (self.times_s[below] - self.times_s[below - 1])

    def skin_coldest_c(self, *, until_s: float) -> float:
        """The coldest the skin gets up to a time."""
        pairs = zip(self.times_s, self.surface_c, strict=True)
        return min(temp for at, temp in pairs if at <= until_s)


def nodes_of(air: HourlyAir, *, every_s: float = NODE_S) -> tuple[float, ...]:
    """The times a curve is worked out at: every ten minutes, and wherever the air turns.

    >>> nodes_of(steady_air(1.0, hours=0.5), every_s=900.0)
    (0.0, 900.0, 1800.0)

    Source: none needed; the modes are exact between the nodes.
    """
    even = np.arange(0.0, air.until_s, every_s)
    return tuple(sorted({*even.tolist(), *(at for at, _ in air.points)}))


def chill_curve(ham: Ham, air: HourlyAir) -> ChillCurve:
    """The ham's centre and skin through all the air that is known.

    T = sum of C_n a_n(t), each mode a_n following the air; what the modes left out would hold
    follows the air at once.

    Args:
        ham: weight, hanging, start.
        air: up to 96 h of it.

    Returns: the curve.

    Raises: OutOfRange for more than 96 h.

    >>> curve = chill_curve(Ham(carcass_kg=90.0), steady_air(1.0, hours=30.0))
    >>> round(curve.reaches_s() / 3600, 1), round(curve.centre_at(16.5 * 3600), 1)
    (19.5, 6.2)

    Source: ``conduction.SERIES``; fitted to ``HIND_LEGS``.
    """
    within("air", air.until_s, low=1.0, high=LONGEST_CHILL_S, unit="s", rule="chilling")
    times = nodes_of(air)
    airs = air.over(times)
    start = np.array(ham.start_c)
    modes = follow_air(times, airs, rates=ham.rates_per_s, start_c=start)
    shape = modes_of(ham.body.shape, ham.body.Bi)
    centre, surface = (weighed(modes, airs, weights) for weights in (shape.centre, shape.surface))
    return ChillCurve(
        ham=ham,
        air=air,
        times_s=times,
        centre_c=(ham.start_c, *centre[1:].tolist()),  # at the start every mode would be needed
        surface_c=tuple(surface.tolist()),
    )


def weighed(modes: Floats, airs_c: Floats, weights: tuple[float, ...]) -> Floats:
    """Modes (last axis) summed by weight; the share no mode holds is at the air's temperature.

    >>> weighed(np.array([[10.0], [5.0]]), np.array([0.0, 4.0]), (0.75,)).tolist()
    [7.5, 4.75]

    Source: none needed; the missing modes die within minutes.
    """
    W = np.array(weights[: modes.shape[-1]])
    total: Floats = modes @ W + (1.0 - W.sum()) * airs_c
    return total


def needed_air_c(ham: Ham, *, within_s: float, target_c: float = CHILLED_C) -> float:
    """The warmest steady air that brings the centre to a temperature in a time.

    Args:
        ham: weight, hanging, start.
        within_s: 1 to 96 h, in s.
        target_c: 0 to 15 degC.

    Returns: degC; it may be colder than meat should hang in, so judge it.

    Raises: OutOfRange, also where not even -40 degC would do.

    >>> round(needed_air_c(Ham(carcass_kg=90.0), within_s=24 * 3600.0), 1)
    2.7

    Source: ``HIND_LEGS`` for the ham; series computed.
    """
    within("time", within_s, low=3600.0, high=LONGEST_CHILL_S, unit="s", rule="needed air")
    within("target", target_c, low=0.0, high=15.0, unit="degC", rule="needed air")
    hours = within_s / 3600

    def over(air_c: float) -> float:
        curve = chill_curve(ham, steady_air(air_c, hours=hours))
        return curve.centre_c[-1] - target_c

    if over(-40.0) > 0:
        name = "time to chill"
        raise OutOfRange(
            name, got=within_s, low=within_s, high=LONGEST_CHILL_S, unit="s", rule="air at -40 degC"
        )
    return root(over, -40.0, target_c, xtol=1e-6)


def cooling_time_s(*, f_s: float, j: float, start_c: float, air_c: float, target_c: float) -> float:
    """Time by the two-number method, t = f / ln 10 x ln(j (Ti - Ta) / (T - Ta)).

    Args:
        f_s: time for one tenth, 600 to 1e6 s.
        j: lag, 1 to 2.1.
        start_c, air_c, target_c: degC, with air < target < start.

    Returns: s.

    Raises: OutOfRange.

    >>> hours = cooling_time_s(f_s=15.4 * 3600, j=1.6, start_c=39, air_c=1, target_c=4.444) / 3600
    >>> round(hours, 1)
    19.2

    Source: the usual f and j of cooling curves; j = 1.6 assumed, f fitted to ``HIND_LEGS``.
    """
    within("f", f_s, low=600.0, high=1e6, unit="s", rule="two-number method")
    within("j", j, low=1.0, high=2.1, unit="", rule="two-number method")
    if not air_c < target_c < start_c:
        raise OutOfRange(
            "target",
            got=target_c,
            low=air_c,
            high=start_c,
            unit="degC",
            rule="between air and meat",
        )
    return float(f_s / np.log(10) * np.log(j * (start_c - air_c) / (target_c - air_c)))
