"""A dip's rows to the trade rules' live estimator. SI on both sides; no words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from stations.heating import air_of, bucket_of, fire_of, hog_of, vessel_of
from stations.models import Dip, DipEntry, EntryKind
from stations.trade import estimator
from stations.trade.errors import OutOfRange
from stations.trade.estimator import Belief, LiveDip, Reading
from stations.trade.evaporation import Stir
from stations.trade.losses import Exposure
from stations.trade.scald import LONGEST_DIP_S, Bucket
from stations.trade.scald import Dip as Scald
from stations.trade.thermometers import Thermometer
from stations.trade.trough_forecast import Forecast, forecast
from stations.trade.vessels import Cover

COLDEST_READ_C, HOTTEST_READ_C = 0.0, 105.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """What is believed of the water now, and the ten minutes to come.

    ``unused`` are the readings that were questioned by the estimator, or that it cannot take.
    """

    start_c: float
    now: Belief
    ahead: Forecast
    unused: frozenset[int]


def thermometer_of(dip: Dip) -> Thermometer:
    """The thermometer with the check it had at the start; unchecked where there was none."""
    check = dip.check_used
    return Thermometer() if check is None else check.as_of(dip.water_in_at)


def corrected_c(dip: Dip, read_c: float) -> float:
    """A number off the dial with the thermometer's own error taken off, degC."""
    return read_c - thermometer_of(dip).offset_c(read_c)


def live_dip(dip: Dip) -> LiveDip | None:
    """What the estimator is told of a dip; None where water is poured over the hog.

    The dip must be loaded ``with_all``. Raises OutOfRange for a hog, vessel or weather that the
    trade rules do not cover.
    """
    trough = dip.station.trough
    vessel = vessel_of(trough)
    if vessel is None:
        return None
    scald = Scald(
        vessel=vessel,
        water_kg=dip.water_kg,
        exposure=Exposure(air=air_of(trough), stir=Stir.DISTURBED),
        hog=hog_of(trough, dip.animal),
        cover=Cover(trough.cover),
        power_w=fire_of(trough).useful_w if trough.fire_stays else 0.0,
    )
    return LiveDip(
        dip=scald,
        strike_read_c=dip.strike_read_c,
        thermometer=thermometer_of(dip),
        floor_c=dip.floor_c,
        bucket=bucket_of(trough),
    )


def seconds_in(dip: Dip, entry: DipEntry) -> float:
    """Seconds from "in water" to an entry."""
    return (entry.at - dip.water_in_at).total_seconds()


def is_usable(entry: DipEntry) -> bool:
    """Whether the estimator can take a reading at all; a confirmed 1470 it cannot."""
    return entry.water_c is not None and COLDEST_READ_C <= entry.water_c <= HOTTEST_READ_C


def _events(dip: Dip, entries: Iterable[DipEntry]) -> dict[int, Reading | Bucket]:
    """Readings and buckets by the entry they come from."""
    found: dict[int, Reading | Bucket] = {}
    for entry in entries:
        at_s = seconds_in(dip, entry)
        if entry.water_c is None or not 0.0 <= at_s <= LONGEST_DIP_S:
            continue
        if entry.kind == EntryKind.READING and is_usable(entry):
            found[entry.pk] = Reading(at_s=at_s, water_c=entry.water_c)
        elif entry.kind == EntryKind.POUR and entry.water_kg is not None:
            found[entry.pk] = Bucket(kg=entry.water_kg, water_c=entry.water_c, at_s=at_s)
    return found


def estimate(dip: Dip, *, at: datetime) -> Estimate | None:
    """The whole dip replayed and carried on to a moment; None for pour-over.

    Raises OutOfRange as :func:`live_dip`, past the longest dip, or for water that left the range.
    """
    live = live_dip(dip)
    if live is None:
        return None
    entries = [entry for entry in dip.standing() if entry.at <= at]
    events = _events(dip, entries)
    belief = estimator.replay(live, events.values())
    belief = estimator.carry_forward(live, belief, to_s=max(belief.now_s, dip.seconds_at(at)))
    readings = [entry for entry in entries if entry.kind == EntryKind.READING]
    return Estimate(
        start_c=estimator.begin(live).water_c,
        now=belief,
        ahead=forecast(live, belief),
        unused=frozenset(
            entry.pk
            for entry in readings
            if entry.pk not in events or events[entry.pk] in belief.odd
        ),
    )


def expected_reading_c(dip: Dip, *, at: datetime) -> float | None:
    """What the thermometer should show at a moment, its own error included; None if unknown."""
    try:
        live = live_dip(dip)
        if live is None:
            return None
        earlier = [entry for entry in dip.standing() if entry.at <= at]
        belief = estimator.replay(live, _events(dip, earlier).values())
        to_s = max(belief.now_s, (at - dip.water_in_at).total_seconds())
        water_c = estimator.carry_forward(live, belief, to_s=to_s).water_c
    except OutOfRange:
        return None
    return water_c + live.thermometer.offset_c(water_c)
