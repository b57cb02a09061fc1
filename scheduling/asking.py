"""What the lead asks of the timetable, from rows to the planner's words.

Read by ``gathering.py`` alone: wished finishes, meals that may move, who is away for a while, hours
and tracks of stations, kit that is held until a later stage.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from typing import Protocol

from scheduling.models import Absence, DayWish, StationHours
from scheduling.planner import problem as planner
from stations.heating import HANDLING_MIN, reheat_minutes
from stations.models import KitHold, Stage, Station
from stations.trade.errors import OutOfRange
from workshops.models import Animal, Break, Day, Workshop


class Clock(Protocol):
    """Turns moments into the planner's minutes."""

    def minute(self, moment: datetime) -> int:
        """Whole minutes since the origin."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The rows, fetched once."""

    wishes: tuple[DayWish, ...]
    absences: tuple[Absence, ...]
    hours: tuple[StationHours, ...]
    kit: tuple[KitHold, ...]

    def finish_by(self, days: Iterable[Day], clock: Clock) -> dict[int, int]:
        """The wished finish of each day, by the day's number from 0."""
        wished = {wish.day_id: wish.finish_by for wish in self.wishes if wish.finish_by}
        found = {}
        for day in days:
            if at := wished.get(day.pk):
                number = clock.minute(day.at(time(12))) // planner.MINUTES_PER_DAY
                found[number] = clock.minute(day.at(at))
        return found

    def even_hands(self, day: Day) -> bool:
        """Whether the most hands busy at once should be few on that day."""
        return any(wish.even_hands for wish in self.wishes if wish.day_id == day.pk)

    def away(self, day: Day, clock: Clock) -> dict[str, list[planner.Window]]:
        """Who is away when on a day, by the planner's name of the person."""
        found: dict[str, list[planner.Window]] = {}
        for row in self.absences:
            if row.day_id == day.pk:
                window = planner.Window(
                    start=clock.minute(day.at(row.leaves)), end=clock.minute(day.at(row.back))
                )
                found.setdefault(row.person_key, []).append(window)
        return found


def asked(workshop: Workshop) -> Asked:
    """Read what is asked: four queries."""
    return Asked(
        wishes=tuple(DayWish.objects.filter(day__workshop=workshop)),
        absences=tuple(Absence.objects.filter(day__workshop=workshop)),
        hours=tuple(StationHours.objects.filter(day__workshop=workshop)),
        kit=tuple(KitHold.objects.filter(stage__workshop=workshop).select_related("equipment")),
    )


def without_absences(
    present: Iterable[planner.Window], away: Iterable[planner.Window]
) -> tuple[planner.Window, ...]:
    """When someone is here, less when they are away.

    >>> day = planner.Window(start=0, end=1440)
    >>> gone = planner.Window(start=600, end=660)
    >>> [(one.start, one.end) for one in without_absences([day], [gone])]
    [(0, 600), (660, 1440)]
    """
    left = list(present)
    for gone in away:
        parts = [
            part
            for one in left
            for part in ((one.start, min(one.end, gone.start)), (max(one.start, gone.end), one.end))
        ]
        left = [planner.Window(start=start, end=end) for start, end in parts if start < end]
    return tuple(left)


def absent_from(
    members: Iterable[str], away: Mapping[str, Iterable[planner.Window]]
) -> tuple[planner.Away, ...]:
    """The absences of a pool's members, each one person fewer."""
    chosen = set(members)
    return tuple(
        planner.Away(window=window, amount=1)
        for person, windows in sorted(away.items())
        if person in chosen
        for window in windows
    )


# --- meals ----------------------------------------------------------------------------------


def meal_code(pause: Break) -> str:
    """The same meal in every version of the plan."""
    return f"break{pause.pk}"


def breaks(days: Iterable[Day], clock: Clock) -> tuple[planner.Window, ...]:
    """The breaks that stand fast."""
    return tuple(
        planner.Window(start=clock.minute(pause.starts_at), end=clock.minute(pause.ends_at))
        for day in days
        for pause in day.breaks.all()
        if not pause.may_move
    )


def meals(days: Iterable[Day], clock: Clock) -> tuple[planner.Meal, ...]:
    """The breaks that may move."""
    return tuple(
        planner.Meal(
            id=meal_code(pause),
            name=f"{pause.name} on {day.date:%A}",
            minutes=pause.minutes,
            earliest=clock.minute(day.at(pause.earliest)),
            wished=clock.minute(pause.starts_at),
            latest=clock.minute(day.at(pause.latest)),
        )
        for day in days
        for pause in day.breaks.all()
        if pause.earliest and pause.latest
    )


# --- stations and kit -----------------------------------------------------------------------


def hours(
    station: Station, days: Iterable[Day], asked: Asked, clock: Clock
) -> tuple[planner.Window, ...]:
    """When a station can be used; empty: always. A day without hours of its own is open whole."""
    mine = [row for row in asked.hours if row.station_id == station.pk]
    if not mine:
        return ()
    return tuple(
        planner.Window(start=clock.minute(opens), end=clock.minute(closes))
        for day in days
        for opens, closes in [
            (day.at(row.opens), day.at(row.closes)) for row in mine if row.day_id == day.pk
        ]
        or [(day.midnight, day.midnight + timedelta(days=1))]
    )


def set_ups(
    station: Station, animals: tuple[Animal, ...], steps: Mapping[int, list[str]]
) -> dict[tuple[str, str], int]:
    """Re-heats from one hog to the next, by steps, where they are not all the same.

    ``steps`` are the steps at the station of each hog, by the hog's id.
    """
    trough = getattr(station, "trough", None)
    if trough is None or station.capacity > 1:
        return {}
    try:
        minutes = reheat_minutes(trough, animals)
    except OutOfRange:
        return {}  # the typed time holds, and the run sheet says so
    if len(set(minutes.values())) < 2:
        return {}
    return {
        (before, after): lasts + HANDLING_MIN
        for (first, second), lasts in minutes.items()
        for before in steps.get(first, ())
        for after in steps.get(second, ())
    }


def kit_pools(kit: Iterable[KitHold]) -> tuple[planner.Pool, ...]:
    """One pool a kind of kit, as many as are counted on the equipment page."""
    things = {hold.equipment_id: hold.equipment for hold in kit}
    return tuple(
        planner.Pool(id=f"kit:{key}", name=thing.name, capacity=thing.count)
        for key, thing in things.items()
    )


def kit_needs(
    kit: Iterable[KitHold], stage: Stage, last_of: Mapping[int, str]
) -> Iterator[planner.Need]:
    """What a step of a stage holds; ``last_of`` names this hog's step of each stage, by its id."""
    for hold in kit:
        if hold.stage_id == stage.pk:
            until = last_of.get(hold.until_id, "") if hold.until_id else ""
            yield planner.Need(pool=f"kit:{hold.equipment_id}", amount=hold.each, until=until)


def settled(
    problem: planner.TimetableProblem,
    starts: Mapping[str, int],
    places: Mapping[str, str],
) -> planner.TimetableProblem:
    """The problem with each station and each meal as planned: what no longer is a choice."""
    steps = tuple(
        replace(step, station=places[step.id], or_at=())
        if places.get(step.id) in step.stations
        else step
        for step in problem.steps
    )
    eaten = tuple(
        planner.Window(start=starts[meal.id], end=starts[meal.id] + meal.minutes)
        for meal in problem.meals
    )
    return replace(problem, steps=steps, meals=(), breaks=(*problem.breaks, *eaten))
