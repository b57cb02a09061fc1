"""What the chill page of one carcass says: forecast, readings, rules, and the drawing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from stations import chill_curves, chill_forecasting
from stations.chill_alarms import ChillAlarm, chill_alarm
from stations.chill_curves import ChillPicture, ChillTrace
from stations.judged import Judged, all_judged
from stations.models import ChillPlan, ChillReading, ProbedPart
from stations.refusals import refused
from stations.trade.chill_probes import ChillForecast
from stations.trade.chill_rules import (
    DAY_S,
    FREEZES_C,
    chill_forecast_findings,
    chill_log_findings,
)
from stations.trade.chilling import CHILLED_C, ChillCurve, Ham
from stations.trade.errors import OutOfRange
from workshops.models import Animal
from workshops.quantities import TEMPERATURE


@dataclass(frozen=True, slots=True, kw_only=True)
class ChillSheet:
    """One carcass in the cold, as of a moment."""

    animal: Animal
    plan: ChillPlan | None
    readings: tuple[ChillReading, ...]
    alarm: ChillAlarm | None = None
    weight_words: str = ""
    so_far: tuple[Judged, ...] = ()
    ahead: tuple[Judged, ...] = ()
    sentences: tuple[str, ...] = ()
    picture: ChillPicture | None = None
    refusal: str = ""

    @property
    def last(self) -> ChillReading | None:
        """The newest reading of the ham that counts."""
        rows = chill_forecasting.ham_readings(list(self.readings))
        return rows[-1] if rows else None

    @property
    def state(self) -> str:
        """In a few words, for a list."""
        units = self.animal.workshop.units
        if self.plan is None:
            return "not hung yet"
        if self.last is None or self.last.temp_c is None:
            return "hung, not read yet"
        shown = TEMPERATURE.shown(self.last.temp_c, units, decimals=1)
        cold = self.last.temp_c <= CHILLED_C
        return f"{shown} in the ham{', cold' if cold else ''}"


def sheet_of(animal: Animal, *, now: datetime) -> ChillSheet:
    """The sheet of a carcass loaded by ``access.carcasses``. No query."""
    plan: ChillPlan | None = getattr(animal, "chill_plan", None)
    readings = tuple(animal.chill_readings.all())
    if plan is None:
        return ChillSheet(animal=animal, plan=None, readings=readings)
    units, rows = animal.workshop.units, chill_forecasting.ham_readings(list(readings))
    log = chill_forecasting.log_since(plan.killed_at, rows)
    so_far = all_judged(chill_log_findings(log), units) if log else ()
    said = {
        "animal": animal,
        "plan": plan,
        "readings": readings,
        "alarm": chill_alarm(animal, now),
        "so_far": so_far,
    }
    try:
        weight = chill_forecasting.carcass_weight(animal)
        ham, found = chill_forecasting.forecast(plan, weight, rows)
        delay_s = chill_forecasting.delay_s(plan)
        ahead = chill_forecast_findings(found.likely, delay_s=min(delay_s, DAY_S))
    except OutOfRange as error:
        return ChillSheet(**said, refusal=str(refused(error, units)))  # type: ignore[arg-type]  # named above
    return ChillSheet(
        **said,  # type: ignore[arg-type]  # named above
        weight_words=weight.words,
        ahead=all_judged(ahead, units),
        sentences=_sentences(plan, ham, found, units),
        picture=_picture(plan, found, readings, now=now),
    )


def _sentences(plan: ChillPlan, ham: Ham, found: ChillForecast, units: str) -> tuple[str, ...]:
    return (
        _reach_sentence(plan, found, units),
        _air_sentence(plan, found.likely.ham, units),
        _freezing_sentence(found.likely, units, delay_s=chill_forecasting.delay_s(plan)),
        _learned_sentence(found),
    )


def _reach_sentence(plan: ChillPlan, found: ChillForecast, units: str) -> str:
    zone, chilled = plan.animal.workshop.zone, TEMPERATURE.shown(CHILLED_C, units)
    quick, likely, slow = (chill_forecasting.moment(plan, at_s) for at_s in found.reaches_s)
    if likely is None:
        return f"The ham does not come down to {chilled} in this air within two days."
    hours = (likely - plan.killed_at).total_seconds() / 3600
    first = f"{quick.astimezone(zone):%a %H:%M}" if quick else "not known"
    last = f"{slow.astimezone(zone):%a %H:%M}" if slow else "not in this air"
    return (
        f"The middle of the ham is likely at {chilled} on {likely.astimezone(zone):%a %H:%M}, "
        f"{hours:.0f} h after the kill (four in five: {first} to {last})."
    )


def _air_sentence(plan: ChillPlan, ham: Ham, units: str) -> str:
    air_c = chill_forecasting.warmest_air_c(plan, ham)
    if air_c is None:
        return "No air would bring it there inside 24 h of the kill: open it up, or use ice."
    said = (
        "To be there inside 24 h of the kill it needs steady air of "
        f"{TEMPERATURE.shown(air_c, units)} or colder from hanging on."
    )
    if chill_forecasting.would_freeze(air_c):
        return f"{said} That is colder than a carcass should hang in: spread it or use ice."
    return said


def _freezing_sentence(curve: ChillCurve, units: str, *, delay_s: float) -> str:
    coldest_c = curve.skin_coldest_c(until_s=max(0.0, DAY_S - delay_s))
    shown = TEMPERATURE.shown(coldest_c, units)
    if coldest_c < FREEZES_C:
        return (
            f"The skin of the ham goes to {shown} in the first day: it freezes (pork freezes at "
            f"{TEMPERATURE.shown(FREEZES_C, units)}), and meat frozen so soon toughens."
        )
    return f"The skin of the ham goes no lower than {shown} in the first day."


def _learned_sentence(found: ChillForecast) -> str:
    if not found.readings:
        return "No reading yet: this is the model alone. A probe in the ham is worth more."
    factor = found.likely.ham.slower
    word = "slower" if factor >= 1 else "quicker"
    times = "1 reading" if found.readings == 1 else f"{found.readings} readings"
    return f"By {times}, this ham cools {abs(factor - 1) * 100:.0f} % {word} than the fitted one."


def _picture(
    plan: ChillPlan, found: ChillForecast, readings: tuple[ChillReading, ...], *, now: datetime
) -> ChillPicture:
    delay_h = chill_forecasting.delay_s(plan) / 3600

    def points(curve: ChillCurve) -> list[tuple[float, float]]:
        return [
            (at_s / 3600 + delay_h, temp_c)
            for at_s, temp_c in zip(curve.times_s, curve.centre_c, strict=True)
        ]

    def hours(moment: datetime) -> float:
        return (moment - plan.killed_at).total_seconds() / 3600

    dots = [
        (hours(row.at), row.temp_c)
        for row in readings
        if row.stands and row.part == ProbedPart.HAM and row.temp_c is not None
    ]
    trace = ChillTrace(
        likely=points(found.likely),
        quick=points(found.quick),
        slow=points(found.slow),
        air=[(at_s / 3600 + delay_h, temp_c) for at_s, temp_c in found.likely.air.points],
        readings=[dot for dot in dots if dot[0] >= 0],
        now_h=hours(now),
    )
    return chill_curves.draw(trace, units=plan.animal.workshop.units)
