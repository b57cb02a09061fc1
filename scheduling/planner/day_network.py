"""A plan laid out in arrays, so that ``day_runs.py`` can run its days side by side."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import pairwise

import numpy as np

from scheduling.planner.durations import Minutes
from scheduling.planner.errors import BadProblem
from scheduling.planner.problem import StepSpec, TimetableProblem, Window
from scheduling.planner.timetable_network import places_of

NEVER = 1 << 40
"""Later than any minute, yet small enough to be multiplied by the number of steps."""
MEAL_BENDS_MIN = 10
"""A step that runs into a meal by no more than this is finished first (practice, no source)."""

Pairs = list[tuple[int, int]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shares:
    """What the steps take of one pool: steps x kinds, a kind being a length of rest after it.

    ``wanted`` is what each step takes in all.
    """

    capacity: int
    amounts: Minutes
    rest: Minutes
    wanted: Minutes


@dataclass(frozen=True, slots=True, kw_only=True)
class Closed:
    """When a step may not be under way, steps x stretches; ``bends`` is how far it may run in."""

    begin: Minutes
    until: Minutes
    bends: Minutes


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """The plan by each step's place in its order; one more place stands for "no step".

    ``pinned`` is the pin, or 0. ``waits_for`` counts what must be served before a step, and
    ``followers`` lists what waits for it.
    ``chains`` names, for the first step of each chain that must not wait, the others of it, and
    ``views`` what must be looked at to say when they will start, along ``links``.
    """

    steps: tuple[StepSpec, ...]
    plan: Minutes
    pinned: Minutes
    expected: Minutes
    gap_before: Minutes
    gap_lag: Minutes
    gap_most: Minutes
    place: Minutes
    capacities: tuple[int, ...]
    set_up: Minutes
    pools: tuple[Shares, ...]
    closed: Closed
    waits_for: Minutes
    followers: Minutes
    links: Mapping[int, Pairs]
    chains: Mapping[int, tuple[int, ...]]
    views: Mapping[int, tuple[int, ...]]


def lay_out(
    problem: TimetableProblem, starts: Mapping[str, int], *, order: Mapping[str, int]
) -> Course:
    """Lay a plan out; raises BadProblem when a step has no start.

    ``order`` are the starts of a plan that keeps every gap, which say who comes before whom and
    who has which place and meal; ``starts`` are the times before which nothing begins.

    Also raises BadProblem for what is not run here: a place kept until the next step takes the
    carcass, hands held until another step, hands that are away for a while.

    Source: none needed.
    """
    missing = [step.name for step in problem.steps if step.id not in starts]
    if missing:
        raise BadProblem(f"{missing[0]} has no start; a plan of every step is needed.")
    _refuse_what_is_not_run(problem)
    steps = _in_order(problem, order)
    places = {step.id: step.station for step in steps} | places_of(problem, order)
    at = {step.id: n for n, step in enumerate(steps)}
    gaps: dict[int, Pairs] = defaultdict(list)
    most: dict[int, list[int]] = defaultdict(list)
    for gap in problem.gaps:
        gaps[at[gap.after]].append((at[gap.before], gap.least_min))
        most[at[gap.after]].append(NEVER if gap.most_min is None else gap.most_min)
    before, links = _waiting(problem, steps, order, places, gaps)
    followers: dict[int, list[int]] = defaultdict(list)
    for after, firsts in before.items():
        for first in firsts:
            followers[first].append(after)
    chains = _chains(problem, at)
    number = {station.id: n for n, station in enumerate(problem.stations)}
    count = len(steps)
    return Course(
        steps=steps,
        plan=np.array([starts[step.id] for step in steps] + [0]),
        pinned=np.array([step.pinned_start or 0 for step in steps] + [0]),
        expected=np.array([step.expected_min for step in steps] + [0]),
        gap_before=_table([[first for first, _ in gaps[n]] for n in range(count)], empty=count),
        gap_lag=_table([[lag for _, lag in gaps[n]] for n in range(count)], empty=0),
        gap_most=_table([most[n] for n in range(count)], empty=NEVER),
        place=np.array([number[places[step.id]] for step in steps] + [0]),
        capacities=tuple(station.capacity for station in problem.stations),
        set_up=_set_ups(problem, steps, places),
        pools=_pools(problem, steps),
        closed=_closed(problem, steps, places, order),
        waits_for=np.array([len(before[n]) for n in range(count)] + [0]),
        followers=_table([followers[n] for n in range(count)], empty=count),
        links=links,
        chains=chains,
        views={head: _view(chain, links) for head, chain in chains.items()},
    )


def _in_order(problem: TimetableProblem, starts: Mapping[str, int]) -> tuple[StepSpec, ...]:
    """By start; durations are above 0, so a step always comes before those that follow it."""
    return tuple(sorted(problem.steps, key=lambda step: (starts[step.id], step.id)))


def _table(rows: Iterable[Iterable[int]], *, empty: int) -> Minutes:
    """Rows of different lengths as one array, and a last row for "no step"."""
    lists = [list(row) for row in rows] + [[]]
    width = max(map(len, lists))
    return np.array([row + [empty] * (width - len(row)) for row in lists], dtype=np.int64)


def _waiting(
    problem: TimetableProblem,
    steps: tuple[StepSpec, ...],
    starts: Mapping[str, int],
    places: Mapping[str, str],
    gaps: Mapping[int, Pairs],
) -> tuple[dict[int, set[int]], dict[int, Pairs]]:
    """What must be served before each step, and when it can start by gaps and stations alone."""
    before = {n: {first for first, _ in gaps.get(n, [])} for n in range(len(steps))}
    links = {n: list(gaps.get(n, [])) for n in range(len(steps))}
    for station in problem.stations:
        users = [n for n, step in enumerate(steps) if places[step.id] == station.id]
        for earlier, later in pairwise(users):
            before[later].add(earlier)
        leaving: list[tuple[int, int]] = []
        for user in users:
            if len(leaving) == station.capacity:
                # As planned, the place comes free from the step that leaves first.
                gone = heappop(leaving)[1]
                pair = (steps[gone].id, steps[user].id)
                lag = station.set_up_between.get(pair, station.set_up_min)
                links[user].append((gone, lag))
            heappush(leaving, (starts[steps[user].id] + steps[user].expected_min, user))
    return before, links


def _set_ups(
    problem: TimetableProblem, steps: tuple[StepSpec, ...], places: Mapping[str, str]
) -> Minutes:
    """Minutes between a step and the next at its station; none before the first."""
    stations = {station.id: station for station in problem.stations}
    table = np.zeros((len(steps) + 1, len(steps) + 1), dtype=np.int64)
    for n, before in enumerate(steps):
        station = stations[places[before.id]]
        table[n, :] = station.set_up_min
        for m, after in enumerate(steps):
            table[n, m] = station.set_up_between.get((before.id, after.id), station.set_up_min)
    return table


def _refuse_what_is_not_run(problem: TimetableProblem) -> None:
    kept = [gap.before for gap in problem.gaps if gap.keeps_place]
    held = [step.name for step in problem.steps if any(need.until for need in step.needs)]
    away = [pool.name for pool in problem.pools if pool.away]
    for names, what in (
        (kept, "keeps its place until the next step takes the carcass"),
        (held, "holds hands until another step"),
        (away, "has hands away for a while"),
    ):
        if names:
            raise BadProblem(
                f"{names[0]} {what}; odds are not worked out for that. Leave it out for the odds."
            )


def _pools(problem: TimetableProblem, steps: tuple[StepSpec, ...]) -> tuple[Shares, ...]:
    """The pools that can ever make a step wait, each once.

    A pool is left out where another asks for as much of as few: what keeps that one keeps it too.
    """
    made = [_shares(pool.id, pool.capacity, steps) for pool in problem.pools]
    tight = [one for one in made if one.amounts.sum() > one.capacity]
    kept: list[Shares] = []
    for one in sorted(tight, key=lambda one: (one.capacity, -int(one.amounts.sum()))):
        if not any(_covers(other, one) for other in kept):
            kept.append(one)
    return tuple(kept)


def _shares(pool: str, capacity: int, steps: tuple[StepSpec, ...]) -> Shares:
    rests: list[dict[int, int]] = [defaultdict(int) for _ in steps]
    for row, step in zip(rests, steps, strict=True):
        for need in step.needs:
            if need.pool == pool:
                row[need.rest_min] += need.amount
    amounts = _table(([row[rest] for rest in sorted(row)] for row in rests), empty=0)
    return Shares(
        capacity=capacity,
        amounts=amounts,
        wanted=amounts.sum(axis=1),
        rest=_table((sorted(row) for row in rests), empty=0),
    )


def _covers(other: Shares, one: Shares) -> bool:
    """Whether ``other`` holds as many units as long for every step, and has no more of them."""
    if other.amounts.shape != one.amounts.shape or other.capacity > one.capacity:
        return False
    return bool((other.amounts >= one.amounts).all() and (other.rest >= one.rest).all())


def _closed(
    problem: TimetableProblem,
    steps: tuple[StepSpec, ...],
    places: Mapping[str, str],
    order: Mapping[str, int],
) -> Closed:
    stations = {station.id: station for station in problem.stations}
    meals = [(pause.start, pause.end) for pause in problem.breaks]
    meals += [
        (order[meal.id], order[meal.id] + meal.minutes)
        for meal in problem.meals
        if meal.id in order
    ]
    stretches = [_closed_for(step, stations[places[step.id]].windows, meals) for step in steps]
    return Closed(
        begin=_table(([begin for begin, _, _ in row] for row in stretches), empty=NEVER),
        until=_table(([until for _, until, _ in row] for row in stretches), empty=-NEVER),
        bends=_table(([bends for _, _, bends in row] for row in stretches), empty=0),
    )


def _closed_for(
    step: StepSpec, open_hours: tuple[Window, ...], meals: list[tuple[int, int]]
) -> list[tuple[int, int, int]]:
    """Breaks, and the time between two windows of a step or of its station.

    After its last window it is done all the same: the day then runs late, which is counted.
    """
    # An unattended step may still start at the last minute of its window.
    bends = step.expected_min if step.unattended else 0
    between = [
        (first.end + step.unattended, second.start, bends - step.unattended)
        for windows in (step.windows, open_hours)
        for first, second in pairwise(sorted(windows, key=lambda window: window.start))
        if first.end < second.start
    ]
    if step.unattended:
        return between
    return sorted([*between, *((begin, until, MEAL_BENDS_MIN) for begin, until in meals)])


def _chains(problem: TimetableProblem, at: Mapping[str, int]) -> dict[int, tuple[int, ...]]:
    """For each step that others must follow within a time, and that follows none so: the others."""
    follows: dict[str, list[str]] = defaultdict(list)
    bound = [gap for gap in problem.gaps if gap.most_min is not None]
    for gap in bound:
        follows[gap.before].append(gap.after)
    chains = {}
    for head in {gap.before for gap in bound} - {gap.after for gap in bound}:
        found: set[str] = set()
        waiting = [head]
        while waiting:
            new = [name for name in follows[waiting.pop()] if name not in found]
            found.update(new)
            waiting += new
        chains[at[head]] = tuple(sorted(at[name] for name in found))
    return chains


def _view(chain: tuple[int, ...], links: Mapping[int, Pairs]) -> tuple[int, ...]:
    """The chain and all that it may wait for, in the order of the plan."""
    found, waiting = set(chain), list(chain)
    while waiting:
        new = {first for first, _ in links[waiting.pop()]} - found
        found |= new
        waiting += new
    return tuple(sorted(found))
