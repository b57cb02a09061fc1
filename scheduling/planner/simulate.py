"""How likely a plan is to hold: its days run some thousands of times with drawn durations.

What is drawn is in ``durations.py``, how a run goes in ``day_runs.py``; here the runs are counted:
odds of being done by a time, the finishing time to promise, how often each longest gap is broken,
and which step to watch.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scheduling.planner.day_runs import NOBODY, Runs, run_days
from scheduling.planner.durations import Draws, Minutes, draw_minutes
from scheduling.planner.problem import Gap, TimetableProblem
from scheduling.planner.timetable_network import day_of

DRAWS = Draws()
PROMISE = 0.8
"""The share of runs that a promised time must hold in: four in five, a judgement, no source."""
CURVE = tuple(percent / 100 for percent in range(0, 101, 5))


@dataclass(frozen=True, slots=True, kw_only=True)
class StepOdds:
    """How much a step decides its day.

    ``critical`` is the share of runs in which the day's last step waited, step by step, for this
    one. ``weight`` is that share times the spread of the step over the spread of the day's end.
    """

    step: str
    critical: float
    weight: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DayOdds:
    """One day: when it ends, and what decides that.

    ``curve`` gives (minute, share of runs done by then) from the earliest end to the latest.
    ``by`` gives, for each time asked about, the share of runs that are done by it.
    """

    day: int
    planned_min: int
    even_min: int
    promise_min: int
    curve: tuple[tuple[int, float], ...]
    by: Mapping[str, float]
    steps: tuple[StepOdds, ...]

    @property
    def watch(self) -> StepOdds | None:
        """The step whose length decides most about the day's end, if any does."""
        best = max(self.steps, key=lambda one: (one.weight, one.critical), default=None)
        return best if best is not None and best.weight > 0 else None


@dataclass(frozen=True, slots=True, kw_only=True)
class GapOdds:
    """How often a longest gap is broken, and by how many minutes then, half of the time or more."""

    before: str
    after: str
    most_min: int
    broken: float
    over_min: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Odds:
    """What the runs say; ``gaps`` holds only those that were broken at all, the worst first."""

    runs: int
    seed: int
    days: tuple[DayOdds, ...]
    gaps: tuple[GapOdds, ...]


def simulate(
    problem: TimetableProblem,
    starts: Mapping[str, int],
    *,
    draws: Draws = DRAWS,
    by: Mapping[int, Mapping[str, int]] | None = None,
) -> Odds:
    """Run the plan with drawn durations and count.

    P(done by t) = runs with end <= t over all runs; the promised time is the smallest t with
    P >= 0.8; both carry a sampling error of about 2 sqrt(p (1 - p) / runs).

    Args:
        problem: what was planned.
        starts: the posted start of every step, minutes.
        draws: how many runs, from which seed, how alike, by which law.
        by: for each day from 0, times to give odds for, by name: {0: {"dark": 1020}}.

    Returns: odds by day, and the longest gaps that were broken in some run.

    Raises: BadProblem where a step has no start or a number is outside its range.

    >>> from scheduling.planner.problem import StationSpec, StepSpec, Window
    >>> step = StepSpec(id="scrape", name="Scrape", station="b", least_min=40, expected_min=60,
    ...                 most_min=80, windows=(Window(start=480, end=1020),))
    >>> problem = TimetableProblem(stations=(StationSpec(id="b", name="Bench"),), steps=(step,))
    >>> day = simulate(problem, {"scrape": 480}, by={0: {"nine": 540}}).days[0]
    >>> day.planned_min, day.even_min, day.promise_min, round(day.by["nine"], 1)
    (540, 540, 547, 0.5)
    >>> day.watch.step, day.watch.critical
    ('scrape', 1.0)

    Source: schedule risk analysis as in project scheduling: criticality index, and schedule
    sensitivity index (both from memory).
    """
    drawn = draw_minutes(problem.steps, draws)
    minutes = {step.id: drawn[:, n] for n, step in enumerate(problem.steps)}
    ran = run_days(problem, starts, minutes)
    asked = by or {}
    days: dict[int, list[int]] = {}
    for n, step in enumerate(ran.steps):
        if not step.unattended:
            days.setdefault(day_of(starts[step.id]), []).append(n)
    return Odds(
        runs=draws.runs,
        seed=draws.seed,
        days=tuple(
            _day_odds(ran, day, steps, starts, asked.get(day, {}))
            for day, steps in sorted(days.items())
        ),
        gaps=_broken_gaps(problem, ran),
    )


def _day_odds(
    ran: Runs, day: int, steps: list[int], starts: Mapping[str, int], asked: Mapping[str, int]
) -> DayOdds:
    columns = np.array(steps)
    ends = ran.end[:, columns]
    last = ends.max(axis=1)
    ordered = np.sort(last)
    critical = _critical(ran, columns[ends.argmax(axis=1)], columns)
    return DayOdds(
        day=day,
        planned_min=max(starts[ran.steps[n].id] + ran.steps[n].expected_min for n in steps),
        even_min=_done_by(ordered, 0.5),
        promise_min=_done_by(ordered, PROMISE),
        curve=tuple((_done_by(ordered, share), share) for share in CURVE),
        by={name: float((last <= minute).mean()) for name, minute in asked.items()},
        steps=tuple(
            StepOdds(step=ran.steps[n].id, critical=share, weight=_weight(ran, n, share, last))
            for n, share in critical.items()
            if share > 0
        ),
    )


def _done_by(ordered: Minutes, share: float) -> int:
    """The first minute by which this share of the runs is done."""
    place = max(0, int(np.ceil(share * len(ordered) - 1e-9)) - 1)
    return int(ordered[place])


def _critical(ran: Runs, last: Minutes, columns: Minutes) -> dict[int, float]:
    """Share of the runs in which each step of a day lies on the way back from its last step."""
    runs = len(last)
    on_the_way: NDArray[np.bool_] = np.zeros((runs, len(ran.steps)), dtype=bool)
    rows, at = np.arange(runs), last
    while len(rows):
        on_the_way[rows, at] = True
        before = ran.waited_for[rows, at]
        going = before != NOBODY
        rows, at = rows[going], before[going]
    return {int(n): float(on_the_way[:, n].mean()) for n in columns}


def _weight(ran: Runs, n: int, share: float, last: Minutes) -> float:
    """Criticality times the step's spread over the spread of the day's end."""
    spread = float(last.std())
    return share * float((ran.end[:, n] - ran.start[:, n]).std()) / spread if spread else 0.0


def _broken_gaps(problem: TimetableProblem, ran: Runs) -> tuple[GapOdds, ...]:
    at = {step.id: n for n, step in enumerate(ran.steps)}
    odds = (_gap_odds(gap, ran, at) for gap in problem.gaps if gap.most_min is not None)
    broken = [one for one in odds if one.broken > 0]
    return tuple(sorted(broken, key=lambda one: (-one.broken, one.before, one.after)))


def _gap_odds(gap: Gap, ran: Runs, at: Mapping[str, int]) -> GapOdds:
    assert gap.most_min is not None, "the caller asks for longest gaps only"
    most = gap.most_min + ran.steps[at[gap.before]].stretch_min
    over = ran.start[:, at[gap.after]] - ran.end[:, at[gap.before]] - most
    too_long = over[over > 0]
    return GapOdds(
        before=gap.before,
        after=gap.after,
        most_min=most,
        broken=len(too_long) / len(over),
        over_min=int(np.median(too_long)) if len(too_long) else 0,
    )
