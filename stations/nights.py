"""Hang it tonight? A night that was typed in, and what the odds say of it. Nothing is kept."""

from __future__ import annotations

from dataclasses import dataclass

from stations.judged import Judged, all_judged
from stations.models import ChillMethod
from stations.trade.chill_rules import chill_forecast_findings
from stations.trade.chilling import Ham, HourlyAir, Hung, chill_curve
from stations.trade.cold_night import NightOdds, night_odds

RUNS = 2000


@dataclass(frozen=True, slots=True, kw_only=True)
class Night:
    """What was typed: the carcass (kg hot), the air by the hour, hours from kill to hanging."""

    carcass_kg: float
    method: ChillMethod
    air: tuple[tuple[float, float], ...]
    delay_h: float


@dataclass(frozen=True, slots=True, kw_only=True)
class NightAnswer:
    """The odds, and the likely curve against every rule."""

    odds: NightOdds
    lines: tuple[Judged, ...]

    @property
    def in_time(self) -> str:
        """Nights in 100 that bring it there; never all, never none: it is a model that says so."""
        return _in_100(self.odds.in_time)

    @property
    def freezes(self) -> str:
        """Nights in 100 that freeze the skin."""
        return _in_100(self.odds.skin_freezes)

    @property
    def span(self) -> str:
        """Hours from the kill to cold."""
        odds = self.odds
        band = f"four in five {odds.quick_h:.0f} to {odds.slow_h:.0f} h"
        return f"{odds.likely_h:.0f} h after the kill; {band}"


def _in_100(share: float) -> str:
    whole = round(100 * share)
    if whole < 1:
        return "fewer than 1"
    return "over 99" if whole > 99 else str(whole)


def ask(night: Night, units: str) -> NightAnswer:
    """The answer for one night. Raises OutOfRange for what the model does not cover."""
    points = [(hours * 3600.0, temp_c) for hours, temp_c in night.air]
    if points[-1][0] < 48 * 3600.0:  # after the last typed hour the air is taken to stay
        points.append((48 * 3600.0, points[-1][1]))
    air = HourlyAir(points=tuple(points))
    ham = Ham(carcass_kg=night.carcass_kg, hung=Hung(night.method.value))
    delay_s = night.delay_h * 3600.0
    return NightAnswer(
        odds=night_odds(ham, air, delay_s=delay_s, runs=RUNS),
        lines=all_judged(chill_forecast_findings(chill_curve(ham, air), delay_s=delay_s), units),
    )
