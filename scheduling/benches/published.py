"""Published project-scheduling instances, through the planner and beside others on the same solver.

Read are PSPLIB's single-mode format (``.sm``: R. Kolisch and A. Sprecher, "PSPLIB - a project
scheduling problem library", European Journal of Operational Research 96, 1997) and ProGen/max's
(``.sch``: C. Schwindt, 1998; least and longest time lags). An activity is a step, a resource a
pool; lags run from start to start. ``known.csv`` beside the instances gives the best known
makespan: a number where proved, ``a..b`` for the best bounds, ``unsat`` where none exists.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter

from ortools.sat.python import cp_model

from scheduling.planner.answer import Status
from scheduling.planner.check_timetable import check_timetable
from scheduling.planner.problem import (
    Gap,
    Need,
    Pool,
    StationSpec,
    StepSpec,
    TimetableProblem,
    Window,
)
from scheduling.planner.timetable import solve

ANYWHERE = "anywhere"


@dataclass(frozen=True, slots=True, kw_only=True)
class Instance:
    """One project: activities with minutes and needs, capacities, lags from start to start."""

    name: str
    minutes: tuple[int, ...]
    needs: tuple[tuple[int, ...], ...]
    capacities: tuple[int, ...]
    lags: tuple[tuple[int, int, int], ...]
    earliest: tuple[int, ...]

    @property
    def horizon(self) -> int:
        """If any plan exists, one ends by then: each activity, or its longest lag, in turn."""
        longest = list(self.minutes)
        for before, _, lag in self.lags:
            longest[before] = max(longest[before], lag)
        return sum(longest) + max(self.earliest, default=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What is published: the best makespan (None: no plan exists) and whether it is proved."""

    best: int | None
    proved: bool


def read_known(folder: Path) -> dict[str, Known]:
    """The published values of a folder's instances, by file name."""
    with (folder / "known.csv").open(encoding="utf-8") as lines:
        rows = list(csv.DictReader(lines))
    found = {}
    for row in rows:
        text = row["best_known"]
        best = None if text == "unsat" else int(text.split("..")[-1])
        found[row["instance"]] = Known(best=best, proved=".." not in text)
    return found


def read_instance(path: Path) -> Instance:
    """Read a file by its ending. Raises ``ValueError`` for another ending or a broken file."""
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".sm":
        return _read_sm(path.name, text)
    if path.suffix == ".sch":
        return _read_sch(path.name, text)
    raise ValueError(f"{path.name}: an instance ends in .sm or .sch.")


def _numbers(lines: str) -> list[list[int]]:
    rows = [[int(word) for word in re.findall(r"-?\d+", line)] for line in lines.splitlines()]
    return [row for row in rows if row]


def _read_sm(name: str, text: str) -> Instance:
    """Jobs 1 and n are the start and the end; both last no time."""
    after = _numbers(text.split("successors")[-1].split("*")[0])
    jobs = _numbers(text.split("REQUESTS/DURATIONS:")[1].split("----\n")[-1].split("*")[0])
    capacities = _numbers(text.split("RESOURCEAVAILABILITIES:")[1])[-1]
    last = len(jobs)
    inner = [row for row in jobs if row[0] not in (1, last)]
    minutes = {row[0]: row[2] for row in jobs}
    return Instance(
        name=name,
        minutes=tuple(row[2] for row in inner),
        needs=tuple(tuple(row[3:]) for row in inner),
        capacities=tuple(capacities),
        lags=tuple(
            (row[0] - 2, other - 2, minutes[row[0]])
            for row in after
            for other in row[3:]
            if row[0] != 1 and other != last
        ),
        earliest=(0,) * len(inner),
    )


def _read_sch(name: str, text: str) -> Instance:
    """Activities 0 and n + 1 are the start and the end; lags stand in brackets after the names."""
    rows = _numbers(text)
    count = rows[0][0]
    arcs = [
        (row[0], other, lag)
        for row in rows[1 : count + 3]
        for other, lag in zip(row[3 : 3 + row[2]], row[3 + row[2] :], strict=True)
    ]
    jobs = rows[count + 3 : 2 * count + 5]
    minutes = {row[0]: row[2] for row in jobs}
    earliest = dict.fromkeys(minutes, 0)
    for before, after, lag in arcs:
        if before == 0:
            earliest[after] = max(earliest[after], lag)
        if after == 0 or (after == count + 1 and lag != minutes[before]):
            raise ValueError(f"{name}: a lag to the start or a tail at the end is not read here.")
    inner = range(1, count + 1)
    return Instance(
        name=name,
        minutes=tuple(minutes[job] for job in inner),
        needs=tuple(tuple(jobs[job][3:]) for job in inner),
        capacities=tuple(rows[2 * count + 5]),
        lags=tuple(
            (before - 1, after - 1, lag)
            for before, after, lag in arcs
            if before != 0 and after != count + 1
        ),
        earliest=tuple(earliest[job] for job in inner),
    )


def as_timetable(instance: Instance) -> TimetableProblem:
    """The instance as the planner sees it: one day, every activity attended, no waiting counted."""
    if instance.horizon > 1439:
        raise ValueError(f"{instance.name} may last {instance.horizon}; a day has 1439 min.")
    return TimetableProblem(
        stations=(
            StationSpec(id=ANYWHERE, name="Anywhere", capacity=max(1, len(instance.minutes))),
        ),
        pools=tuple(
            Pool(id=f"r{number}", name=f"resource {number}", capacity=capacity)
            for number, capacity in enumerate(instance.capacities)
        ),
        steps=tuple(
            StepSpec(
                id=f"a{job}",
                name=f"activity {job}",
                station=ANYWHERE,
                expected_min=minutes,
                windows=(Window(start=instance.earliest[job], end=instance.horizon),),
                needs=tuple(
                    Need(pool=f"r{number}", amount=amount)
                    for number, amount in enumerate(instance.needs[job])
                    if amount
                ),
            )
            for job, minutes in enumerate(instance.minutes)
        ),
        gaps=tuple(
            Gap(
                before=f"a{before}",
                after=f"a{after}",
                least_min=lag - instance.minutes[before],
                carcass_waits=False,
            )
            for before, after, lag in instance.lags
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """How one way of solving did on one instance: the makespan (None without a plan) and the time.

    ``seconds`` are the solver's, ``in_all`` those from the instance to the answer: the making of
    the model too, and what is done before and after the search.
    """

    makespan: int | None
    proved: bool
    seconds: float
    in_all: float = 0.0

    def reaches(self, known: Known) -> bool:
        """Whether it found what is published: that makespan or better, or the proof of none."""
        if known.best is None:
            return self.makespan is None and self.proved
        return self.makespan is not None and self.makespan <= known.best

    def gap(self, known: Known) -> float:
        """By how much it is above the best known, relative to it; 1 without a plan."""
        if known.best is None:
            return 0.0 if self.reaches(known) else 1.0
        return 1.0 if self.makespan is None else (self.makespan - known.best) / known.best


def by_planner(instance: Instance, *, seconds: float, workers: int) -> Outcome:
    """Through the timetable planner; its plan is re-checked without the solver.

    Counted is the time to the plan or to the proof that there is none, not the time in which it
    finds out which demands clash, for no other tool here does that.
    """
    began = perf_counter()
    problem = as_timetable(instance)
    answer = solve(problem, seconds=seconds, workers=workers)
    in_all = perf_counter() - began - answer.explaining_seconds
    if not answer.starts:
        return Outcome(
            makespan=None,
            proved=answer.status is Status.IMPOSSIBLE,
            seconds=answer.seconds - answer.explaining_seconds,
            in_all=in_all,
        )
    faults = check_timetable(problem, answer.starts, answer.places)
    if faults:
        raise AssertionError(f"{instance.name}: {faults[0]}")
    return Outcome(
        makespan=answer.finish[0],
        proved=answer.status is Status.PROVED_BEST,
        seconds=answer.seconds,
        in_all=in_all,
    )


def by_bare_model(instance: Instance, *, seconds: float, workers: int) -> Outcome:
    """The barest model on the same solver: intervals, lags, cumulatives, the makespan."""
    began = perf_counter()
    model = cp_model.CpModel()
    starts = [
        model.new_int_var(earliest, instance.horizon - minutes, "")
        for earliest, minutes in zip(instance.earliest, instance.minutes, strict=True)
    ]
    stretches = [
        model.new_fixed_size_interval_var(start, minutes, "")
        for start, minutes in zip(starts, instance.minutes, strict=True)
    ]
    for before, after, lag in instance.lags:
        model.add(starts[after] >= starts[before] + lag)
    for number, capacity in enumerate(instance.capacities):
        model.add_cumulative(stretches, [need[number] for need in instance.needs], capacity)
    makespan = model.new_int_var(0, instance.horizon, "")
    for start, minutes in zip(starts, instance.minutes, strict=True):
        model.add(makespan >= start + minutes)
    model.minimize(makespan)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    outcome = solver.solve(model)
    found = outcome in {cp_model.OPTIMAL, cp_model.FEASIBLE}
    return Outcome(
        makespan=solver.value(makespan) if found else None,
        proved=outcome in {cp_model.OPTIMAL, cp_model.INFEASIBLE},
        seconds=solver.wall_time,
        in_all=perf_counter() - began,
    )


def by_library(instance: Instance, *, seconds: float, workers: int) -> Outcome:
    """PyJobShop, a general-purpose scheduling library on the same solver.

    Raises ``ModuleNotFoundError`` where it is not installed: it is for development only.
    """
    from pyjobshop import Model, SolveStatus  # type: ignore[import-untyped]  # it ships none; for development only

    began = perf_counter()
    model = Model()
    resources = [model.add_renewable(capacity=capacity) for capacity in instance.capacities]
    tasks = [model.add_task(earliest_start=earliest) for earliest in instance.earliest]
    for job, task in enumerate(tasks):
        model.add_mode(
            task, resources, duration=instance.minutes[job], demands=list(instance.needs[job])
        )
    for before, after, lag in instance.lags:
        model.add_start_before_start(tasks[before], tasks[after], delay=lag)
    try:
        result = model.solve(
            solver="ortools", time_limit=seconds, display=False, num_workers=workers
        )
    except ValueError:  # it refuses to start where an activity needs more than there is
        return Outcome(makespan=None, proved=True, seconds=0.0)
    found = result.status in {SolveStatus.OPTIMAL, SolveStatus.FEASIBLE}
    return Outcome(
        makespan=round(result.objective) if found else None,
        proved=result.status in {SolveStatus.OPTIMAL, SolveStatus.INFEASIBLE},
        seconds=result.runtime,
        in_all=perf_counter() - began,
    )
