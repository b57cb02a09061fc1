"""The scald's sums: time for each curve, reading, forecast and plan, and what a half step changes.

``manage.py bench scald [repeats]``, 60 by default. Times are medians, the slowest twentieth beside
them; the vessel's losses are tabulated once before, as in a running site.
"""

from __future__ import annotations

import os
import statistics
import time
from collections.abc import Callable, Sequence
from functools import partial

from scheduling.benches import Write
from stations.trade import scald
from stations.trade.coats import falling_band
from stations.trade.estimator import LiveDip, Reading, begin, observe
from stations.trade.evaporation import Stir
from stations.trade.fuels import Fuel, fire_of
from stations.trade.hide import Hog
from stations.trade.losses import Exposure, loss_curve
from stations.trade.measures import fahrenheit
from stations.trade.scald import Dip, boiling_bucket, dip_band, dip_curve, strike_temperature_c
from stations.trade.scald_plan import ScaldSetup, plan_scald
from stations.trade.thermometers import Thermometer
from stations.trade.trough_forecast import forecast
from stations.trade.vessels import Cover, kettle, open_trough
from stations.trade.water import Air

AIR = Air(temp_c=5.0, humidity=0.6, wind_m_s=1.0)
TROUGH = open_trough(length_m=1.83, width_m=0.76, depth_m=0.6)
DIP = Dip(
    vessel=TROUGH,
    water_kg=230.0,
    exposure=Exposure(air=AIR, stir=Stir.DISTURBED),
    hog=Hog(live_kg=125.0),
    cover=Cover.HALF,
)
STRIKE_C, DIP_S, READINGS = 70.0, 600.0, 14


def run(write: Write, words: Sequence[str]) -> None:
    """Print the figures; the first word may be how often each is repeated."""
    repeats = int(words[0]) if words else 60
    write(f"{os.cpu_count()} cores, {repeats} repeats of each, one at a time")
    live = LiveDip(
        dip=DIP,
        strike_read_c=STRIKE_C,
        thermometer=Thermometer(ice_read_c=0.0, boil_read_c=AIR.boils_at_c),
        floor_c=62.8,
        bucket=boiling_bucket(AIR),
    )
    curve = dip_curve(DIP, strike_c=STRIKE_C, seconds=DIP_S)
    readings = [
        Reading(at_s=at_s, water_c=curve.at(at_s)) for at_s in range(40, 40 * (READINGS + 1), 40)
    ]
    belief = begin(live)
    for reading in readings:
        belief = observe(live, belief, reading)

    def replay() -> None:
        known = begin(live)
        for reading in readings:
            known = observe(live, known, reading)

    losses = _timed(_fresh_losses, repeats)
    one = _timed(lambda: dip_curve(DIP, strike_c=STRIKE_C, seconds=DIP_S), repeats)
    _say(write, "losses of a vessel, tabulated afresh", losses)
    _say(write, "curve of a ten-minute dip", one)
    band = _timed(lambda: dip_band(DIP, strike_c=STRIKE_C, seconds=DIP_S), repeats)
    _say(write, "the same with its band", band, against=one)
    strike = _timed(lambda: strike_temperature_c(DIP, wanted_c=62.0, at_s=200.0), repeats)
    _say(write, "strike temperature", strike, against=one)
    replayed = _timed(replay, repeats)
    _say(write, f"fit, replay of a dip with {READINGS} readings", replayed)
    _say(write, "fit, one reading", [each / READINGS for each in replayed])
    ahead = _timed(lambda: forecast(live, belief), repeats)
    _say(write, "forecast of ten minutes with its band", ahead)
    for hogs in (1, 3, 6):
        plan = _timed(partial(plan_scald, _setup(hogs)), repeats)
        _say(write, f"plan for {hogs} hog{'s' if hogs > 1 else ''}", plan, against=one)
    _half_step(write, repeats, one)


def _setup(hogs: int) -> ScaldSetup:
    return ScaldSetup(
        vessel=TROUGH,
        hogs=(Hog(live_kg=125.0),) * hogs,
        bands=(falling_band(),) * hogs,
        air=AIR,
        fire=fire_of(Fuel.PROPANE, rated_w=60_000.0),
        cover=Cover.HALF,
        water_kg=230.0,
        kettle=kettle(litres=40.0),
        kettle_fire=fire_of(Fuel.PROPANE, rated_w=30_000.0),
    )


def _fresh_losses() -> None:
    loss_curve.cache_clear()
    loss_curve(TROUGH, DIP.exposure)


def _timed(work: Callable[[], object], repeats: int) -> list[float]:
    """Seconds of each of so many runs, after one that fills the stores."""
    work()
    found = []
    for _ in range(repeats):
        began = time.perf_counter()
        work()
        found.append(time.perf_counter() - began)
    return found


def _say(
    write: Write, what: str, seconds: list[float], *, against: list[float] | None = None
) -> None:
    middle = statistics.median(seconds)
    slow = sorted(seconds)[max(0, int(len(seconds) * 0.95) - 1)]
    ratio = f", {middle / statistics.median(against):.1f} times a curve" if against else ""
    write(f"{what}: {1000 * middle:.2f} ms, 95 % under {1000 * slow:.2f}{ratio}")


def _half_step(write: Write, repeats: int, whole: list[float]) -> None:
    """The curve at half its time step: how far apart, and how much longer."""
    wide = dip_curve(DIP, strike_c=STRIKE_C, seconds=DIP_S)
    step = scald.STEP_S
    scald.STEP_S = step / 2
    scald._waves.cache_clear()
    try:
        half = dip_curve(DIP, strike_c=STRIKE_C, seconds=DIP_S)
        longer = _timed(lambda: dip_curve(DIP, strike_c=STRIKE_C, seconds=DIP_S), repeats)
    finally:
        scald.STEP_S = step
        scald._waves.cache_clear()
    apart = max(abs(a - b) for a, b in zip(wide.temps_c, half.temps_c[::2], strict=True))
    degrees = fahrenheit(celsius=apart) - 32.0
    _say(write, f"curve at half the step, at most {degrees:.3f} F apart", longer, against=whole)
