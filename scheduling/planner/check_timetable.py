"""Checks a timetable against every hard rule, without the solver and without the model.

It shares nothing with ``timetable.py`` but the problem and the answer it is asked about, so that
a mistake there cannot hide here. No plan is posted, and no test passes, without it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise

from scheduling.planner.problem import StepSpec, TimetableProblem


def check_timetable(
    problem: TimetableProblem,
    starts: Mapping[str, int],
    places: Mapping[str, str] | None = None,
) -> tuple[str, ...]:
    """Say every hard rule that the start times break; nothing when all of them hold.

    ``starts`` gives the start of each step, and of each meal that may move, in minutes by its
    identifier; ``places`` the station of each step, its first where none is given. A step without
    a start, or a start without a step, is told first and alone, for the rest cannot be judged then.
    """
    where = {step.id: step.station for step in problem.steps} | dict(places or {})
    strangers = (*_steps_and_starts_differ(problem, starts), *_at_wrong_stations(problem, where))
    if strangers:
        return strangers
    return (
        *_outside_windows(problem, starts),
        *_at_closed_stations(problem, starts, where),
        *_across_breaks(problem, starts),
        *_meals_out_of_range(problem, starts),
        *_off_their_pins(problem, starts),
        *_gaps_broken(problem, starts),
        *_stations_overfull(problem, starts, where),
        *_set_ups_cut_short(problem, starts, where),
        *_tracks_crossed(problem, where),
        *_pools_overdrawn(problem, starts),
    )


def _steps_and_starts_differ(problem: TimetableProblem, starts: Mapping[str, int]) -> Iterator[str]:
    known = {step.id: step.name for step in problem.steps}
    known |= {meal.id: meal.name for meal in problem.meals}
    for name_id, name in known.items():
        if name_id not in starts:
            yield f"{name} has no start."
    for step_id in starts:
        if step_id not in known:
            yield f"There is a start for {step_id!r}, which is not in the problem."


def _at_wrong_stations(problem: TimetableProblem, where: Mapping[str, str]) -> Iterator[str]:
    for step in problem.steps:
        if where[step.id] not in (step.station, *step.or_at):
            yield f"{step.name} is at {where[step.id]!r}, where it may not be done."


def _outside_windows(problem: TimetableProblem, starts: Mapping[str, int]) -> Iterator[str]:
    for step in problem.steps:
        start = starts[step.id]
        last = start if step.unattended else start + step.expected_min
        if not any(window.start <= start and last <= window.end for window in step.windows):
            yield f"{step.name} starts at {start}, outside its windows."


def _at_closed_stations(
    problem: TimetableProblem, starts: Mapping[str, int], where: Mapping[str, str]
) -> Iterator[str]:
    for station in problem.stations:
        for step in problem.steps:
            if where[step.id] != station.id or not station.windows:
                continue
            start = starts[step.id]
            last = start if step.unattended else start + step.expected_min
            if not any(hours.start <= start and last <= hours.end for hours in station.windows):
                yield f"{step.name} starts at {start}, outside the hours of {station.name}."


def _across_breaks(problem: TimetableProblem, starts: Mapping[str, int]) -> Iterator[str]:
    for step in problem.steps:
        start, end = starts[step.id], starts[step.id] + step.expected_min
        pauses = [(pause.start, pause.end) for pause in problem.breaks]
        pauses += [(starts[meal.id], starts[meal.id] + meal.minutes) for meal in problem.meals]
        for opens, closes in pauses:
            if not step.unattended and start < closes and end > opens:
                yield f"{step.name} runs into the break from {opens} to {closes}."


def _meals_out_of_range(problem: TimetableProblem, starts: Mapping[str, int]) -> Iterator[str]:
    for meal in problem.meals:
        if not meal.earliest <= starts[meal.id] <= meal.latest:
            yield (
                f"{meal.name} starts at {starts[meal.id]}; it may start from {meal.earliest} to "
                f"{meal.latest}."
            )


def _off_their_pins(problem: TimetableProblem, starts: Mapping[str, int]) -> Iterator[str]:
    for step in problem.steps:
        if step.pinned_start is not None and starts[step.id] != step.pinned_start:
            yield (f"{step.name} starts at {starts[step.id]}; it is fixed to {step.pinned_start}.")


def _gaps_broken(problem: TimetableProblem, starts: Mapping[str, int]) -> Iterator[str]:
    steps = {step.id: step for step in problem.steps}
    for gap in problem.gaps:
        before, after = steps[gap.before], steps[gap.after]
        minutes = starts[after.id] - starts[before.id] - before.expected_min
        stretch = 0
        if before.unattended and before.most_min is not None:
            stretch = before.most_min - before.expected_min
        if minutes < gap.least_min:
            yield (
                f"{after.name} starts {minutes} min after {before.name} ends; "
                f"at least {gap.least_min} min are asked for."
            )
        if gap.most_min is not None and minutes > gap.most_min + stretch:
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


def _free_again(problem: TimetableProblem, starts: Mapping[str, int]) -> dict[str, int]:
    """When the station of each step is free again: the carcass is done, and taken."""
    free = {step.id: starts[step.id] + step.expected_min for step in problem.steps}
    lasting = {step.id for step in problem.steps if step.unattended and step.most_min is not None}
    for gap in problem.gaps:
        if gap.keeps_place:
            free[gap.before] = max(free[gap.before], starts[gap.after])
        elif gap.before in lasting and gap.most_min is not None:
            free[gap.before] = max(free[gap.before], starts[gap.after] - gap.most_min)
    return free


def _stations_overfull(
    problem: TimetableProblem, starts: Mapping[str, int], where: Mapping[str, str]
) -> Iterator[str]:
    free = _free_again(problem, starts)
    for station in problem.stations:
        most = _most_at_once(
            (starts[step.id], free[step.id], 1)
            for step in problem.steps
            if where[step.id] == station.id
        )
        if most > station.capacity:
            yield f"{station.name} has {most} steps at once; it holds {station.capacity}."


def _set_ups_cut_short(
    problem: TimetableProblem, starts: Mapping[str, int], where: Mapping[str, str]
) -> Iterator[str]:
    def by_start(step: StepSpec) -> int:
        return starts[step.id]

    free = _free_again(problem, starts)
    for station in problem.stations:
        users = sorted((one for one in problem.steps if where[one.id] == station.id), key=by_start)
        for first, second in pairwise(users):
            minutes = starts[second.id] - free[first.id]
            needed = station.set_up_between.get((first.id, second.id), station.set_up_min)
            if 0 <= minutes < needed:
                yield (
                    f"{station.name} has {minutes} min between {first.name} and {second.name}; "
                    f"it needs {needed} min to set up."
                )


def _tracks_crossed(problem: TimetableProblem, where: Mapping[str, str]) -> Iterator[str]:
    tracks = {station.id: station.track for station in problem.stations if station.track}
    for subject in dict.fromkeys(step.subject for step in problem.steps if step.subject):
        used = {
            tracks[where[step.id]]
            for step in problem.steps
            if step.subject == subject and where[step.id] in tracks
        }
        if len(used) > 1:
            yield f"{subject} changes between tracks {' and '.join(sorted(used))}."


def _pools_overdrawn(problem: TimetableProblem, starts: Mapping[str, int]) -> Iterator[str]:
    ends = {step.id: starts[step.id] + step.expected_min for step in problem.steps}
    for pool in problem.pools:
        held = [
            (starts[step.id], ends[need.until or step.id] + need.rest_min, need.amount)
            for step in problem.steps
            for need in step.needs
            if need.pool == pool.id
        ]
        gone = [(one.window.start, one.window.end, one.amount) for one in pool.away]
        most = _most_at_once([*held, *gone])
        if most > pool.capacity:
            yield f"{pool.name}: {most} are held or resting at once; there are {pool.capacity}."
