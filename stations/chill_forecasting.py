"""A carcass's rows as what ``trade.chilling`` takes, and its answer back to clock times."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from stations.models import ChillMethod, ChillPlan, ChillReading, ProbedPart
from stations.trade.chill_probes import ChillForecast, probed_forecast
from stations.trade.chill_rules import DAY_S, SHED_LOW_C
from stations.trade.chilling import LONGEST_CHILL_S, Ham, HourlyAir, Hung, needed_air_c
from stations.trade.errors import OutOfRange
from stations.trade.temperature_log import Probe, TemperatureLog
from stations.trade.yields import Dressed, hot_carcass
from workshops.models import Animal
from workshops.quantities import WEIGHT

LEAST_SHOWN_S = 48 * 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CarcassWeight:
    """What the ham's size is reckoned from, and what that rests on."""

    kg: float
    words: str


def carcass_weight(animal: Animal) -> CarcassWeight:
    """Weighed hot, else expected from the live weight. No query. Raises OutOfRange."""
    units = animal.workshop.units
    if animal.carcass_kg is not None:
        shown = WEIGHT.shown(animal.carcass_kg, units)
        return CarcassWeight(kg=float(animal.carcass_kg), words=f"{shown} hot, as weighed")
    expected = hot_carcass(float(animal.live_kg), Dressed.SKIN_ON)
    shown = WEIGHT.shown(expected.likely_kg, units)
    words = f"about {shown} hot, expected from the live weight; weigh it"
    return CarcassWeight(kg=expected.likely_kg, words=words)


def ham_readings(readings: list[ChillReading]) -> list[ChillReading]:
    """What counts of the ham's centre, oldest first."""
    rows = [row for row in readings if row.stands and row.part == ProbedPart.HAM]
    return sorted(rows, key=lambda row: (row.at, row.pk))


def log_since(since: datetime, rows: list[ChillReading]) -> TemperatureLog | None:
    """The ham's readings as a log from a moment on; None where there is none after it.

    Of two at one moment the warmer counts.
    """
    warmest: dict[float, float] = {}
    for row in rows:
        at_s = (row.at - since).total_seconds()
        if at_s >= 0 and row.temp_c is not None:
            warmest[at_s] = max(row.temp_c, warmest.get(at_s, row.temp_c))
    if not warmest:
        return None
    return TemperatureLog(
        readings=tuple(Probe(at_s=at_s, temp_c=temp_c) for at_s, temp_c in warmest.items())
    )


def air_of(plan: ChillPlan, *, until_s: float) -> HourlyAir:
    """The air that was typed; after its last hour it is taken to stay, up to ``until_s``."""
    points = [(hours * 3600.0, float(temp_c)) for hours, temp_c in plan.air]
    if points[-1][0] < until_s:
        points.append((until_s, points[-1][1]))
    return HourlyAir(points=tuple(points))


def forecast(
    plan: ChillPlan, weight: CarcassWeight, rows: list[ChillReading]
) -> tuple[Ham, ChillForecast]:
    """The ham and its likely curve, corrected by every reading of its centre since it was hung.

    Readings after 96 h no longer correct it. Raises OutOfRange for a carcass or an air that the
    model does not cover.
    """
    ham = Ham(carcass_kg=weight.kg, hung=Hung(ChillMethod(plan.method).value))
    log = log_since(plan.hung_at, rows)
    if log is not None:
        kept = tuple(one for one in log.readings if one.at_s < LONGEST_CHILL_S)
        log = TemperatureLog(readings=kept) if kept else None
    last_s = log.last.at_s + 6 * 3600.0 if log else 0.0
    until_s = min(LONGEST_CHILL_S, max(LEAST_SHOWN_S, last_s))
    return ham, probed_forecast(ham, air_of(plan, until_s=until_s), log)


def delay_s(plan: ChillPlan) -> float:
    """From the kill to the cold, s."""
    return (plan.hung_at - plan.killed_at).total_seconds()


def moment(plan: ChillPlan, at_s: float | None) -> datetime | None:
    """A time after hanging as a moment."""
    return None if at_s is None else plan.hung_at + timedelta(seconds=at_s)


def warmest_air_c(plan: ChillPlan, ham: Ham) -> float | None:
    """The warmest steady air that chills it inside 24 h of the kill; None where none does."""
    try:
        return needed_air_c(ham, within_s=DAY_S - delay_s(plan))
    except OutOfRange:
        return None


def would_freeze(air_c: float) -> bool:
    """Whether steady air is colder than the bulletin lets a carcass hang in."""
    return air_c < SHED_LOW_C
