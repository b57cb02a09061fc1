"""The days of a plan run many times at once, each run with its own durations.

The people follow the run sheet: nothing starts before its posted time, each station and each pool
of hands serves the steps in the order of the plan, least gaps, set-ups and rests are kept, and a
pinned step starts no earlier than its pin (its posted time). Two rules say what a lead does who
sees the day slip:

* *Meals.* A step that is expected to run into a break waits until after it. One that was expected
  to be done in time and is not, runs on: a hot step is never cut, and its people eat late.
* *Holding back.* The first step of a chain that must not wait (the kill, before scald and scrape)
  is held back by as much as the latest step of its chain is expected to be late, as seen from what
  has been finished by then. Nobody knows a duration before it is over.

Every array is runs x steps, in the order of the plan; minutes are whole, so the checker's
arithmetic holds for each run.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from scheduling.planner.durations import Minutes
from scheduling.planner.errors import BadProblem
from scheduling.planner.problem import StepSpec, TimetableProblem
from scheduling.planner.timetable_network import Arc, gap_arcs, order_arcs

NOBODY = -1
"""In place of a step: it started at its posted time, and no step was the cause."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Runs:
    """When each step of each run starts and ends, and which step it last waited for."""

    steps: tuple[StepSpec, ...]
    start: Minutes
    end: Minutes
    waited_for: Minutes

    def starts_of(self, run: int) -> dict[str, int]:
        """The start times of one run, as the checker wants them."""
        return {step.id: int(self.start[run, n]) for n, step in enumerate(self.steps)}


@dataclass(slots=True)
class _Link:
    """``after`` starts at least ``lag`` minutes after ``before`` ends."""

    before: int
    lag: int


@dataclass(slots=True)
class _Store:
    """One station or pool: per run, when each unit comes free and which step held it.

    Both are packed in one whole number (free * size + holder + 1), so that one sort orders units
    by time and keeps their holders beside them.
    """

    units: Minutes
    size: int

    def taken(self, amount: int) -> tuple[Minutes, Minutes]:
        """When ``amount`` units are free at once, and the step that frees the last of them."""
        key = self.units[:, amount - 1]
        return key // self.size, key % self.size - 1

    def hold(self, amount: int, until: Minutes, step: int) -> None:
        """Give the units that came free first to a step."""
        self.units[:, :amount] = (until * self.size + step + 1)[:, None]
        self.units.sort(axis=1)


@dataclass(slots=True)
class _Course:
    """The plan in arrays and lists, by each step's place in the order of the plan."""

    problem: TimetableProblem
    steps: tuple[StepSpec, ...]
    plan: list[int]
    links: dict[int, list[_Link]] = field(default_factory=lambda: defaultdict(list))
    gaps_in: dict[int, list[_Link]] = field(default_factory=lambda: defaultdict(list))
    chains: dict[int, list[int]] = field(default_factory=dict)


def run_days(
    problem: TimetableProblem, starts: Mapping[str, int], minutes: Mapping[str, Minutes]
) -> Runs:
    """Run the plan once for each drawn day.

    start[s] = max(posted start; end[p] + least gap; unit free + set-up or rest; off the breaks),
    taken step by step in the order of the plan.

    Args:
        problem: what was planned.
        starts: the posted start of every step, minutes.
        minutes: drawn durations by step, each an array of one value a run, minutes above 0.

    Returns: starts, ends and causes of all runs.

    Raises: BadProblem when a step has no start or no drawn minutes.

    >>> from scheduling.planner.problem import Gap, StationSpec, Window
    >>> day = (Window(start=480, end=1020),)
    >>> scald = StepSpec(id="scald", name="Scald", station="t", expected_min=10, windows=day)
    >>> scrape = StepSpec(id="scrape", name="Scrape", station="b", expected_min=60, windows=day)
    >>> problem = TimetableProblem(stations=(StationSpec(id="t", name="Trough"),
    ...     StationSpec(id="b", name="Bench")), steps=(scald, scrape),
    ...     gaps=(Gap(before="scald", after="scrape"),))
    >>> runs = run_days(problem, {"scald": 500, "scrape": 510},
    ...                 {"scald": np.array([10, 25]), "scrape": np.array([60, 60])})
    >>> runs.starts_of(0), runs.starts_of(1)
    ({'scald': 500, 'scrape': 510}, {'scald': 500, 'scrape': 525})

    Source: serial schedule generation of project scheduling (from memory); the two rules of the
    lead are this house's own.
    """
    course = _course(problem, starts)
    missing = [step.name for step in course.steps if step.id not in minutes]
    if missing:
        raise BadProblem(f"{missing[0]} has no drawn minutes; draw them for every step.")
    return _Runner(course, np.stack([minutes[step.id] for step in course.steps], axis=1)).run()


def _course(problem: TimetableProblem, starts: Mapping[str, int]) -> _Course:
    missing = [step.name for step in problem.steps if step.id not in starts]
    if missing:
        raise BadProblem(f"{missing[0]} has no start; a plan of every step is needed.")
    # Of two steps posted for one minute the one that must come first is served first.
    depth = _depths(problem)
    steps = tuple(
        sorted(problem.steps, key=lambda step: (starts[step.id], depth[step.id], step.id))
    )
    course = _Course(problem=problem, steps=steps, plan=[starts[step.id] for step in steps])
    at = {step.id: n for n, step in enumerate(steps)}
    for gap in problem.gaps:
        course.gaps_in[at[gap.after]].append(_Link(before=at[gap.before], lag=gap.least_min))
    for arc in (*gap_arcs(problem), *order_arcs(problem, starts)):
        _link(course, arc, at)
    course.chains = _chains(problem, at)
    return course


def _depths(problem: TimetableProblem) -> dict[str, int]:
    """How many gaps lead to each step; gaps run one way, or the plan could not keep them."""
    depth = {step.id: 0 for step in problem.steps}
    for _ in problem.steps:
        moved = False
        for gap in problem.gaps:
            if depth[gap.after] <= depth[gap.before] < len(depth):
                depth[gap.after] = depth[gap.before] + 1
                moved = True
        if not moved:
            break
    return depth


def _link(course: _Course, arc: Arc, at: Mapping[str, int]) -> None:
    """Keep an arc that points forward in time; the longest gaps point back and are only watched."""
    before, after = at[arc.before], at[arc.after]
    if before < after:
        lag = arc.least_min - course.steps[before].expected_min
        course.links[after].append(_Link(before=before, lag=lag))


def _chains(problem: TimetableProblem, at: Mapping[str, int]) -> dict[int, list[int]]:
    """For each step that others must follow within a time, and that follows none so: the others."""
    follows: dict[str, list[str]] = defaultdict(list)
    bound = [gap for gap in problem.gaps if gap.most_min is not None]
    for gap in bound:
        follows[gap.before].append(gap.after)
    heads = {gap.before for gap in bound} - {gap.after for gap in bound}
    chains = {}
    for head in heads:
        found, waiting = set[str](), [head]
        while waiting:
            new = [name for name in follows[waiting.pop()] if name not in found]
            found.update(new)
            waiting += new
        chains[at[head]] = sorted(at[name] for name in found)
    return chains


class _Runner:
    """All runs side by side, one step after another."""

    def __init__(self, course: _Course, minutes: Minutes) -> None:
        self.course = course
        self.minutes = minutes
        self.runs, self.count = minutes.shape
        self.start = np.zeros_like(minutes)
        self.end = np.zeros_like(minutes)
        self.cause = np.full_like(minutes, NOBODY)
        self.stations = {
            station.id: self._store(station.capacity) for station in course.problem.stations
        }
        self.pools = {pool.id: self._store(pool.capacity) for pool in course.problem.pools}
        self.set_ups = {station.id: station.set_up_min for station in course.problem.stations}
        self.closed = [_closed(course.problem, step) for step in course.steps]

    def _store(self, capacity: int) -> _Store:
        units = np.zeros((self.runs, capacity), dtype=np.int64)
        return _Store(units=units, size=self.count + 1)

    def run(self) -> Runs:
        for n in range(self.count):
            self._serve(n)
        return Runs(steps=self.course.steps, start=self.start, end=self.end, waited_for=self.cause)

    def _serve(self, n: int) -> None:
        step = self.course.steps[n]
        start = np.full(self.runs, self.course.plan[n], dtype=np.int64)
        cause = np.full(self.runs, NOBODY, dtype=np.int64)
        for link in self.course.gaps_in[n]:
            start, cause = _later(start, cause, self.end[:, link.before] + link.lag, link.before)
        station = self.stations[step.station]
        start, cause = _later(start, cause, *station.taken(1))
        for need in step.needs:
            start, cause = _later(start, cause, *self.pools[need.pool].taken(need.amount))
        if n in self.course.chains:
            start, cause = self._held_back(n, start, cause)
        start = _off(self.closed[n], start, step.expected_min)
        end = start + self.minutes[:, n]
        station.hold(1, end + self.set_ups[step.station], n)
        for need in step.needs:
            self.pools[need.pool].hold(need.amount, end + need.rest_min, n)
        self.start[:, n], self.end[:, n], self.cause[:, n] = start, end, cause

    def _held_back(self, head: int, start: Minutes, cause: Minutes) -> tuple[Minutes, Minutes]:
        """Wait with the first step of a chain by as much as its latest step is expected late."""
        chain = self.course.chains[head]
        seen, roots = self._as_seen_at(start, head, until=max(chain))
        for n in chain:
            late = seen[n] - self.course.plan[n]
            held = self.course.plan[head] + late
            later = (held > start) & (late > 0)
            start = np.where(later, held, start)
            cause = np.where(later, roots[n], cause)
        return start, cause

    def _as_seen_at(
        self, now: Minutes, head: int, *, until: int
    ) -> tuple[dict[int, Minutes], dict[int, Minutes]]:
        """Expected starts of the steps to come, as a lead sees them who knows what is over.

        Also, for each, which step that was begun before makes it wait.
        """
        ends: dict[int, Minutes] = {}
        roots: dict[int, Minutes] = {}
        starts: dict[int, Minutes] = {}
        for n in range(head):
            expected = self.start[:, n] + self.course.steps[n].expected_min
            over = self.end[:, n] <= now
            ends[n] = np.where(over, self.end[:, n], np.maximum(expected, now))
            roots[n] = np.full(self.runs, n, dtype=np.int64)
        for n in range(head, until + 1):
            starts[n] = np.full(self.runs, self.course.plan[n], dtype=np.int64)
            roots[n] = np.full(self.runs, NOBODY, dtype=np.int64)
            for link in self.course.links[n]:
                later = ends[link.before] + link.lag
                starts[n], roots[n] = _later(starts[n], roots[n], later, roots[link.before])
            expected_min = self.course.steps[n].expected_min
            starts[n] = _off(self.closed[n], starts[n], expected_min)
            ends[n] = starts[n] + expected_min
        return starts, roots


def _later(
    start: Minutes, cause: Minutes, candidate: Minutes, by: int | Minutes
) -> tuple[Minutes, Minutes]:
    """The later of two starts and its cause; a step goes before the clock when they are equal."""
    takes = (candidate > start) | ((candidate == start) & (cause == NOBODY))
    return np.where(takes, candidate, start), np.where(takes, by, cause)


def _off(spans: list[tuple[int, int]], start: Minutes, expected_min: int) -> Minutes:
    """The start, moved behind each closed stretch that the step is expected to run into."""
    for begin, until in spans:
        hits: NDArray[np.bool_] = (start < until) & (start + expected_min > begin)
        start = np.where(hits, until, start)
    return start


def _closed(problem: TimetableProblem, step: StepSpec) -> list[tuple[int, int]]:
    """When a step may not be under way: breaks, and the time between two of its windows.

    After its last window it is done all the same: the day then runs late, which is counted.
    """
    windows = sorted((window.start, window.end) for window in step.windows)
    between = [(first[1], second[0]) for first, second in pairwise(windows) if first[1] < second[0]]
    if step.unattended:
        return [(begin + step.expected_min, until) for begin, until in between]
    return sorted([*between, *((pause.start, pause.end) for pause in problem.breaks)])
