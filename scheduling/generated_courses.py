"""Invented courses of any size, seeded: what the bench of the rotation and its checks plan.

Numbers of people, hands, minutes and limits are made up to resemble a course; none is a figure of
the trade. Every rule and every goal has something to do in them.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass

from scheduling.planner.basics import MINUTES_PER_DAY, Window
from scheduling.planner.rotation_problem import (
    Cap,
    DutySpec,
    FilledBy,
    HouseholdWish,
    Limit,
    Meal,
    Part,
    PersonSpec,
    PlaceLoad,
    RotationProblem,
    TimedStep,
    Walk,
    Wish,
)

CORNERS = ("fore-left", "fore-right", "hind-left", "hind-right")
_GROWN = frozenset({Limit.NO_LIFTING, Limit.SEATED_ONLY, Limit.UNDER_18})
_HOT = frozenset({Limit.NO_HOT_WATER})
_KILL = frozenset({Limit.AWAY_FROM_KILL})
_SHARP = frozenset({Limit.NO_KNIVES})


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """How large a course is; ``lines`` are hogs that are worked on side by side."""

    attendees: int
    hogs: int
    days: int
    helpers: int
    lines: int = 1


SIZES = (
    Size(attendees=8, hogs=1, days=2, helpers=2),
    Size(attendees=14, hogs=3, days=3, helpers=3),
    Size(attendees=24, hogs=4, days=3, helpers=4),
    Size(attendees=40, hogs=8, days=4, helpers=7, lines=2),
    Size(attendees=60, hogs=12, days=4, helpers=10, lines=3),
)

_DUTIES = (
    DutySpec(id="stick", name="Stick", least=1, most=1, filled_by=FilledBy.STAFF, core=False),
    DutySpec(id="hold", name="Hold", least=1, most=2, ruled_out_by=_KILL),
    DutySpec(id="rinse", name="Rinse", least=1, most=2, ruled_out_by=_KILL, dirty=True),
    DutySpec(
        id="chains",
        name="Chains",
        least=4,
        most=4,
        places=CORNERS,
        across=(("fore-left", "fore-right"), ("hind-left", "hind-right")),
        heavy=True,
        ruled_out_by=_GROWN,
    ),
    DutySpec(id="thermometer", name="Thermometer", least=1, most=1),
    DutySpec(id="timer", name="Timer", least=1, most=1),
    DutySpec(id="buckets", name="Buckets", least=1, most=2, ruled_out_by=_HOT | _GROWN),
    DutySpec(id="watch", name="Watch", least=1, most=1, filled_by=FilledBy.STAFF, core=False),
    DutySpec(id="scrape", name="Scrape", least=2, most=6, dirty=True),
    DutySpec(id="hoist", name="Hoist", least=2, most=3, heavy=True, ruled_out_by=_GROWN),
    DutySpec(id="open", name="Open", least=1, most=2, sharp=True, ruled_out_by=_SHARP, dirty=True),
    DutySpec(id="split", name="Split", least=1, most=2, sharp=True, ruled_out_by=_SHARP | _GROWN),
    DutySpec(id="wash", name="Wash", least=1, most=2, dirty=True),
    DutySpec(id="halve", name="Halve", least=2, most=2, heavy=True, ruled_out_by=_GROWN),
    DutySpec(id="cut", name="Cut", least=2, most=4, sharp=True, ruled_out_by=_SHARP),
    DutySpec(id="trim", name="Trim", least=1, most=3, sharp=True, ruled_out_by=_SHARP),
    DutySpec(id="cure", name="Cure", least=1, most=3),
    DutySpec(id="grind", name="Grind", least=1, most=3),
    DutySpec(id="stuff", name="Stuff", least=1, most=3),
    DutySpec(id="render", name="Render", least=1, most=2, ruled_out_by=_HOT),
    DutySpec(id="cook", name="Cook", least=1, most=4),
)
# Stage, station, minutes from the hog's start, minutes long, duties.
_KILL_DAY = (
    ("Kill", "pen", 0, 10, ("stick", "hold")),
    ("Bleed", "pen", 10, 10, ("rinse",)),
    ("Lower", "trough", 20, 5, ("chains", "thermometer", "timer", "watch")),
    ("Scald", "trough", 25, 10, ("thermometer", "timer", "buckets", "watch")),
    ("Lift", "trough", 36, 5, ("hoist", "watch")),
    ("Scrape", "table", 43, 30, ("scrape",)),
    ("Hang", "gambrel", 75, 10, ("hoist",)),
    ("Open", "gambrel", 88, 25, ("open", "watch")),
    ("Split", "gambrel", 115, 20, ("split", "watch")),
    ("Wash", "gambrel", 137, 15, ("wash",)),
)
_CUT_DAY = (
    ("Halve", "block", 0, 20, ("halve",)),
    ("Primals", "block", 22, 60, ("cut", "watch")),
    ("Trim", "block", 84, 45, ("trim", "cure", "watch")),
)
_KITCHEN = (
    ("Grind", "kitchen", 0, 45, ("grind",)),
    ("Render", "kettle", 0, 60, ("render",)),
    ("Stuff", "kitchen", 50, 60, ("stuff",)),
    ("Cook", "kitchen", 115, 75, ("cook",)),
)
_SUPERVISED = {"Scald", "Open", "Split"}


def course(size: Size, *, seed: int) -> RotationProblem:
    """A course of a size: kill days first, then break-down, the kitchen last."""
    chance = random.Random(seed)  # noqa: S311  # nothing secret: the same seed, the same course
    steps = tuple(_steps(size, chance))
    return RotationProblem(
        people=(*_attendees(size, chance), *_staff(size)),
        duties=_DUTIES,
        steps=steps,
        walks=(
            Walk(one="pen", other="kitchen", minutes=4),
            Walk(one="trough", other="kitchen", minutes=3),
        ),
        caps=(Cap(name="wet work", duties=frozenset({"rinse", "wash"}), most_min=60),),
        meals=tuple(
            Meal(
                name="dinner",
                start=day * MINUTES_PER_DAY + 11 * 60 + 30,
                end=day * MINUTES_PER_DAY + 13 * 60 + 30,
                minutes=30,
            )
            for day in range(size.days)
        ),
        households={"h0": HouseholdWish.APART},
    )


def _steps(size: Size, chance: random.Random) -> Iterator[TimedStep]:
    kill_days = max(1, size.days - 2)
    per_day = -(-size.hogs // kill_days)
    for hog in range(size.hogs):
        turn = hog % per_day // size.lines
        start = (hog // per_day) * MINUTES_PER_DAY + 7 * 60 + 30 + 85 * turn
        yield from _stages(f"hog {hog + 1}", start, _KILL_DAY, chance, hog % size.lines)
    cut_day = size.days - 2 if size.days > 2 else size.days - 1
    for hog in range(size.hogs):
        turn = hog // max(1, 2 * size.lines)
        start = cut_day * MINUTES_PER_DAY + 8 * 60 + 130 * turn
        yield from _stages(f"hog {hog + 1}", start, _CUT_DAY, chance, hog % (2 * size.lines))
    for batch in range(max(1, size.attendees // 8)):
        turn, line = divmod(batch, max(1, size.lines + 1))
        start = (size.days - 1) * MINUTES_PER_DAY + (14 if size.days < 3 else 8) * 60 + 90 * turn
        yield from _stages(f"batch {batch + 1}", start, _KITCHEN, chance, line)


def _stages(
    what: str,
    start: int,
    stages: tuple[tuple[str, str, int, int, tuple[str, ...]], ...],
    chance: random.Random,
    line: int,
) -> Iterator[TimedStep]:
    kg = chance.uniform(18, 26)
    for name, station, after, lasts, duties in stages:
        yield TimedStep(
            id=f"{what}:{name}",
            name=f"{name}, {what}",
            station=f"{station} {line}" if line else station,
            start=start + after,
            end=start + after + lasts,
            duties=duties,
            place_loads=tuple(
                PlaceLoad(duty="chains", place=place, kg=kg * (1.0 if "fore" in place else 0.8))
                for place in CORNERS
                if "chains" in duties
            ),
            supervised=name in _SUPERVISED,
        )


def _attendees(size: Size, chance: random.Random) -> Iterator[PersonSpec]:
    days = _days(size)
    for number in range(size.attendees):
        limited = number >= 4 and chance.random() < 0.25
        wishes = {chance.choice(_DUTIES[1:]).id: chance.choice(list(Wish))}
        yield PersonSpec(
            id=f"a{number:02}",
            name=f"Attendee {number + 1}",
            household=f"h{number // 2}",
            limits=frozenset({chance.choice(list(Limit))} if limited else ()),
            knife=chance.choice((0, 1, 1, 2)),
            lift_kg=chance.choice((None, 22.0, 28.0, 35.0)),
            height_cm=float(chance.randint(155, 192)),
            wishes=tuple(wishes.items()) if chance.random() < 0.4 else (),
            present=days[1:] if number == 5 else days,
        )


def _staff(size: Size) -> Iterator[PersonSpec]:
    for number in range(size.helpers + 1):
        yield PersonSpec(
            id=f"s{number:02}",
            name="Lead" if number == 0 else f"Helper {number}",
            part=Part.HELPER if number else Part.LEAD,
            knife=3,
            present=_days(size),
        )


def _days(size: Size) -> tuple[Window, ...]:
    return tuple(
        Window(start=day * MINUTES_PER_DAY, end=(day + 1) * MINUTES_PER_DAY)
        for day in range(size.days)
    )
