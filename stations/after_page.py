"""What stands open after the kill: alarms, cures that are due, logs that run."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from stations import access, break_down, chill_sheet, cure_sheet, food_sheet
from stations.break_down import BreakDownSheet
from stations.chill_alarms import ChillAlarm
from stations.chill_sheet import ChillSheet
from stations.cure_sheet import CureSheet
from stations.food_sheet import FoodSheet
from stations.trade.findings import Standing
from workshops.models import User, Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class CarcassRow:
    """One carcass: its chill and its weights."""

    chill: ChillSheet
    cut: BreakDownSheet


@dataclass(frozen=True, slots=True, kw_only=True)
class AfterPage:
    """The whole of it, as of a moment."""

    carcasses: tuple[CarcassRow, ...]
    cures: tuple[CureSheet, ...]
    logs: tuple[FoodSheet, ...]

    @property
    def alarms(self) -> tuple[ChillAlarm, ...]:
        """Of every carcass that has one."""
        return tuple(row.chill.alarm for row in self.carcasses if row.chill.alarm)

    @property
    def due(self) -> tuple[CureSheet, ...]:
        """Batches with something to do today."""
        return tuple(one for one in self.cures if one.due)

    @property
    def to_watch(self) -> tuple[FoodSheet, ...]:
        """Logs that still run, or ended outside their rule."""
        return tuple(
            one
            for one in self.logs
            if not one.is_mistake and (one.is_open or one.standing is Standing.OUTSIDE)
        )


def page_of(user: User, workshop: Workshop, *, now: datetime) -> AfterPage:
    """Everything after the kill of one workshop: as many queries whatever its size."""
    today = timezone.localdate(now, timezone=workshop.zone)
    carcasses = tuple(
        CarcassRow(
            chill=chill_sheet.sheet_of(each, now=now),
            cut=break_down.sheet_of(each),
        )
        for each in access.carcasses(user, workshop)
    )
    cures = tuple(
        cure_sheet.sheet_of(each, today=today, units=workshop.units)
        for each in access.cure_batches(user, workshop)
    )
    logs = tuple(food_sheet.sheet_of(each) for each in access.food_logs(user, workshop))
    return AfterPage(carcasses=carcasses, cures=cures, logs=logs)
