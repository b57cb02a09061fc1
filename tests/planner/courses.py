"""Made-up courses for the rotation: a demo-like one, seeded, and small random ones."""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping
from typing import Any

from hypothesis import strategies as st

from scheduling.planner.problem import (
    MINUTES_PER_DAY,
    DutySpec,
    FilledBy,
    Limit,
    Part,
    PersonSpec,
    Placed,
    PlaceLoad,
    RotationProblem,
    TimedStep,
    Window,
)
from scheduling.planner.rotation_problem import Cap, Concern, HouseholdWish, Meal, Walk, Wish
from scheduling.planner.rule import Rule

CORNERS = ("fore-left", "fore-right", "hind-left", "hind-right")
OLD_ENOUGH_TO_LIFT = frozenset({Limit.NO_LIFTING, Limit.SEATED_ONLY, Limit.UNDER_18})
HOT = frozenset({Limit.NO_HOT_WATER})
KILL = frozenset({Limit.AWAY_FROM_KILL})
SHARP = frozenset({Limit.NO_KNIVES})


def person(name: str, **changes: Any) -> PersonSpec:
    """An attendee who may do everything and is here all the time, unless told otherwise."""
    given = {"present": (Window(start=0, end=10 * MINUTES_PER_DAY),), **changes}
    return PersonSpec(id=name, name=name.capitalize(), **given)


def duty(name: str, least: int = 1, most: int | None = None, **changes: Any) -> DutySpec:
    """A core duty for attendees; as many hands at most as at least, unless told otherwise."""
    return DutySpec(
        id=name, name=name.capitalize(), least=least, most=most or max(1, least), **changes
    )


def step(
    name: str,
    start: int,
    end: int,
    *duties: str,
    loads: Mapping[tuple[str, str], float] | None = None,
    supervised: bool = False,
) -> TimedStep:
    """A step at a station of its own name; loads in kg by (duty, place)."""
    return TimedStep(
        id=name,
        name=name.capitalize(),
        station=name,
        start=start,
        end=end,
        duties=duties,
        supervised=supervised,
        place_loads=tuple(
            PlaceLoad(duty=duty, place=place, kg=kg) for (duty, place), kg in (loads or {}).items()
        ),
    )


def chains(name: str = "chains", **changes: Any) -> DutySpec:
    """The chain crew: heavy, four named places, for grown people who may lift."""
    return duty(name, 4, places=CORNERS, heavy=True, ruled_out_by=OLD_ENOUGH_TO_LIFT, **changes)


def rotation(
    people: Iterable[PersonSpec],
    duties: Iterable[DutySpec],
    steps: Iterable[TimedStep],
    **changes: Any,
) -> RotationProblem:
    """A rotation of these."""
    return RotationProblem(
        people=tuple(people), duties=tuple(duties), steps=tuple(steps), **changes
    )


def lock(step: str, duty: str, person: str, place: str = "") -> Placed:
    """A placement asked for or told."""
    return Placed(step=step, duty=duty, person=person, place=place)


# --- a course like the demo -----------------------------------------------------------------

_DUTIES = (
    duty("stick", filled_by=FilledBy.LEAD, core=False),
    duty("hold", 1, 2, ruled_out_by=KILL),
    duty("rinse", 1, 2, ruled_out_by=KILL),
    chains(),
    duty("thermometer"),
    duty("timer"),
    duty("buckets", 1, 2, ruled_out_by=HOT | {Limit.NO_LIFTING, Limit.SEATED_ONLY}),
    duty("watch", filled_by=FilledBy.STAFF, core=False),
    duty("scrape", 4, 6, ruled_out_by=frozenset({Limit.SEATED_ONLY})),
    duty("hoist", 3, 4, heavy=True, ruled_out_by=OLD_ENOUGH_TO_LIFT),
    duty("open", 1, 2, ruled_out_by=SHARP, knife_floor=1),
    duty("guide", filled_by=FilledBy.STAFF, core=False),
    duty("split", 2, ruled_out_by=SHARP | {Limit.UNDER_18}, knife_floor=1),
    duty("wash", 1, 2),
    duty("halve", 2, heavy=True, ruled_out_by=OLD_ENOUGH_TO_LIFT),
    duty("cut", 3, 4, ruled_out_by=SHARP),
    duty("trim", 2, 3, ruled_out_by=SHARP),
    duty("cure", 2, 3),
    duty("grind", 2, 3),
    duty("stuff", 2, 3),
    duty("render", 1, 2, ruled_out_by=HOT),
    duty("cook", 2, 4),
)

# Stage, minutes from the hog's start, minutes long, duties.
_KILL_DAY = (
    ("kill", 0, 10, ("stick", "hold")),
    ("bleed", 10, 10, ("rinse",)),
    ("lower", 20, 5, ("chains", "thermometer", "timer")),
    ("scald", 25, 10, ("watch", "thermometer", "timer", "buckets")),
    ("lift", 35, 5, ("hoist", "watch")),
    ("scrape", 40, 30, ("scrape", "watch")),
    ("hang", 75, 10, ("hoist",)),
    ("open", 85, 30, ("guide", "open")),
    ("split", 115, 20, ("split", "guide")),
    ("wash", 135, 15, ("wash",)),
)
_CUT_DAY = (
    ("halve", 0, 20, ("halve", "guide")),
    ("primals", 20, 60, ("cut",)),
    ("trim", 80, 45, ("trim", "cure")),
)
_KITCHEN = (
    ("grind", 0, 60, ("grind",)),
    ("render", 0, 90, ("render",)),
    ("stuff", 75, 60, ("stuff", "guide")),
    ("cook", 150, 90, ("cook", "watch")),
)


def demo_course(
    *, attendees: int = 14, hogs: int = 3, kitchens: int = 2, seed: int = 1
) -> RotationProblem:
    """Three days: kill, break-down, kitchen; people of mixed limits; one comes on day two."""
    steps = [
        *_stages("kill", 0, range(8 * 60, 8 * 60 + 75 * hogs, 75), _KILL_DAY),
        *_stages("cut", 1, range(9 * 60, 9 * 60 + 90 * hogs, 90), _CUT_DAY),
        *_stages("kitchen", 2, range(8 * 60, 8 * 60 + 60 * kitchens, 60), _KITCHEN),
    ]
    return RotationProblem(people=_people(attendees, seed), duties=_DUTIES, steps=tuple(steps))


def _stages(
    what: str,
    day: int,
    starts: Iterable[int],
    stages: tuple[tuple[str, int, int, tuple[str, ...]], ...],
) -> list[TimedStep]:
    return [
        TimedStep(
            id=f"{what}{number}:{name}",
            name=f"{name.capitalize()} {number}",
            station=name,
            start=day * MINUTES_PER_DAY + start + after,
            end=day * MINUTES_PER_DAY + start + after + lasts,
            duties=duties,
        )
        for number, start in enumerate(starts, start=1)
        for name, after, lasts, duties in stages
    ]


def _people(attendees: int, seed: int) -> tuple[PersonSpec, ...]:
    chance = random.Random(seed)
    days = tuple(
        Window(start=day * MINUTES_PER_DAY, end=(day + 1) * MINUTES_PER_DAY) for day in range(3)
    )
    limits = [frozenset[Limit]()] * attendees
    limits[1] = frozenset({Limit.UNDER_18})
    limits[2] = frozenset({Limit.NO_LIFTING})
    limits[3] = frozenset({Limit.AWAY_FROM_KILL})
    limits[4] = frozenset({Limit.NO_KNIVES, Limit.NO_HOT_WATER})
    for late in range(14, attendees):
        limits[late] = frozenset(chance.sample(list(Limit), chance.choice((0, 0, 1))))
    learners = [
        person(
            f"a{number:02}",
            limits=limits[number],
            knife=chance.choice((0, 1, 1, 2)),
            lift_kg=chance.choice((None, 15.0, 25.0)),
            present=days[1:] if number == 5 else days,
        )
        for number in range(attendees)
    ]
    staff = [
        person("lead", part=Part.LEAD, knife=3, present=days),
        person("helper1", part=Part.HELPER, knife=3, present=days),
        person("helper2", part=Part.HELPER, knife=2, present=days),
    ]
    return (*learners, *staff)


# --- small random courses -------------------------------------------------------------------


@st.composite
def small_courses(draw: st.DrawFn) -> RotationProblem:
    """Two to six people, up to five short steps; about half of them cannot be."""
    duties = [draw(_small_duty(f"d{number}")) for number in range(draw(st.integers(1, 3)))]
    names = [one.id for one in duties]
    loads = {
        (one.id, place): draw(st.sampled_from((10.0, 18.0, 28.0)))
        for one in duties
        for place in one.places
    }
    steps = [
        step(
            f"s{number}",
            start,
            start + draw(st.sampled_from((10, 20, 30))),
            *wanted,
            loads={key: kg for key, kg in loads.items() if key[0] in wanted},
            supervised=draw(st.sampled_from((False, False, False, True))),
        )
        for number in range(draw(st.integers(1, 5)))
        for start in [draw(st.sampled_from((0, 10, 20, 40, 60)))]
        for wanted in [draw(st.lists(st.sampled_from(names), unique=True, max_size=2))]
    ]
    people = [draw(_small_person(f"p{number}", names)) for number in range(draw(st.integers(2, 6)))]
    asked = [lock(one.id, name, who.id) for one in steps for name in one.duties for who in people]
    some = st.lists(st.sampled_from(asked), max_size=2, unique=True) if asked else st.just([])
    return rotation(
        people,
        duties,
        steps,
        locks=tuple(draw(some)),
        posted=tuple(draw(some)),
        keep_posted=draw(st.booleans()),
        done=frozenset(draw(st.sets(st.sampled_from([("p0", "d0"), ("p1", "d0")])))),
        rest_after_heavy_min=draw(st.sampled_from((0, 10, 30))),
        now=draw(st.sampled_from((None, None, 15, 45))),
        walks=draw(
            st.sampled_from(((), tuple(Walk(one="s0", other=f"s{n}", minutes=5) for n in (1, 2))))
        ),
        caps=draw(st.sampled_from(((), (Cap(name="wet", duties=frozenset({"d0"}), most_min=30),)))),
        meals=draw(st.sampled_from(((), (Meal(name="dinner", start=20, end=60, minutes=15),)))),
        households=draw(st.sampled_from(({}, *({"h": wish} for wish in HouseholdWish)))),
        learners_per_mentor=draw(st.integers(1, 2)),
        off=frozenset(draw(st.sets(st.sampled_from([r for r in Rule if r.may_be_switched_off])))),
        order=tuple(draw(st.permutations(list(Concern)))),
    )


@st.composite
def _small_duty(draw: st.DrawFn, name: str) -> DutySpec:
    least = draw(st.integers(0, 2))
    named = draw(st.booleans()) and least == 2
    return duty(
        name,
        least,
        2 if named else max(1, least + draw(st.integers(0, 1))),
        places=("left", "right") if named else (),
        across=(("left", "right"),) if named else (),
        filled_by=draw(st.sampled_from((FilledBy.ATTENDEES,) * 4 + (FilledBy.STAFF,))),
        heavy=draw(st.booleans()),
        sharp=draw(st.sampled_from((False, False, True))),
        dirty=draw(st.booleans()),
        ruled_out_by=frozenset(draw(st.sets(st.sampled_from(list(Limit)), max_size=1))),
        knife_floor=draw(st.sampled_from((0, 0, 1))),
        lift_floor_kg=draw(st.sampled_from((0.0, 0.0, 20.0))),
        core=draw(st.booleans()),
    )


@st.composite
def _small_person(draw: st.DrawFn, name: str, duties: list[str]) -> PersonSpec:
    return person(
        name,
        household=draw(st.sampled_from(("", "h"))),
        wishes=tuple(
            draw(st.dictionaries(st.sampled_from(duties), st.sampled_from(list(Wish)))).items()
        ),
        part=draw(st.sampled_from((Part.ATTENDEE,) * 4 + (Part.HELPER, Part.LEAD))),
        limits=frozenset(draw(st.sets(st.sampled_from(list(Limit)), max_size=1))),
        knife=draw(st.integers(0, 2)),
        lift_kg=draw(st.sampled_from((None, 15.0, 25.0))),
        height_cm=draw(st.sampled_from((None, 150.0, 180.0))),
        present=draw(
            st.sampled_from(
                (
                    (Window(start=0, end=200),),
                    (Window(start=0, end=200),),
                    (Window(start=15, end=200),),
                    (Window(start=0, end=20), Window(start=20, end=50)),
                )
            )
        ),
    )
