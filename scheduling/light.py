"""Daylight on a workshop's day, and which steps out of doors run past it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from scheduling.models import Step
from stations.trade import daylight
from stations.trade.daylight import ALMANAC, Daylight
from stations.trade.sources import Source
from workshops.models import Day

FILL_IN = (
    "Sunrise and dark are not known: the farm has no latitude and longitude. "
    "The organizer fills them in under the workshop's details."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DayLight:
    """The light of a day at the farm; None where the farm's place is not filled in."""

    light: Daylight | None
    in_the_dark: frozenset[str] = frozenset()
    source: Source = ALMANAC

    @property
    def sentence(self) -> str:
        """Sunrise, sunset and dark; or what to fill in."""
        return self.light.sentence() if self.light else FILL_IN


def of_day(day: Day) -> Daylight | None:
    """The almanac's word for a day; None without a place."""
    workshop = day.workshop
    if workshop.latitude is None or workshop.longitude is None:
        return None
    return daylight.daylight(
        latitude=float(workshop.latitude),
        longitude=float(workshop.longitude),
        day=day.date,
        zone=workshop.zone,
    )


def day_light(day: Day, steps: Iterable[Step]) -> DayLight:
    """The day's light, and the codes of the attended steps out of doors that run in the dark."""
    light = of_day(day)
    if light is None:
        return DayLight(light=None)
    outdoors = (step for step in steps if step.station.outdoors and not step.stage.unattended)
    dark = (
        step.code
        for step in outdoors
        if light.is_dark(step.starts_at) or light.is_dark(step.ends_at)
    )
    return DayLight(light=light, in_the_dark=frozenset(dark))
