"""The days of a plan run many times at once, each run with its own durations.

The people follow the run sheet. Nothing starts before its posted time, but for a step that must
follow within a longest gap and is called when the one before it is over early (a pinned step is
not: its pin is an earliest start). Each station serves the steps in the order of the plan. Hands go
to whichever step is ready first, which keeps those it has until it has them all. Least gaps,
set-ups, rests and capacities are kept. Two rules say what a lead does who sees the day slip:

* *Meals.* A step that is expected to run into a break by more than a few minutes waits until after
  it, unless it would then break a longest gap: a carcass that must not wait goes before the meal,
  and a hot step is never cut. Its people eat late.
* *Holding back.* The first step of a chain that must not wait (the kill, before scald and scrape)
  is held back by as much as the latest step of its chain is expected to be late, as seen from what
  is over by then. Nobody knows a duration before it is over.

Arrays are runs x steps, steps in the order of the plan; minutes are whole, so the checker's
arithmetic holds for each run. ``day_network.py`` lays the plan out for this.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scheduling.planner.day_network import NEVER, Course, Shares, lay_out
from scheduling.planner.durations import Minutes
from scheduling.planner.errors import BadProblem
from scheduling.planner.problem import StepSpec, TimetableProblem

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


def run_days(
    problem: TimetableProblem,
    starts: Mapping[str, int],
    minutes: Mapping[str, Minutes],
    *,
    begun: Mapping[str, int] | None = None,
    now: int = 0,
) -> Runs:
    """Run the plan once for each drawn day.

    start[s] = max(posted start; end[p] + least gap; place free + set-up; hands free and rested),
    moved off the breaks, taken in the order in which the steps of that run are ready.

    Args:
        problem: what was planned.
        starts: the posted start of every step, minutes.
        minutes: drawn durations by step, each an array of one value a run, minutes above 0.
        begun: when steps really started that have, whatever was posted and the rules say.
        now: the minute before which nothing else starts.

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

    Source: parallel schedule generation of project scheduling (from memory); the two rules of the
    lead are this house's own.
    """
    begun = begun or {}
    floors = {code: begun.get(code, max(start, now)) for code, start in starts.items()}
    course = lay_out(problem, floors, order=starts)
    missing = [step.name for step in course.steps if step.id not in minutes]
    if missing:
        raise BadProblem(f"{missing[0]} has no drawn minutes; draw them for every step.")
    drawn = np.stack([minutes[step.id] for step in course.steps], axis=1)
    return _Runner(course, drawn, frozenset(begun)).run()


class _Units:
    """Places of the stations, or units of one pool: per run, when each is free, and after what.

    Both are packed in one whole number (free * size + holder + 1), so that one sort orders the
    units by time and keeps their holders beside them.
    """

    def __init__(self, runs: int, capacities: tuple[int, ...], size: int) -> None:
        self.size = size
        self.keys = np.full((runs, len(capacities), max((1, *capacities))), NEVER * size)
        for place, capacity in enumerate(capacities):
            self.keys[:, place, :capacity] = 0

    def taken(self, rows: Minutes, places: Minutes, amounts: Minutes) -> tuple[Minutes, Minutes]:
        """When so many units are free at once, and the step that frees the last of them."""
        key = self.keys[rows, places, np.maximum(amounts - 1, 0)]
        return key // self.size, key % self.size - 1

    def holders(self, rows: Minutes) -> tuple[Minutes, Minutes]:
        """For a pool: when each unit is free, and which step holds it until then."""
        keys = self.keys[rows, 0]
        return keys // self.size, keys % self.size - 1

    def hold(
        self, rows: Minutes, places: Minutes, span: tuple[Minutes, Minutes], key: Minutes
    ) -> None:
        """Give units to a step: those from the first to before the second number of ``span``."""
        units = self.keys[rows, places]
        numbers = np.arange(units.shape[1])
        chosen = (numbers >= span[0][:, None]) & (numbers < span[1][:, None])
        self.keys[rows, places] = np.where(chosen, key[:, None], units)

    def settle(self, rows: Minutes, places: Minutes) -> None:
        """Order the units by time again."""
        self.keys[rows, places] = np.sort(self.keys[rows, places], axis=1)


class _Runner:
    """All runs side by side; in each, the step that is ready first is served next."""

    def __init__(self, course: Course, minutes: Minutes, begun: frozenset[str]) -> None:
        self.course = course
        self.begun = np.array([step.id in begun for step in course.steps] + [False])
        self.minutes = minutes
        self.runs, self.count = minutes.shape
        self.rows = np.arange(self.runs)
        shape = (self.runs, self.count + 1)  # the last column stands for "no step"
        self.start = np.full(shape, -NEVER)
        self.end = np.full(shape, -NEVER)
        self.cause = np.full(shape, NOBODY)
        self.done = np.zeros(shape, dtype=bool)
        self.ready = np.full(shape, NEVER)
        self.ready_by = np.full(shape, NOBODY)
        self.left = np.tile(course.waits_for, (self.runs, 1))
        size = self.count + 1
        self.places = _Units(self.runs, course.capacities, size)
        self.pools = [_Units(self.runs, (shares.capacity,), size) for shares in course.pools]

    def run(self) -> Runs:
        for first in np.flatnonzero(self.course.waits_for[:-1] == 0):
            self._make_ready(self.rows, np.full(self.runs, first))
        for _ in range(self.count):
            self._serve(self.ready.argmin(axis=1))
        return Runs(
            steps=self.course.steps,
            start=self.start[:, :-1],
            end=self.end[:, :-1],
            waited_for=self.cause[:, :-1],
        )

    def _make_ready(self, rows: Minutes, steps: Minutes) -> None:
        """When the steps could start if hands were plenty; each run has its own step here."""
        course = self.course
        must_by = self._must_by(rows, steps)
        start = np.minimum(course.plan[steps], np.maximum(must_by, course.pinned[steps]))
        cause = np.full(len(rows), NOBODY)
        for column in range(course.gap_before.shape[1]):
            before = course.gap_before[steps, column]
            ended = self.end[rows, before] + course.gap_lag[steps, column]
            start, cause = _later(start, cause, ended, before)
        free, holder = self.places.taken(rows, course.place[steps], np.ones_like(steps))
        start, cause = _later(start, cause, free + course.set_up[holder, steps], holder)
        self.ready[rows, steps] = self._off_breaks(start, steps, must_by)
        self.ready_by[rows, steps] = cause

    def _serve(self, steps: Minutes) -> None:
        """Give each run's next step its place and its hands."""
        rows, course = self.rows, self.course
        start, cause = self.ready[rows, steps], self.ready_by[rows, steps]
        for pool, shares in zip(self.pools, course.pools, strict=True):
            self._wait_for_hands(pool, shares, steps, start, cause)
        start, cause = self._held_back(steps, start, cause)
        start = self._off_breaks(start, steps, self._must_by(rows, steps))
        start = np.where(self.begun[steps], course.plan[steps], start)
        end = start + self.minutes[rows, steps]
        self.start[rows, steps], self.end[rows, steps] = start, end
        self.cause[rows, steps], self.done[rows, steps] = cause, True
        self.ready[rows, steps] = NEVER
        none, one = np.zeros_like(steps), np.ones_like(steps)
        place = course.place[steps]
        self.places.hold(rows, place, (none, one), end * self.places.size + steps + 1)
        self.places.settle(rows, place)
        for pool, shares in zip(self.pools, course.pools, strict=True):
            _hold_hands(pool, shares, steps, end)
        self._free_followers(steps)

    def _wait_for_hands(
        self, pool: _Units, shares: Shares, steps: Minutes, start: Minutes, cause: Minutes
    ) -> None:
        """Move the starts of those that must wait until the pool has the hands they ask for."""
        wanted = shares.wanted[steps]
        rows = np.flatnonzero(wanted)
        if len(rows):
            free, holder = pool.taken(rows, np.zeros_like(rows), wanted[rows])
            start[rows], cause[rows] = _later(start[rows], cause[rows], free, holder)

    def _free_followers(self, steps: Minutes) -> None:
        """Those that waited for a step served just now may have nothing left to wait for."""
        for column in range(self.course.followers.shape[1]):
            followers = self.course.followers[steps, column]
            self.left[self.rows, followers] -= 1
            freed = (followers < self.count) & (self.left[self.rows, followers] == 0)
            if freed.any():
                self._make_ready(self.rows[freed], followers[freed])

    def _must_by(self, rows: Minutes, steps: Minutes) -> Minutes:
        """The latest start by which no longest gap is broken; NEVER where there is none."""
        course = self.course
        latest = np.full(len(rows), NEVER)
        for column in range(course.gap_before.shape[1]):
            ended = self.end[rows, course.gap_before[steps, column]]
            most = course.gap_most[steps, column]
            latest = np.where(most < NEVER, np.minimum(latest, ended + most), latest)
        return latest

    def _off_breaks(self, start: Minutes, steps: Minutes, must_by: Minutes) -> Minutes:
        """The start, moved behind each break that the step is expected to run into.

        Not where it would have to start by then: the time between two windows has no such excuse,
        but a plan with such a gap across it could not be made.
        """
        closed, expected = self.course.closed, self.course.expected[steps]
        for column in range(closed.begin.shape[1]):
            begin, until = closed.begin[steps, column], closed.until[steps, column]
            bends = closed.bends[steps, column]
            inside = (start >= begin) | (start + expected > begin + bends)
            hits: NDArray[np.bool_] = (start < until) & inside & (until <= must_by)
            start = np.where(hits, until, start)
        return start

    def _held_back(self, steps: Minutes, start: Minutes, cause: Minutes) -> tuple[Minutes, Minutes]:
        """Wait with the first step of a chain by as much as its latest step is expected late."""
        start, cause = start.copy(), cause.copy()
        for head in np.intersect1d(steps, list(self.course.chains)):
            rows = np.flatnonzero(steps == head)
            seen = _Outlook(self, rows, start[rows], int(head))
            for n in self.course.chains[int(head)]:
                late = seen.starts[n] - self.course.plan[n]
                held = self.course.plan[head] + late
                waits = (late > 0) & (held > start[rows])
                start[rows] = np.where(waits, held, start[rows])
                cause[rows] = np.where(waits, seen.roots[n], cause[rows])
        return start, cause


class _Outlook:
    """Expected starts of a chain, as a lead sees them who knows what is over and what is begun."""

    def __init__(self, runner: _Runner, rows: Minutes, now: Minutes, head: int) -> None:
        self.runner, self.rows, self.now = runner, rows, now
        self.chain = frozenset(runner.course.chains[head])
        self.starts: dict[int, Minutes] = {}
        self.ends: dict[int, Minutes] = {}
        self.roots: dict[int, Minutes] = {}
        for n in runner.course.views[head]:
            self._look(n, np.full(len(rows), n))

    def _look(self, n: int, steps: Minutes) -> None:
        runner, course = self.runner, self.runner.course
        done = runner.done[self.rows, n]
        begun, ended = runner.start[self.rows, n], runner.end[self.rows, n]
        must_by = self._must_by(n)
        start = np.minimum(course.plan[n], np.maximum(must_by, course.pinned[n]))
        root = np.full(len(self.rows), NOBODY)
        for before, lag in course.links[n]:
            start, root = _later(start, root, self.ends[before] + lag, self.roots[before])
        if n in self.chain:
            for pool, shares in zip(runner.pools, course.pools, strict=True):
                start, root = self._with_hands(pool, int(shares.wanted[n]), start, root)
        start = runner._off_breaks(start, steps, must_by)
        known = self._as_known(begun, ended, course.expected[n])
        self.starts[n] = np.where(done, begun, start)
        self.ends[n] = np.where(done, known, start + course.expected[n])
        self.roots[n] = np.where(done, n, root)

    def _must_by(self, n: int) -> Minutes:
        course = self.runner.course
        latest = np.full(len(self.rows), NEVER)
        pairs = zip(course.gap_before[n], course.gap_most[n], strict=True)
        for before, most in pairs:
            if most < NEVER:
                latest = np.minimum(latest, self.ends[int(before)] + most)
        return latest

    def _as_known(self, begun: Minutes, ended: Minutes, expected: Minutes) -> Minutes:
        """When a step ends, as far as it is known now."""
        now = self.now if begun.ndim == 1 else self.now[:, None]
        return np.where(ended <= now, ended, np.maximum(begun + expected, now))

    def _with_hands(
        self, pool: _Units, wanted: int, start: Minutes, root: Minutes
    ) -> tuple[Minutes, Minutes]:
        """Later, if the hands that are held now are not expected back in time."""
        if not wanted:
            return start, root
        runner, rows = self.runner, self.rows[:, None]
        free, holder = pool.holders(self.rows)
        begun, ended = runner.start[rows, holder], runner.end[rows, holder]
        expected = runner.course.expected[holder]
        back = self._as_known(begun, ended, expected) + free - ended
        order = back.argsort(axis=1)[:, wanted - 1]
        lines = np.arange(len(self.rows))
        return _later(start, root, back[lines, order], holder[lines, order])


def _hold_hands(pool: _Units, shares: Shares, steps: Minutes, end: Minutes) -> None:
    """Hold what each step asks for until it ends and its people are rested."""
    rows = np.flatnonzero(shares.wanted[steps])
    if not len(rows):
        return
    steps, end = steps[rows], end[rows]
    place = first = np.zeros_like(rows)
    for amounts, rest in zip(shares.amounts.T, shares.rest.T, strict=True):
        last = first + amounts[steps]
        pool.hold(rows, place, (first, last), (end + rest[steps]) * pool.size + steps + 1)
        first = last
    pool.settle(rows, place)


def _later(
    start: Minutes, cause: Minutes, candidate: Minutes, by: Minutes
) -> tuple[Minutes, Minutes]:
    """The later of two starts and its cause; a step goes before the clock when they are equal."""
    takes = (candidate > start) | ((candidate == start) & (cause == NOBODY))
    return np.where(takes, candidate, start), np.where(takes, by, cause)
