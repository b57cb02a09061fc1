"""``manage.py bench simulate``: how many days a second are run, for two to twelve hogs.

The days are those of a made course (``course_of``): no database, so that only the planner counts.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from statistics import median
from time import perf_counter

from scheduling.benches import Write
from scheduling.planner.durations import Draws
from scheduling.planner.problem import (
    Gap,
    Need,
    Pool,
    StationSpec,
    StepSpec,
    TimetableProblem,
    Window,
)
from scheduling.planner.simulate import simulate

HOGS = (2, 4, 8, 12)
DRAWS = Draws(runs=2000)
REPEATS = 3
# Stage, station, minutes least, expected and most, hands, whether they rest half an hour after it.
WAY = (
    ("kill", "pen", (5, 10, 20), 2, False),
    ("scald", "trough", (6, 12, 20), 4, True),
    ("scrape", "bench", (45, 60, 90), 3, False),
    ("open", "rail", (20, 30, 45), 2, False),
)
HOG_EVERY_MIN = 80


def course_of(hogs: int) -> tuple[TimetableProblem, dict[str, int]]:
    """So many hogs through four stations, one every 80 min from eight; and that plan."""
    steps, gaps, starts = [], [], {}
    for hog in range(hogs):
        at, before = 480 + hog * HOG_EVERY_MIN, ""
        for name, station, (least, expected, most), hands, rests in WAY:
            step = StepSpec(
                id=f"{hog}:{name}",
                name=f"{name} of hog {hog}",
                station=station,
                least_min=least,
                expected_min=expected,
                most_min=most,
                windows=(Window(start=0, end=4000),),
                needs=(Need(pool="hands", amount=hands, rest_min=30 if rests else 0),),
            )
            steps.append(step)
            if before:
                gaps.append(Gap(before=before, after=step.id, most_min=30))
            starts[step.id], at, before = at, at + expected, step.id
    stations = (
        StationSpec(id="pen", name="Pen"),
        StationSpec(id="trough", name="Trough", set_up_min=20),
        StationSpec(id="bench", name="Bench"),
        StationSpec(id="rail", name="Rail"),
    )
    crew = Pool(id="hands", name="hands", capacity=14)
    problem = TimetableProblem(
        stations=stations, pools=(crew,), steps=tuple(steps), gaps=tuple(gaps)
    )
    return problem, starts


def runs_a_second(problem: TimetableProblem, starts: dict[str, int], draws: Draws = DRAWS) -> float:
    """Runs a second, the middle of three goes."""
    seconds = []
    for _ in range(REPEATS):
        begun = perf_counter()
        simulate(problem, starts, draws=draws)
        seconds.append(perf_counter() - begun)
    return draws.runs / median(seconds)


def run(write: Write, words: Sequence[str]) -> None:
    """Print one line for each number of hogs."""
    write(f"Simulate: {DRAWS.runs} runs, middle of {REPEATS} goes, {os.cpu_count()} cores.")
    for hogs in HOGS:
        problem, starts = course_of(hogs)
        speed = runs_a_second(problem, starts)
        write(f"{hogs:3} hogs, {len(problem.steps):3} steps: {speed:8.0f} runs a second")
