"""Checks a timetable against every hard rule, without the solver and without the model.

It shares nothing with ``timetable.py`` but the problem and the answer it is asked about, so that
a mistake there cannot hide here. No plan is posted, and no test passes, without it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise

from scheduling.planner.problem import StepSpec, TimetableProblem


def check_timetable(problem: TimetableProblem, starts: Mapping[str, int]) -> tuple[str, ...]:
    """Say every hard rule that the start times break; nothing when all of them hold.

    ``starts`` gives each step's start in minutes by its identifier. A step without a start, or a
    start without a step, is told first and alone, for the rest cannot be judged then.
    """
    strangers = tuple(_steps_and_starts_differ(problem, starts))
    if strangers:
        return strangers
    return (
        *_outside_windows(problem, starts),
        *_across_breaks(problem, starts),
        *_off_their_pins(problem, starts),
        *_gaps_broken(problem, starts),
        *_stations_overfull(problem, starts),
        *_set_ups_cut_short(problem, starts),
        *_pools_overdrawn(problem, starts),
    )


def _steps_and_starts_differ(problem: TimetableProblem, starts: Mapping[str, int]) -> Iterator[str]:
    known = {step.id for step in problem.steps}
    for step in problem.steps:
        if step.id not in starts:
            yield f"{step.name} has no start."
    for step_id in starts:
        if step_id not in known:
            yield f"There is a start for {step_id!r}, which is not in the problem."


def _outside_windows(problem: TimetableProblem, starts: Mapping[str, int]) -> Iterator[str]:
    for step in problem.steps:
        start = starts[step.id]
        last = start if step.unattended else start + step.expected_min
        if not any(window.start <= start and last <= window.end for window in step.windows):
            yield f"{step.name} starts at {start}, outside its windows."


def _across_breaks(problem: TimetableProblem, starts: Mapping[str, int]) -> Iterator[str]:
    for step in problem.steps:
        start, end = starts[step.id], starts[step.id] + step.expected_min
        for pause in problem.breaks:
            if not step.unattended and start < pause.end and end > pause.start:
                yield f"{step.name} runs into the break from {pause.start} to {pause.end}."


def _off_their_pins(problem: TimetableProblem, starts: Mapping[str, int]) -> Iterator[str]:
    for step in problem.steps:
        if step.pinned_start is not None and starts[step.id] != step.pinned_start:
            yield (f"{step.name} starts at {starts[step.id]}; it is fixed to {step.pinned_start}.")


def _gaps_broken(problem: TimetableProblem, starts: Mapping[str, int]) -> Iterator[str]:
    steps = {step.id: step for step in problem.steps}
    for gap in problem.gaps:
        before, after = steps[gap.before], steps[gap.after]
        minutes = starts[after.id] - starts[before.id] - before.expected_min
        if minutes < gap.least_min:
            yield (
                f"{after.name} starts {minutes} min after {before.name} ends; "
                f"at least {gap.least_min} min are asked for."
            )
        if gap.most_min is not None and minutes > gap.most_min:
            yield (
                f"{after.name} starts {minutes} min after {before.name} ends; "
                f"at most {gap.most_min} min are allowed."
            )


def _most_at_once(held: Iterable[tuple[int, int, int]]) -> int:
    """The largest sum of amounts held at one minute; each is (from, until, amount)."""
    holds = list(held)
    return max(
        (
            sum(amount for begin, until, amount in holds if begin <= minute < until)
            for minute, _, _ in holds
        ),
        default=0,
    )


def _stations_overfull(problem: TimetableProblem, starts: Mapping[str, int]) -> Iterator[str]:
    for station in problem.stations:
        most = _most_at_once(
            (starts[step.id], starts[step.id] + step.expected_min, 1)
            for step in problem.steps
            if step.station == station.id
        )
        if most > station.capacity:
            yield f"{station.name} has {most} steps at once; it holds {station.capacity}."


def _set_ups_cut_short(problem: TimetableProblem, starts: Mapping[str, int]) -> Iterator[str]:
    def by_start(step: StepSpec) -> int:
        return starts[step.id]

    for station in problem.stations:
        users = sorted((one for one in problem.steps if one.station == station.id), key=by_start)
        for first, second in pairwise(users):
            minutes = starts[second.id] - starts[first.id] - first.expected_min
            if 0 <= minutes < station.set_up_min:
                yield (
                    f"{station.name} has {minutes} min between {first.name} and {second.name}; "
                    f"it needs {station.set_up_min} min to set up."
                )


def _pools_overdrawn(problem: TimetableProblem, starts: Mapping[str, int]) -> Iterator[str]:
    for pool in problem.pools:
        most = _most_at_once(
            (
                starts[step.id],
                starts[step.id] + step.expected_min + need.rest_min,
                need.amount,
            )
            for step in problem.steps
            for need in step.needs
            if need.pool == pool.id
        )
        if most > pool.capacity:
            yield f"{pool.name}: {most} are held or resting at once; there are {pool.capacity}."
