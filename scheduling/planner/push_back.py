"""Running late without a search: what is over is kept, and the rest moves only as far as it must.

The order of the plan stays, nothing moves to an earlier time, and each step waits for what it must
wait for: gaps, its station, hands, breaks. Few times change, and the answer is there at once; it
does not look for a better order.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from scheduling.planner.day_runs import run_days
from scheduling.planner.errors import BadProblem
from scheduling.planner.problem import StepSpec, TimetableProblem

Seen = tuple[int, int | None]
"""When a step really started, and ended; None while it runs."""


def push_back(
    problem: TimetableProblem, posted: Mapping[str, int], actual: Mapping[str, Seen], now: int
) -> dict[str, int]:
    """New starts for the whole plan: what is begun as it was, the rest no earlier than now.

    A step that runs is expected to take its expected time from its start, and at least until now.
    A step that is not begun starts at its posted time or now, whichever is later, or when what
    it waits for lets it. Lengths of steps to come are the expected ones.

    Args:
        problem: what was planned.
        posted: the posted start of every step, minutes.
        actual: for each step begun, its start and its end or None.
        now: the minute it is.

    Returns: a start for every step. Longest gaps may be broken by what has happened already.

    Raises: BadProblem when a step has no posted start, or ended before it started.

    >>> from scheduling.planner.problem import Gap, StationSpec, StepSpec, Window
    >>> day = (Window(start=480, end=1020),)
    >>> scald = StepSpec(id="scald", name="Scald", station="t", expected_min=10, windows=day)
    >>> scrape = StepSpec(id="scrape", name="Scrape", station="b", expected_min=60, windows=day)
    >>> problem = TimetableProblem(stations=(StationSpec(id="t", name="Trough"),
    ...     StationSpec(id="b", name="Bench")), steps=(scald, scrape),
    ...     gaps=(Gap(before="scald", after="scrape"),))
    >>> push_back(problem, {"scald": 480, "scrape": 490}, {"scald": (495, None)}, 500)
    {'scald': 495, 'scrape': 505}

    Source: parallel schedule generation, as ``day_runs`` (from memory).
    """
    wrong = [code for code, (start, end) in actual.items() if end is not None and end <= start]
    if wrong:
        raise BadProblem(f"{wrong[0]} ended before it started; correct the times that were marked.")
    unknown = [step.name for step in problem.steps if step.id not in posted]
    if unknown:
        raise BadProblem(f"{unknown[0]} has no start; a plan of every step is needed.")
    lengths = {step.id: np.array([_minutes(step, actual, now)]) for step in problem.steps}
    # What is still to come is not called early: its posted time, or now, is its pin.
    pinned = tuple(replace(step, pinned_start=max(posted[step.id], now)) for step in problem.steps)
    begun = {code: start for code, (start, _) in actual.items()}
    moved = replace(problem, steps=pinned)
    found = run_days(moved, posted, lengths, begun=begun, now=now).starts_of(0)
    return {step.id: found[step.id] for step in problem.steps}


def _minutes(step: StepSpec, actual: Mapping[str, Seen], now: int) -> int:
    """How long a step took, or is expected to take."""
    if step.id not in actual:
        return step.expected_min
    begun, ended = actual[step.id]
    until = max(begun + step.expected_min, now) if ended is None else ended
    return max(1, until - begun)
