"""A log of cooking, cooling or holding against its rule, judged at once from what was read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from stations.judged import Judged, all_judged, worst
from stations.models import FoodEntry, FoodLog, FoodMark, FoodRule
from stations.trade.cooking import Product, chart_findings, hold_finding, reheat_findings
from stations.trade.cooling import Cooling, cooling_findings
from stations.trade.errors import OutOfRange
from stations.trade.fermenting import degree_hours_finding
from stations.trade.findings import Finding, Standing
from stations.trade.holding import Held, danger_zone_finding, holding_findings
from stations.trade.temperature_log import Probe, TemperatureLog
from stations.trade.trichinae import Piece, centre_finding, heating_findings, room_finding
from workshops.quantities import TEMPERATURE


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What a rule is held against: readings, whether it still runs, and what some rules ask."""

    log: TemperatureLog
    running: bool
    air_c: float
    sour_at_s: float | None


Judge = Callable[[Told], tuple[Finding, ...]]


def _cooked(product: Product) -> Judge:
    """The chart; for slow cooking below it also the table of times, whichever is the milder."""

    def judge(told: Told) -> tuple[Finding, ...]:
        chart = chart_findings(product, told.log, cooking=told.running)
        held = hold_finding(product, told.log, cooking=told.running)
        if held is None or all(one.standing is Standing.WITHIN for one in chart):
            return chart
        return (held,) if held.standing is Standing.WITHIN else (*chart, held)

    return judge


def _cooled(way: Cooling) -> Judge:
    return lambda told: cooling_findings(way, told.log)


def _held(held: Held) -> Judge:
    return lambda told: holding_findings(held, told.log)


def _frozen(piece: Piece) -> Judge:
    return lambda told: (room_finding(piece, told.log, frozen_on=told.running),)


JUDGES: dict[FoodRule, Judge] = {
    FoodRule.COOK_WHOLE: _cooked(Product.WHOLE_PORK),
    FoodRule.COOK_MINCED: _cooked(Product.MINCED_PORK),
    FoodRule.COOK_STUFFED: _cooked(Product.STUFFED_OR_LEFTOVER),
    FoodRule.COOK_HAM: _cooked(Product.HAM_FROM_HERE),
    FoodRule.COOK_POULTRY: _cooked(Product.POULTRY),
    FoodRule.REHEAT: lambda told: reheat_findings(told.log, heating=told.running),
    FoodRule.COOL: _cooled(Cooling.TWO_STAGE),
    FoodRule.COOL_COLD_MADE: _cooled(Cooling.FROM_AMBIENT),
    FoodRule.COOL_MEAT: _cooled(Cooling.STABILISE_ANY),
    FoodRule.COOL_MEAT_SLOWLY: _cooled(Cooling.STABILISE_SLOW),
    FoodRule.COOL_CURED: _cooled(Cooling.STABILISE_CURED),
    FoodRule.HOLD_HOT: _held(Held.HOT),
    FoodRule.HOLD_HOT_ROAST: _held(Held.HOT_ROAST),
    FoodRule.HOLD_COLD: _held(Held.COLD),
    FoodRule.ON_THE_TABLE: lambda told: (danger_zone_finding(told.log, air_c=told.air_c),),
    FoodRule.TRICHINAE_HEAT: lambda told: heating_findings(told.log, heating=told.running),
    FoodRule.FREEZE_TO_6_IN: _frozen(Piece.TO_6_IN),
    FoodRule.FREEZE_TO_27_IN: _frozen(Piece.TO_27_IN),
    FoodRule.FREEZE_CENTRE: lambda told: (centre_finding(told.log, frozen_on=told.running),),
    FoodRule.FERMENT: lambda told: (degree_hours_finding(told.log, sour_at_s=told.sour_at_s),),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class FoodSheet:
    """One log as it stands."""

    log: FoodLog
    entries: tuple[FoodEntry, ...]
    lines: tuple[Judged, ...]
    refusal: str
    is_done: bool
    is_mistake: bool
    last_words: str

    @property
    def standing(self) -> Standing:
        """The worst of its rules; not yet decided without a reading."""
        return worst(self.lines)

    @property
    def is_open(self) -> bool:
        """Whether readings may still come."""
        return not (self.is_done or self.is_mistake)

    @property
    def state(self) -> str:
        """In a few words, for a list."""
        if self.is_mistake:
            return "called a mistake"
        if not self.lines:
            return "no reading yet"
        running = "" if self.is_done else "; still running"
        return f"{self.standing.words}{running}"


def sheet_of(log: FoodLog) -> FoodSheet:
    """The sheet of a log loaded by ``access.food_logs``. No query."""
    entries = tuple(log.entries.all())
    standing = [row for row in entries if row.stands]
    marks = {row.mark: row for row in standing}
    readings = [row for row in standing if row.mark == FoodMark.READING]
    done = FoodMark.DONE in marks
    sour = marks.get(FoodMark.SOUR)
    lines: tuple[Judged, ...] = ()
    refusal = ""
    if readings:
        told = Told(
            log=_log(log, readings),
            running=not done,
            air_c=log.air_c if log.air_c is not None else 0.0,
            sour_at_s=None if sour is None else _seconds(log, sour),
        )
        try:
            found = JUDGES[FoodRule(log.rule)](told)
            lines = all_judged(found, log.workshop.units)
        except OutOfRange as error:
            refusal = str(error)
    last = max(readings, key=lambda row: (row.at, row.pk)) if readings else None
    return FoodSheet(
        log=log,
        entries=entries,
        lines=lines,
        refusal=refusal,
        is_done=done,
        is_mistake=FoodMark.MISTAKE in marks,
        last_words=_words(last, log.workshop.units),
    )


def _words(row: FoodEntry | None, units: str) -> str:
    if row is None or row.temp_c is None:
        return ""
    return TEMPERATURE.shown(row.temp_c, units, decimals=1)


def _seconds(log: FoodLog, row: FoodEntry) -> float:
    return max(0.0, (row.at - log.started_at).total_seconds())


def _log(log: FoodLog, readings: list[FoodEntry]) -> TemperatureLog:
    """Readings on the log's own clock; two of one moment cannot both stand (``recording``)."""
    return TemperatureLog(
        readings=tuple(
            Probe(at_s=_seconds(log, row), temp_c=row.temp_c)
            for row in readings
            if row.temp_c is not None
        )
    )
