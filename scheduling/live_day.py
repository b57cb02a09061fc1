"""What is now and what is next: at each station for the board, for one person on their card."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from scheduling.clocking import Times
from scheduling.lateness import Phase, Standing, standings
from scheduling.models import Placement, RunSheet, Step
from stations.cautions import Caution, burns_today
from stations.models import HazardNote, Station
from stations.models.hazards import Signal
from workshops.models import Enrolment, Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class AtStation:
    """One station's row on the board."""

    station: Station
    running: tuple[Standing, ...]
    coming: Standing | None

    @property
    def now(self) -> tuple[Step, ...]:
        """The steps under way."""
        return tuple(one.step for one in self.running)

    @property
    def next(self) -> Step | None:
        """The step that comes next."""
        return self.coming.step if self.coming else None


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


def is_under_way(one: Standing, *, now: datetime) -> bool:
    """Whether a step is going on: by its marks, and where nobody marked it by the plan."""
    if one.phase in {Phase.RUNNING, Phase.PAUSED}:
        # What runs by itself (the chill) is not work under way once its planned end has passed.
        return not one.step.stage.unattended or one.step.runs_at(now)
    return one.phase == Phase.DUE and one.step.runs_at(now)


def is_to_come(one: Standing, *, now: datetime, marked: bool) -> bool:
    """Whether a step is still ahead; where marks are kept, also one that should have begun."""
    overdue = marked and one.phase == Phase.DUE and not one.step.runs_at(now)
    return one.phase == Phase.WAITING or overdue


def board(
    sheet: RunSheet, *, now: datetime, times: Mapping[str, Times] | None = None
) -> list[AtStation]:
    """Now and next at each station that has work on this sheet; steps must be loaded.

    ``times`` are the day's marks: what was started late is now, not what the plan says.
    """
    known = times or {}
    found = standings(sheet.steps.all(), known, now=now)
    by_station: dict[Station, list[Step]] = defaultdict(list)
    for step in sheet.steps.all():
        by_station[step.station].append(step)
    rows = []
    for station in sorted(by_station, key=lambda station: station.order):
        steps = sorted(by_station[station], key=lambda step: step.starts_at)
        mine = [found[step.code] for step in steps]
        rows.append(
            AtStation(
                station=station,
                running=tuple(one for one in mine if is_under_way(one, now=now)),
                coming=next(
                    (one for one in mine if is_to_come(one, now=now, marked=bool(known))), None
                ),
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
    places: Iterable[MyPlace], *, now: datetime, standing: Mapping[str, Standing] | None = None
) -> tuple[MyPlace | None, MyPlace | None]:
    """Where someone is now, and where next; by today's marks where ``standing`` knows a step."""
    known = standing or {}
    ordered = list(places)
    marked = any(one.phase not in {Phase.WAITING, Phase.DUE} for one in known.values())

    def runs(place: MyPlace) -> bool:
        one = known.get(place.step.code)
        return is_under_way(one, now=now) if one else place.step.runs_at(now)

    def comes(place: MyPlace) -> bool:
        one = known.get(place.step.code)
        return is_to_come(one, now=now, marked=marked) if one else place.step.starts_at > now

    current = next(filter(runs, ordered), None)
    return current, next(filter(comes, ordered), None)


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
