"""What is now and what is next: at each station for the board, for one person on their card."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from scheduling.models import Placement, RunSheet, Step
from stations.cautions import Caution, burns_today
from stations.models import HazardNote, Station
from stations.models.hazards import Signal
from workshops.models import Enrolment, Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class AtStation:
    """One station's row on the board."""

    station: Station
    now: tuple[Step, ...]
    next: Step | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MyPlace:
    """One place of one person: where, when, with whom, and what is dangerous there."""

    step: Step
    placement: Placement
    company: tuple[str, ...]
    notes: tuple[HazardNote | Caution, ...]

    @property
    def with_whom(self) -> str:
        """The others at the same duty, then at the same step, as a line."""
        return ", ".join(self.company) if self.company else "on your own"


def sheet_for(sheets: Iterable[RunSheet], *, now: datetime) -> RunSheet | None:
    """The posted sheet of today at the farm, else of the next day, else of the last."""
    ordered = list(sheets)
    for sheet in ordered:
        if sheet.day.date >= now.astimezone(sheet.day.workshop.zone).date():
            return sheet
    return ordered[-1] if ordered else None


def board(sheet: RunSheet, *, now: datetime) -> list[AtStation]:
    """Now and next at each station that has work on this sheet; steps must be loaded."""
    by_station: dict[Station, list[Step]] = defaultdict(list)
    for step in sheet.steps.all():
        by_station[step.station].append(step)
    rows = []
    for station in sorted(by_station, key=lambda station: station.order):
        steps = sorted(by_station[station], key=lambda step: step.starts_at)
        rows.append(
            AtStation(
                station=station,
                now=tuple(step for step in steps if step.runs_at(now)),
                next=next((step for step in steps if step.starts_at > now), None),
            )
        )
    return rows


def places_of(seat: Enrolment, sheets: Iterable[RunSheet]) -> list[MyPlace]:
    """Every place of one attendee in the posted sheets, in time order. Three queries for notes."""
    notes, burns = notes_of(seat.workshop), burns_today(seat.workshop)
    mine = []
    for sheet in sheets:
        for step in sheet.steps.all():
            rows = list(step.placements.all())
            for row in rows:
                if row.enrolment_id == seat.pk:
                    found = _my_place(step, row, rows, notes)
                    burn = burns.get(step.station_id) if row.duty.hot else None
                    mine.append(replace(found, notes=(burn, *found.notes)) if burn else found)
    return sorted(mine, key=lambda place: place.step.starts_at)


def _my_place(
    step: Step, mine: Placement, rows: list[Placement], notes: dict[int, list[HazardNote]]
) -> MyPlace:
    beside = [row for row in rows if row.pk != mine.pk]
    beside.sort(key=lambda row: (row.duty_id != mine.duty_id, row.person_name))
    relevant = [note for note in notes[step.station_id] if note.duty_id in {None, mine.duty_id}]
    return MyPlace(
        step=step,
        placement=mine,
        company=tuple(row.person_name for row in beside),
        notes=tuple(relevant),
    )


def notes_of(workshop: Workshop) -> dict[int, list[HazardNote]]:
    """Safety notes by station, the worst first."""
    by_station: dict[int, list[HazardNote]] = defaultdict(list)
    for note in HazardNote.objects.filter(station__workshop=workshop).select_related("duty"):
        by_station[note.station_id].append(note)
    for notes in by_station.values():
        notes.sort(key=lambda note: Signal(note.signal).rank)
    return by_station


def now_and_next(
    places: Iterable[MyPlace], *, now: datetime
) -> tuple[MyPlace | None, MyPlace | None]:
    """Where someone is now, and where next."""
    ordered = list(places)
    current = next((place for place in ordered if place.step.runs_at(now)), None)
    coming = next((place for place in ordered if place.step.starts_at > now), None)
    return current, coming


@dataclass(frozen=True, slots=True, kw_only=True)
class MyDay:
    """One day of one person's card."""

    sheet: RunSheet
    places: tuple[MyPlace, ...]


def by_day(places: Iterable[MyPlace], sheets: Iterable[RunSheet]) -> list[MyDay]:
    """The places of one person under the day they belong to."""
    listed = list(places)
    return [
        MyDay(
            sheet=sheet,
            places=tuple(place for place in listed if place.step.run_sheet_id == sheet.pk),
        )
        for sheet in sheets
    ]
