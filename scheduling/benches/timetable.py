"""``manage.py bench timetable``: how soon the timetable planner has a plan, and how good it is.

``--published [FOLDER]`` solves published instances instead, beside a bare model and a
general-purpose library on the same solver (the folder may be set as GAMBREL_BENCHMARKS);
``--sets a,b``, ``--seconds N`` and ``--at-most N`` (instances a set) narrow it. ``--hogs 2,4``
narrows the invented days.
"""

from __future__ import annotations

import argparse
import importlib.util
import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from time import perf_counter

from django.conf import settings

from scheduling.benches import Write
from scheduling.benches.courses import kill_day
from scheduling.benches.published import (
    Instance,
    Known,
    Outcome,
    by_bare_model,
    by_library,
    by_planner,
    read_instance,
    read_known,
)
from scheduling.planner.check_timetable import check_timetable
from scheduling.planner.problem import TimetableProblem
from scheduling.planner.replan_times import replan
from scheduling.planner.timetable import TimetableAnswer, solve

SETS = (
    "rcpsp-j30",
    "rcpsp-j60",
    "rcpspmax-ubo10",
    "rcpspmax-j20",
    "rcpspmax-ubo20",
    "rcpspmax-ubo50",
    "rcpsp-j120",
)
GIVEN_UP_AFTER = 15.0  # seconds an instance, as asked for the largest set


def run(write: Write, words: Sequence[str]) -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(prog="bench timetable")
    parser.add_argument("--published", nargs="?", const=settings.BENCHMARKS, default=None)
    parser.add_argument("--sets", default=",".join(SETS))
    parser.add_argument("--seconds", type=float, default=GIVEN_UP_AFTER)
    parser.add_argument("--at-most", type=int, default=1000)
    parser.add_argument("--hogs", default="2,4,8,12")
    chosen = parser.parse_args(list(words))
    write(f"{os.cpu_count()} cores, one thread a solve; other work on the machine counts.")
    if chosen.published is None:
        _days(write, [int(word) for word in chosen.hogs.split(",")])
        _simulated(write)
    elif not Path(chosen.published).is_dir() or not chosen.published:
        write("No folder of instances: give it after --published, or set GAMBREL_BENCHMARKS.")
    else:
        _published(write, Path(chosen.published), chosen)


# --- invented days --------------------------------------------------------------------------


def _days(write: Write, numbers: Sequence[int]) -> None:
    write("\nInvented kill days (docs/timetable.md), goals in order: finish, then waiting.")
    write("hogs troughs   first plan   proved best   after 5 s          after 30 s         late")
    for hogs in numbers:
        for troughs in (1, 2):
            problem = kill_day(hogs, troughs=troughs)
            first = _first_plan(problem)
            short = solve(problem, seconds=5)
            full = short if _proved(short) else solve(problem, seconds=30)
            proof = f"{full.seconds:.2f} s" if _proved(full) else "not in 30 s"
            write(
                f"{hogs:4} {troughs:7}   {first:8.2f} s   {proof:11}   "
                f"{_quality(short):16}   {_quality(full):16}   {_late(problem, full)}"
            )


def _first_plan(problem: TimetableProblem) -> float:
    """Seconds to any plan that the checker passes, the making of the model included."""
    began = perf_counter()
    for seconds in (0.2, 0.4, 0.8, 1.6, 3.2):
        answer = solve(problem, seconds=seconds)
        if answer.starts:
            break
    took = perf_counter() - began
    faults = check_timetable(problem, answer.starts, answer.places)
    if faults:
        raise AssertionError(faults[0])
    return took


def _proved(answer: TimetableAnswer) -> bool:
    return bool(answer.goals) and all(goal.proved for goal in answer.goals)


def _quality(answer: TimetableAnswer) -> str:
    if _proved(answer):
        return "best"
    return ", ".join(
        f"{goal.name} best"
        if goal.proved
        else f"{goal.name} {100 * goal.gap:.1f} %"
        if goal.bound
        else f"{goal.name} {goal.value} min"
        for goal in answer.goals
    )


def _late(problem: TimetableProblem, answer: TimetableAnswer) -> str:
    """A third of the day is over, everything so far began 20 min late: how long to plan again."""
    starts = sorted(answer.starts.values())
    at, late = starts[len(starts) // 3], 20
    now = at + late
    minutes = {step.id: step.expected_min for step in problem.steps}
    actual: dict[str, tuple[int, int | None]] = {}
    for step, start in answer.starts.items():
        end = start + late + minutes[step]
        if start < at:
            actual[step] = (start + late, end if end <= now else None)
    began = perf_counter()
    again = replan(problem, answer.starts, actual, now, 2.0, places=answer.places)
    took = perf_counter() - began
    if again.faults():
        raise AssertionError(again.faults()[0])
    few = next(goal for goal in again.goals if goal.name == "moved")
    sure = "fewest" if few.proved else f"{few.bound} at least"
    return f"{took:.2f} s, {few.value} moved ({sure})"


def _simulated(write: Write) -> None:
    """Figures of the simulation stand in a bench of their own; this only points there."""
    if importlib.util.find_spec("scheduling.benches.simulate"):
        importlib.import_module("scheduling.benches.simulate").run(write, [])


# --- published instances --------------------------------------------------------------------


@dataclass(slots=True)
class _Sum:
    """What one way of solving did on one set."""

    reached: int = 0
    proved: int = 0
    seconds: float = 0.0
    in_all: float = 0.0
    gap: float = 0.0
    answers: list[Outcome] = field(default_factory=list)

    def add(self, outcome: Outcome, known: Known) -> None:
        self.reached += outcome.reaches(known)
        self.proved += outcome.proved
        self.seconds += outcome.seconds
        self.in_all += outcome.in_all
        self.gap += outcome.gap(known)
        self.answers.append(outcome)


Way = Callable[..., Outcome]


def _ways() -> dict[str, Way]:
    ways: dict[str, Way] = {"planner": by_planner, "bare model": by_bare_model}
    if importlib.util.find_spec("pyjobshop"):
        ways["PyJobShop"] = by_library
    return ways


def _published(write: Write, folder: Path, chosen: argparse.Namespace) -> None:
    ways = _ways()
    write(
        f"\nPublished instances, at most {chosen.seconds:g} s each; a negative gap is a better "
        "plan than the published one."
    )
    write("set              way          reached    proved     search s   in all s   mean gap")
    total = {way: _Sum() for way in ways}
    for name in chosen.sets.split(","):
        sums = {way: _Sum() for way in ways}
        count = 0
        for instance, known in _instances(folder / name, chosen.at_most):
            count += 1
            for way, solved_by in ways.items():
                outcome = solved_by(instance, seconds=chosen.seconds, workers=1)
                sums[way].add(outcome, known)
                total[way].add(outcome, known)
        for way, done in sums.items():
            write(
                f"{name:16} {way:12} {done.reached:3}/{count:<5} {done.proved:3}/{count:<5} "
                f"{done.seconds:9.2f}  {done.in_all:9.2f}   "
                f"{100 * done.gap / max(1, count):+7.2f} %"
            )
    _compared(write, total)


def _instances(folder: Path, most: int) -> Iterator[tuple[Instance, Known]]:
    for name, known in list(read_known(folder).items())[:most]:
        yield read_instance(folder / name), known


def _compared(write: Write, total: dict[str, _Sum]) -> None:
    mine = total["planner"]
    for way, other in total.items():
        if way != "planner" and other.answers:
            write(
                f"planner / {way}: search {mine.seconds / max(other.seconds, 1e-9):.2f}, "
                f"in all {mine.in_all / max(other.in_all, 1e-9):.2f}, "
                f"makespans {_makespans(mine, other):.4f}"
            )


def _makespans(mine: _Sum, other: _Sum) -> float:
    """The ratio of the summed makespans, over instances where both have one."""
    pairs = [
        (first.makespan, second.makespan)
        for first, second in zip(mine.answers, other.answers, strict=True)
        if first.makespan is not None and second.makespan is not None
    ]
    return sum(first for first, _ in pairs) / max(1, sum(second for _, second in pairs))
