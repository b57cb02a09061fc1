"""Why a step stands where it stands: what it follows, waits for, or is kept from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from scheduling.planner.problem import Need, StepSpec, TimetableProblem


def reasons(problem: TimetableProblem, starts: Mapping[str, int]) -> dict[str, str]:
    """Say for each step, in one sentence, why it does not start earlier.

    The first that holds: its pin; a step it follows; the place at its station; hands; a break; its
    window. A step that nothing keeps was held back, so that what follows it need not wait.

    Args:
        problem: what was planned.
        starts: the start of every step, minutes.

    Returns: a sentence by step.

    Raises: KeyError when a step has no start.

    >>> from scheduling.planner.problem import Gap, StationSpec, Window
    >>> day = (Window(start=480, end=1020),)
    >>> scald = StepSpec(id="scald", name="Scald", station="t", expected_min=10, windows=day)
    >>> scrape = StepSpec(id="scrape", name="Scrape", station="b", expected_min=60, windows=day)
    >>> problem = TimetableProblem(stations=(StationSpec(id="t", name="Trough"),
    ...     StationSpec(id="b", name="Bench")), steps=(scald, scrape),
    ...     gaps=(Gap(before="scald", after="scrape"),))
    >>> reasons(problem, {"scald": 480, "scrape": 490})["scrape"]
    'It follows scald at once.'

    Source: none needed.
    """
    return {step.id: _reason(problem, starts, step) for step in problem.steps}


def _reason(problem: TimetableProblem, starts: Mapping[str, int], step: StepSpec) -> str:
    if step.pinned_start is not None:
        return "The lead pinned it to this time."
    found = (
        _follows(problem, starts, step)
        or _waits_for_place(problem, starts, step)
        or _waits_for_hands(problem, starts, step)
    )
    if found:
        return found
    start = starts[step.id]
    if not step.unattended and any(pause.end == start for pause in problem.breaks):
        return "It starts after the break."
    if any(window.start == start for window in step.windows):
        return "It starts as early as its day allows."
    return "It is held back, so that what follows it need not wait."


def _lower(name: str) -> str:
    return f"{name[:1].lower()}{name[1:]}"


def _follows(problem: TimetableProblem, starts: Mapping[str, int], step: StepSpec) -> str:
    steps = {one.id: one for one in problem.steps}
    for gap in problem.gaps:
        before = steps[gap.before]
        ends = starts[before.id] + before.expected_min
        if gap.after == step.id and ends + gap.least_min == starts[step.id]:
            after = f"{gap.least_min} min later" if gap.least_min else "at once"
            return f"It follows {_lower(before.name)} {after}."
    return ""


def _waits_for_place(problem: TimetableProblem, starts: Mapping[str, int], step: StepSpec) -> str:
    station = next(one for one in problem.stations if one.id == step.station)
    for other in problem.steps:
        if other.id == step.id or other.station != step.station:
            continue
        ends = starts[other.id] + other.expected_min
        if ends + station.set_up_min == starts[step.id]:
            ready = f" and {station.set_up_min} min to make ready" if station.set_up_min else ""
            return f"It waits at the {_lower(station.name)} for {_lower(other.name)}{ready}."
    return ""


def _waits_for_hands(problem: TimetableProblem, starts: Mapping[str, int], step: StepSpec) -> str:
    pools = {pool.id: pool for pool in problem.pools}
    for need in step.needs:
        held = list(_holding(problem, starts, need, before=starts[step.id]))
        back = [other for other, until in held if until == starts[step.id]]
        taken = sum(amount for amount, _ in _amounts(held, need))
        if back and taken + need.amount > pools[need.pool].capacity:
            return f"It waits for hands ({pools[need.pool].name}) from {_lower(back[0].name)}."
    return ""


def _holding(
    problem: TimetableProblem, starts: Mapping[str, int], need: Need, *, before: int
) -> Iterator[tuple[StepSpec, int]]:
    """The steps that hold units of a pool just before a minute, and until when."""
    for other in problem.steps:
        for theirs in other.needs:
            until = starts[other.id] + other.expected_min + theirs.rest_min
            if theirs.pool == need.pool and starts[other.id] < before <= until:
                yield other, until


def _amounts(held: list[tuple[StepSpec, int]], need: Need) -> Iterator[tuple[int, str]]:
    for other, _ in held:
        for theirs in other.needs:
            if theirs.pool == need.pool:
                yield theirs.amount, other.id
