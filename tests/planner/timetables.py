"""Small timetable problems for the tests: what a test does not name, it does not care about."""

from collections.abc import Iterable, Mapping
from typing import Any

from hypothesis import strategies as st

from scheduling.planner.problem import (
    Gap,
    Need,
    Pool,
    StationSpec,
    StepSpec,
    TimetableProblem,
    Window,
)

MORNING = Window(start=480, end=720)  # day 1, 08:00 to 12:00


def make_step(name: str, minutes: int = 30, **changes: Any) -> StepSpec:
    """A step at the bench on the first morning."""
    given = {"station": "bench", "windows": (MORNING,)} | changes
    return StepSpec(id=name, name=name.capitalize(), expected_min=minutes, **given)


def make_problem(
    *steps: StepSpec,
    gaps: Iterable[Gap] = (),
    pools: Iterable[Pool] = (),
    breaks: Iterable[Window] = (),
    stations: Iterable[StationSpec] = (),
    finish_by: Mapping[int, int] | None = None,
) -> TimetableProblem:
    """A problem with the stations its steps name; those not given hold ten steps at once."""
    given = {station.id: station for station in stations}
    named = {step.station: None for step in steps} | dict.fromkeys(given)
    roomy = (
        given.get(name) or StationSpec(id=name, name=name.capitalize(), capacity=10)
        for name in named
    )
    return TimetableProblem(
        stations=tuple(roomy),
        pools=tuple(pools),
        steps=steps,
        gaps=tuple(gaps),
        breaks=tuple(breaks),
        finish_by=finish_by or {},
    )


def full_problem() -> TimetableProblem:
    """Two hogs over two days with every feature: set-up, capacity, pool, rest, break, pin, gaps."""
    day_two = Window(start=1440 + 480, end=1440 + 1020)
    day_one = Window(start=480, end=1020)
    steps: list[StepSpec] = []
    gaps: list[Gap] = []
    for hog in ("hog 1", "hog 2"):
        chains = Need(pool="chains", amount=4, rest_min=30)
        steps += [
            make_step(f"kill of {hog}", 10, station="pen", windows=(day_one,), subject=hog),
            make_step(
                f"scald of {hog}",
                10,
                station="trough",
                windows=(day_one,),
                needs=(chains,),
                subject=hog,
            ),
            make_step(f"scrape of {hog}", 60, windows=(day_one,), subject=hog),
            make_step(
                f"chill of {hog}",
                900,
                station="cooler",
                windows=(day_one,),
                unattended=True,
                subject=hog,
            ),
            make_step(f"cutting of {hog}", 120, station="table", windows=(day_two,), subject=hog),
        ]
        gaps += [
            Gap(before=f"kill of {hog}", after=f"scald of {hog}", least_min=5, most_min=20),
            Gap(before=f"scald of {hog}", after=f"scrape of {hog}", most_min=10),
            Gap(before=f"scrape of {hog}", after=f"chill of {hog}", most_min=60),
            Gap(before=f"chill of {hog}", after=f"cutting of {hog}", carcass_waits=False),
        ]
    steps.append(
        make_step("meal", 60, station="kitchen", windows=(day_one, day_two), pinned_start=2220)
    )
    return make_problem(
        *steps,
        gaps=gaps,
        pools=(Pool(id="chains", name="people fit for the chains", capacity=5),),
        breaks=(Window(start=720, end=780),),
        stations=(
            StationSpec(id="trough", name="Trough", set_up_min=40),
            StationSpec(id="bench", name="Bench"),
            StationSpec(id="cooler", name="Cooler", capacity=2),
        ),
        finish_by={0: 640, 1: 2280},
    )


@st.composite
def small_problems(draw: st.DrawFn, *, longest: int = 300) -> TimetableProblem:
    """Any problem of up to six steps at two stations with breaks, gaps, a pool and a wish."""
    minutes = st.integers(5, 60)
    windows: tuple[tuple[Window, ...], ...] = (
        (Window(start=0, end=120),),
        (Window(start=0, end=longest),),
        (Window(start=60, end=max(130, longest - 100)), Window(start=1440, end=1640)),
    )
    steps = [
        make_step(
            f"step {number}",
            draw(minutes),
            station=draw(st.sampled_from(["bench", "rack"])),
            windows=draw(st.sampled_from(windows)),
            unattended=draw(st.integers(0, 4)) == 0,
            needs=draw(
                st.sampled_from(
                    [
                        (),
                        (Need(pool="hands", amount=2, rest_min=10),),
                        (Need(pool="hands", amount=1), Need(pool="hands", amount=1)),
                    ]
                )
            ),
        )
        for number in range(draw(st.integers(1, 6)))
    ]
    gaps = [
        Gap(
            before=f"step {first}",
            after=f"step {first + 1}",
            least_min=draw(st.integers(0, 20)),
            most_min=draw(st.sampled_from([None, 20, 200])),
            carcass_waits=draw(st.booleans()),
        )
        for first in range(len(steps) - 1)
        if draw(st.booleans())
    ]
    return make_problem(
        *steps,
        gaps=gaps,
        pools=[Pool(id="hands", name="hands", capacity=3)],
        breaks=draw(st.sampled_from([(), (Window(start=90, end=110),)])),
        stations=[
            StationSpec(id="bench", name="Bench", set_up_min=draw(st.sampled_from([0, 15]))),
            StationSpec(id="rack", name="Rack", capacity=2),
        ],
        finish_by=draw(st.sampled_from([{}, {0: 150}])),
    )
