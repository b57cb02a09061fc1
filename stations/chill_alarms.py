"""The alarm of a carcass: not cold in time, not going to be, or not looked at."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import models

from stations import chill_forecasting
from stations.models import ChillPlan, ChillReading
from stations.trade.chill_rules import TWENTY_FOUR_HOURS
from stations.trade.chilling import CHILLED_C
from stations.trade.errors import TradeError
from stations.trade.findings import WHO_DECIDES
from stations.trade.sources import PRACTICE
from workshops.models import Animal
from workshops.quantities import TEMPERATURE

DAY = timedelta(hours=24)
LOOK_EVERY = timedelta(hours=6)
"""A carcass that nobody looked at for so long is asked about (common practice, no source)."""
WHAT_TO_DO = (
    "Chill it faster: spread the hams, move the air, pack ice in and around, or take it to a "
    f"cooler. {WHO_DECIDES}."
)


class ChillAlarmKind(models.TextChoices):
    """Why it sounds."""

    LATE = "late", "not cold in 24 h"
    COMING = "coming", "will not be cold in 24 h"
    LOOK = "look", "take a reading"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChillAlarm:
    """What is wrong with one carcass, what to do, and what that rests on."""

    animal: Animal
    kind: ChillAlarmKind
    sentence: str
    remedy: str
    source: str

    @property
    def is_late(self) -> bool:
        """Whether the limit is passed already."""
        return self.kind is ChillAlarmKind.LATE


def chill_alarm(carcass: Animal, now: datetime) -> ChillAlarm | None:
    """The alarm of one carcass, or None: it is cold, on its way, or not hung yet.

    No query where the carcass was loaded by ``access.carcasses``; else two.
    """
    plan: ChillPlan | None = getattr(carcass, "chill_plan", None)
    if plan is None or now < plan.killed_at:
        return None
    rows = chill_forecasting.ham_readings(list(carcass.chill_readings.all()))
    log = chill_forecasting.log_since(plan.killed_at, rows)
    if log is not None and log.stays_at_or_below_from_s(CHILLED_C) is not None:
        return None
    chilled = TEMPERATURE.shown(CHILLED_C, carcass.workshop.units)
    since = now - plan.killed_at
    if since > DAY:
        return ChillAlarm(
            animal=carcass,
            kind=ChillAlarmKind.LATE,
            sentence=f"{carcass}: {since.total_seconds() / 3600:.0f} h after the kill no reading "
            f"shows the ham at {chilled} or below; the limit is 24 h.",
            remedy=WHAT_TO_DO,
            source=str(TWENTY_FOUR_HOURS),
        )
    return _coming(carcass, plan, rows) or _look(carcass, plan, rows, now)


def _coming(carcass: Animal, plan: ChillPlan, rows: list[ChillReading]) -> ChillAlarm | None:
    try:
        weight = chill_forecasting.carcass_weight(carcass)
        _, found = chill_forecasting.forecast(plan, weight, rows)
    except TradeError:  # what cannot be forecast is looked at instead
        return None
    reaches = chill_forecasting.moment(plan, found.likely.reaches_s())
    if reaches is not None and reaches <= plan.killed_at + DAY:
        return None
    chilled = TEMPERATURE.shown(CHILLED_C, carcass.workshop.units)
    if reaches is None:
        when = "not in the air that is known"
    else:
        hours = (reaches - plan.killed_at).total_seconds() / 3600
        when = f"{hours:.0f} h after the kill"
    return ChillAlarm(
        animal=carcass,
        kind=ChillAlarmKind.COMING,
        sentence=f"{carcass}: the ham is likely at {chilled} {when}; the limit is 24 h.",
        remedy=WHAT_TO_DO,
        source=str(TWENTY_FOUR_HOURS),
    )


def _look(
    carcass: Animal, plan: ChillPlan, rows: list[ChillReading], now: datetime
) -> ChillAlarm | None:
    last = max([plan.hung_at, *(row.at for row in rows)])
    if now - last <= LOOK_EVERY:
        return None
    hours = (now - last).total_seconds() / 3600
    return ChillAlarm(
        animal=carcass,
        kind=ChillAlarmKind.LOOK,
        sentence=f"{carcass}: nobody has read its ham for {hours:.0f} h.",
        remedy="Put the probe into the middle of the ham and write the number down.",
        source=f"every 6 h: {PRACTICE.trust.words}",
    )
