"""All that is known of one hog: its way through the days, dips, chill, weights, packages."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from scheduling import log_lines
from scheduling.clocking import Times
from scheduling.log_lines import Asked, LogLine
from scheduling.models import Step
from scheduling.timed import posted_steps, times_by_day, took
from stations import (
    access,
    break_down,
    chill_sheet,
    cure_sheet,
    dip_records,
    food_sheet,
    packing,
)
from stations.break_down import BreakDownSheet
from stations.chill_sheet import ChillSheet
from stations.cure_sheet import CureSheet
from stations.dip_records import DipRow
from stations.food_sheet import FoodSheet
from stations.packing import PackedHog
from workshops import checking
from workshops.models import Animal, Ownership, Treatment, User


@dataclass(frozen=True, slots=True, kw_only=True)
class WayLine:
    """One step of its way: planned and real."""

    step: Step
    times: Times
    minutes: int | None

    @property
    def so(self) -> str:
        """What the clock says, in words."""
        if self.minutes is not None:
            return f"{self.minutes} min, planned {self.step.minutes}"
        if self.times.finished:
            return "taken as planned"
        return "begun" if self.times.started else "not timed"


@dataclass(frozen=True, slots=True, kw_only=True)
class HogRecord:
    """One hog, from its owners to its last package."""

    animal: Animal
    owners: tuple[Ownership, ...]
    treatments: tuple[Treatment, ...]
    way: tuple[WayLine, ...]
    dips: tuple[DipRow, ...]
    chill: ChillSheet
    weights: BreakDownSheet
    cures: tuple[CureSheet, ...]
    logs: tuple[FoodSheet, ...]
    packed: PackedHog
    mark: str
    lines: tuple[LogLine, ...]

    @property
    def day_of_kill(self) -> datetime | None:
        """When its way began, really or by the plan."""
        if not self.way:
            return None
        first = self.way[0]
        return first.times.started or first.step.starts_at


def record_of(user: User, animal: Animal, *, sees_health: bool, now: datetime) -> HogRecord:
    """Everything of one hog: a fixed number of queries."""
    workshop = animal.workshop
    access.with_sheets(animal)
    times = times_by_day(workshop)
    dips = dip_records.rows_of(access.dips_of(animal), units=workshop.units)
    cures = access.cure_batches(user, workshop).filter(animal=animal)
    logs = access.food_logs(user, workshop).filter(animal=animal)
    (packed,) = packing.packed([animal], access.packages(workshop).filter(animal=animal))
    today = now.astimezone(workshop.zone).date()
    asked = Asked(workshop=workshop, hog=animal, sees_health=sees_health)
    return HogRecord(
        animal=animal,
        owners=tuple(animal.owners.select_related("household")),
        treatments=tuple(animal.treatments.all()),
        way=tuple(_way(step, times) for step in _steps(animal)),
        dips=tuple(dips),
        chill=chill_sheet.sheet_of(animal, now=now),
        weights=break_down.sheet_of(animal),
        cures=tuple(cure_sheet.sheet_of(one, today=today, units=workshop.units) for one in cures),
        logs=tuple(food_sheet.sheet_of(one) for one in logs),
        packed=packed,
        mark=checking.package_mark(workshop),
        lines=tuple(log_lines.lines(asked)),
    )


def _steps(animal: Animal) -> list[Step]:
    return [one for one in posted_steps(animal.workshop) if one.animal_id == animal.pk]


def _way(step: Step, times: dict[int, dict[str, Times]]) -> WayLine:
    seen = times.get(step.run_sheet.day_id, {}).get(step.code, Times())
    return WayLine(step=step, times=seen, minutes=took(step, seen))
