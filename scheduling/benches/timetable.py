"""How fast and how well the timetable is planned: kill days of 2 to 12 hogs, and published work."""

from __future__ import annotations

import argparse
import os
import time
from collections.abc import Mapping, Sequence
from pathlib import Path
from statistics import mean

from scheduling.benches import Write, simulate
from scheduling.benches.courses import kill_day
from scheduling.benches.published import (
    Outcome,
    by_bare_model,
    by_library,
    by_planner,
    read_instance,
    read_known,
)
from scheduling.planner import timetable
from scheduling.planner.answer import Status
from scheduling.planner.problem import TimetableProblem
from scheduling.planner.replan_times import replan

FOLDER = "GAMBREL_BENCHMARKS"
SETS = (
    "rcpsp-j30",
    "rcpsp-j60",
    "rcpspmax-j20",
    "rcpspmax-ubo10",
    "rcpspmax-ubo20",
    "rcpspmax-ubo50",
    "rcpsp-j120",
)
WAYS = {"planner": by_planner, "bare model": by_bare_model, "library": by_library}
LATE_MIN = 20


def run(write: Write, words: Sequence[str]) -> None:
    """Kill days by default; ``--published [SET ...]`` the published sets instead."""
    parser = argparse.ArgumentParser(prog="bench timetable")
    parser.add_argument("--published", nargs="*", metavar="SET", choices=SETS)
    parser.add_argument("--seconds", type=float, default=15.0, help="the most for one instance")
    parser.add_argument("--workers", type=int, default=1, help="search threads")
    parser.add_argument("--hogs", type=int, nargs="*", default=[2, 4, 8, 12])
    options = parser.parse_args(list(words))
    write(f"{os.cpu_count()} cores, {options.workers} search thread(s), for every way alike.")
    if options.published is None:
        _kill_days(write, options.hogs)
        simulate.run(write, [])
    else:
        for name in options.published or SETS:
            _published(write, name, seconds=options.seconds, workers=options.workers)


# --- kill days ----------------------------------------------------------------------------------


def _kill_days(write: Write, hogs: Sequence[int]) -> None:
    write("hogs troughs steps   to the end       proved   gap at 5 s  gap at 30 s  late re-plan")
    for count in hogs:
        for troughs in (1, 2):
            problem = kill_day(count, troughs=troughs, wide=count > 4)
            short = timetable.solve(problem, seconds=5.0)
            done = short.status is Status.PROVED_BEST
            long = short if done else timetable.solve(problem, seconds=30.0)
            write(
                f"{count:4d} {troughs:7d} {len(problem.steps):5d} {long.seconds:10.2f} s"
                f" {long.status.value:>13}{_gap(short):11.1%} {_gap(long):11.1%}"
                f"   {_late(problem, long.starts)}"
            )


def _gap(answer: timetable.TimetableAnswer) -> float:
    """The largest gap of a goal to its bound, as a share of the bound; 1 without a plan."""
    return max((goal.gap for goal in answer.goals), default=1.0) if answer.starts else 1.0


def _late(problem: TimetableProblem, starts: Mapping[str, int]) -> str:
    """A third through the day the step that runs is not over, twenty minutes after its end."""
    if not starts:
        return "no plan"
    steps = [step for step in problem.steps if step.id in starts]
    steps.sort(key=lambda step: starts[step.id])
    late = steps[len(steps) // 3]
    now = starts[late.id] + late.expected_min + LATE_MIN
    actual: dict[str, tuple[int, int | None]] = {late.id: (starts[late.id], None)}
    for step in steps:
        end = starts[step.id] + step.expected_min
        if end <= starts[late.id]:
            actual[step.id] = (starts[step.id], end)
    began = time.perf_counter()
    again = replan(problem, starts, actual, now, seconds=2.0)
    return f"{time.perf_counter() - began:5.2f} s. {again.sentence()}"


# --- published ----------------------------------------------------------------------------------


def _published(write: Write, name: str, *, seconds: float, workers: int) -> None:
    if FOLDER not in os.environ:
        write(f"Set {FOLDER} to the folder that holds the published sets.")
        return
    folder = Path(os.environ[FOLDER]) / name
    known = read_known(folder)
    outcomes: dict[str, dict[str, Outcome]] = {way: {} for way in WAYS}
    for file in known:
        instance = read_instance(folder / file)
        for way, solve in WAYS.items():
            outcomes[way][file] = solve(instance, seconds=seconds, workers=workers)
    for way, rows in outcomes.items():
        reached = sum(outcome.reaches(known[file]) for file, outcome in rows.items())
        gap = mean(outcome.gap(known[file]) for file, outcome in rows.items())
        write(
            f"{name:15} {way:10} {_seconds(rows):7.1f} s"
            f"  at the best known {reached}/{len(rows)}  mean gap {gap:6.2%}"
        )
    planner = _seconds(outcomes["planner"])
    write(
        f"{name:15} planner : bare model {planner / _seconds(outcomes['bare model']):.2f} in time,"
        f" planner : library {planner / _seconds(outcomes['library']):.2f}"
    )


def _seconds(rows: Mapping[str, Outcome]) -> float:
    return sum(outcome.seconds for outcome in rows.values())
