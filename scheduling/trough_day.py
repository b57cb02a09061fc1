"""What the posted plan says at a trough: which hog comes next, and whose card opens it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from scheduling.live_day import MyPlace
from scheduling.models import SheetStatus, Step
from stations.models import Dip, DipEntry, Station, Thermometer
from workshops.models import Animal

CAN_STILL_GO_BACK = timedelta(minutes=15)
"""For so long after a hog is out the page offers to put it back: a judgement, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ComingHog:
    """One hog that may go in, when the plan has it, and whether it has been in."""

    animal: Animal
    planned_at: datetime | None
    been_in: bool

    @property
    def words(self) -> str:
        """As it stands in the list."""
        planned = f", planned {self.planned_at:%H:%M}" if self.planned_at else ""
        return f"{self.animal}{planned}{', has been in' if self.been_in else ''}"


def coming_hogs(station: Station, *, now: datetime) -> list[ComingHog]:
    """Every hog of the workshop, the next of the plan first, those that were in last.

    Three queries. A hog may be pulled and put back, so one that was in can still be chosen.
    """
    zone = station.workshop.zone
    planned: dict[int, datetime] = {}
    steps = Step.objects.filter(
        station=station, animal__isnull=False, run_sheet__status=SheetStatus.POSTED
    )
    for animal_id, starts_at in steps.order_by("starts_at").values_list("animal", "starts_at"):
        if animal_id is not None:
            planned.setdefault(animal_id, starts_at.astimezone(zone))
    dips = Dip.objects.standing().filter(workshop=station.workshop)
    been_in = set(dips.values_list("animal", flat=True))
    hogs = [
        ComingHog(animal=hog, planned_at=planned.get(hog.pk), been_in=hog.pk in been_in)
        for hog in Animal.objects.filter(workshop=station.workshop)
    ]
    last = now.astimezone(zone).replace(year=9999)
    return sorted(hogs, key=lambda hog: (hog.been_in, hog.planned_at or last, hog.animal.order))


def trough_of(places: Iterable[MyPlace], troughs: Iterable[Station], *, now: datetime) -> str:
    """The letter of the trough that someone works at today with a hand free, or nothing.

    Whoever holds a chain has no hand for a phone: heavy duties get no button.
    """
    letters = {station.pk: station.letter for station in troughs}
    for place in places:
        step = place.step
        is_today = step.starts_at.astimezone(now.tzinfo).date() == now.date()
        if is_today and step.station_id in letters and not place.placement.duty.heavy:
            return letters[step.station_id]
    return ""


def end_to_take_back(last: Dip | None, *, now: datetime) -> DipEntry | None:
    """The entry that ended the last dip, while the page still offers to take it back."""
    end = last.ended_by if last else None
    return end if end is not None and now - end.at < CAN_STILL_GO_BACK else None


def last_checked(known: Iterable[Thermometer]) -> int | None:
    """The thermometer that was checked last is the one in somebody's hand."""
    checks = [check for each in known if (check := each.last_check)]
    newest = max(checks, key=lambda check: check.at, default=None)
    return newest.thermometer_id if newest else None
