"""Which step waits for which: gaps, and the order in which a plan uses stations and hands.

An arc says "``after`` starts at least ``least_min`` after ``before`` starts". Gaps give arcs both
ways (a longest gap is an arc back). A plan adds the arcs of the order it uses: a station's place
or a pool's unit passes from step to step. Keeping those arcs is enough to keep every station and
pool within its capacity, so the network tells how far steps can move while the order stays.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from scheduling.planner.problem import MINUTES_PER_DAY, StepSpec, TimetableProblem, Window


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """``start[after] >= start[before] + least_min``."""

    before: str
    after: str
    least_min: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """A step keeps ``amount`` units of one station or pool for ``minutes`` from its start."""

    step: str
    amount: int
    minutes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Shared:
    """A station or a pool: how much there is, and which steps hold it."""

    id: str
    capacity: int
    holds: tuple[Hold, ...]


def day_of(minute: int) -> int:
    """The day, from 0, on which a minute falls."""
    return minute // MINUTES_PER_DAY


def allowed_starts(problem: TimetableProblem, step: StepSpec) -> tuple[Window, ...]:
    """The stretches of time in which a step may start, by its windows, the breaks and its pin."""
    reach = 0 if step.unattended else step.expected_min
    spans = [(window.start, window.end - reach) for window in step.windows]
    if not step.unattended:
        for pause in problem.breaks:
            early, late = pause.start - step.expected_min, pause.end
            spans = [
                part
                for first, last in spans
                for part in ((first, min(last, early)), (max(first, late), last))
                if part[0] <= part[1]
            ]
    if step.pinned_start is not None:
        pin = step.pinned_start
        spans = [(max(first, pin), min(last, pin)) for first, last in spans]
    kept = sorted({(first, last) for first, last in spans if first <= last})
    return tuple(Window(start=first, end=last) for first, last in kept)


def stations_held(problem: TimetableProblem) -> tuple[Shared, ...]:
    """Every station in the problem's order; a hold lasts through the set-up after its step."""
    return tuple(
        Shared(
            id=station.id,
            capacity=station.capacity,
            holds=tuple(
                Hold(step=step.id, amount=1, minutes=step.expected_min + station.set_up_min)
                for step in problem.steps
                if step.station == station.id
            ),
        )
        for station in problem.stations
    )


def pools_held(problem: TimetableProblem) -> tuple[Shared, ...]:
    """Every pool in the problem's order; a hold lasts through the rest after its step."""
    return tuple(
        Shared(
            id=pool.id,
            capacity=pool.capacity,
            holds=tuple(
                Hold(step=step.id, amount=need.amount, minutes=step.expected_min + need.rest_min)
                for step in problem.steps
                for need in step.needs
                if need.pool == pool.id
            ),
        )
        for pool in problem.pools
    )


def gap_arcs(problem: TimetableProblem) -> tuple[Arc, ...]:
    """The arcs of the gaps: forward for the least, back for the most."""
    minutes = {step.id: step.expected_min for step in problem.steps}
    arcs = []
    for gap in problem.gaps:
        ends = minutes[gap.before]
        arcs.append(Arc(before=gap.before, after=gap.after, least_min=ends + gap.least_min))
        if gap.most_min is not None:
            arcs.append(Arc(before=gap.after, after=gap.before, least_min=-ends - gap.most_min))
    return tuple(arcs)


def order_arcs(problem: TimetableProblem, starts: Mapping[str, int]) -> tuple[Arc, ...]:
    """The arcs of the order in which a plan hands on each place and each unit.

    A step takes units that nobody has held yet, then those that came free longest ago, so that
    no step waits for another that it need not wait for.
    """
    things = (*stations_held(problem), *pools_held(problem))
    return tuple(arc for shared in things for arc in _handed_on(shared, starts))


def _handed_on(shared: Shared, starts: Mapping[str, int]) -> Iterator[Arc]:
    fresh = shared.capacity
    free: list[tuple[int, int, str, int]] = []
    for hold in sorted(shared.holds, key=lambda hold: (starts[hold.step], hold.step)):
        start = starts[hold.step]
        new = min(fresh, hold.amount)
        fresh -= new
        free.sort()
        taken, free = free[: hold.amount - new], free[hold.amount - new :]
        for _, _, step, minutes in dict.fromkeys(taken):
            yield Arc(before=step, after=hold.step, least_min=minutes)
        free += [(start + hold.minutes, start, hold.step, hold.minutes)] * hold.amount


def latest_starts(
    problem: TimetableProblem, starts: Mapping[str, int], last_ends: Mapping[int, int]
) -> dict[str, int]:
    """The latest start of each step if the plan's order and each day's last end are kept.

    Every step stays on its day, in its windows, off the breaks and within its gaps. Starting from
    the loosest times, each arc pulls its first step earlier until nothing moves; the plan itself
    satisfies every arc, so no step is pulled before its planned start.
    """
    allowed = {step.id: allowed_starts(problem, step) for step in problem.steps}
    latest = {}
    for step in problem.steps:
        day = day_of(starts[step.id])
        limit = (day + 1) * MINUTES_PER_DAY - 1
        if not step.unattended:
            limit = min(limit, last_ends[day] - step.expected_min)
        latest[step.id] = _last_allowed(allowed[step.id], limit)
    arcs = (*gap_arcs(problem), *order_arcs(problem, starts))
    moved = True
    while moved:
        moved = False
        for arc in arcs:
            limit = latest[arc.after] - arc.least_min
            if latest[arc.before] > limit:
                latest[arc.before] = _last_allowed(allowed[arc.before], limit)
                moved = True
    return latest


def _last_allowed(spans: tuple[Window, ...], limit: int) -> int:
    return max(min(span.end, limit) for span in spans if span.start <= limit)
