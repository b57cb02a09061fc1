"""Why a timetable cannot be, in words a farm lead reads.

First what simple sums can tell: a pool too small, a step longer than its windows, a fixed time
outside them, steps that wait for one another in a circle, a chain longer than the day. Each such
refusal stands alone. What they do not find is a clash of several demands: the solver's assumptions
name a set that clashes, and leaving out one demand after another makes it smallest.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from ortools.sat.python import cp_model

from scheduling.planner.problem import StepSpec, TimetableProblem, Window
from scheduling.planner.timetable_model import ClashModel
from scheduling.planner.timetable_network import Arc, allowed_starts, gap_arcs
from scheduling.planner.timetable_rules import (
    Demand,
    Refusal,
    TimetableRule,
    demands_of,
    spoken,
    spoken_window,
    spoken_windows,
    step_names,
)


def plain_refusals(problem: TimetableProblem) -> tuple[Refusal, ...]:
    """What simple sums refuse: every step's own troubles, else a circle, else too long a chain."""
    own = tuple(refusal for step in problem.steps for refusal in _own_troubles(problem, step))
    if own:
        return own
    circle = _circle(problem)
    return circle or _chains_too_long(problem)


# --- one step alone -------------------------------------------------------------------------


def _own_troubles(problem: TimetableProblem, step: StepSpec) -> Iterator[Refusal]:
    yield from _needs_above_a_pool(problem, step)
    reach = 0 if step.unattended else step.expected_min
    longest = max(window.end - window.start for window in step.windows)
    if reach > longest:
        yield Refusal(
            rule=TimetableRule.WINDOW,
            about=(step.id,),
            value=reach,
            limit=longest,
            fact=f"{step.name} takes {reach} min; its longest window has {longest} min.",
            remedy=f"Give it a window of {reach} min or more, or plan it shorter.",
        )
    elif not _inside_a_window(step, reach):
        yield Refusal(
            rule=TimetableRule.PIN,
            about=(step.id,),
            value=step.pinned_start,
            fact=(
                f"{step.name} ({step.expected_min} min) is fixed to "
                f"{spoken(step.pinned_start or 0)}; its time is {spoken_windows(step)}."
            ),
            remedy="Fix it inside that time, or free it.",
        )
    elif not allowed_starts(replace(problem, breaks=()), step):
        yield _station_closed(problem, step)
    elif not allowed_starts(problem, step):
        yield _stopped_by_breaks(problem, step)


def _needs_above_a_pool(problem: TimetableProblem, step: StepSpec) -> Iterator[Refusal]:
    for pool in problem.pools:
        amount = sum(need.amount for need in step.needs if need.pool == pool.id)
        if amount > pool.capacity:
            yield Refusal(
                rule=TimetableRule.POOL,
                about=(step.id, pool.id),
                value=amount,
                limit=pool.capacity,
                fact=(
                    f"{step.name} needs {amount} from {pool.name}; the pool has {pool.capacity}."
                ),
                remedy=f"Add {amount - pool.capacity}, or choose a way that needs fewer.",
            )


def _inside_a_window(step: StepSpec, reach: int) -> bool:
    pin = step.pinned_start
    return pin is None or any(
        window.start <= pin and pin + reach <= window.end for window in step.windows
    )


def _station_closed(problem: TimetableProblem, step: StepSpec) -> Refusal:
    places = problem.choices(step)
    hours = ", ".join(
        f"{place.name} {' or '.join(spoken_window(window) for window in place.windows)}"
        for place in places
        if place.windows
    )
    return Refusal(
        rule=TimetableRule.OPEN,
        about=(step.id, *(place.id for place in places)),
        value=step.expected_min,
        fact=(
            f"{step.name} ({step.expected_min} min) finds no time in its own hours, "
            f"{spoken_windows(step)}, and those of its station: {hours}."
        ),
        remedy="Widen either, or use another station.",
    )


def _stopped_by_breaks(problem: TimetableProblem, step: StepSpec) -> Refusal:
    if step.pinned_start is not None:
        return Refusal(
            rule=TimetableRule.BREAK,
            about=(step.id,),
            value=step.pinned_start,
            fact=(
                f"{step.name} ({step.expected_min} min) is fixed to {spoken(step.pinned_start)} "
                "and would run into a break."
            ),
            remedy="Move the break, or fix it to another time.",
        )
    longest = max(_longest_stretch(window, problem.breaks) for window in step.windows)
    return Refusal(
        rule=TimetableRule.BREAK,
        about=(step.id,),
        value=step.expected_min,
        limit=longest,
        fact=(
            f"{step.name} takes {step.expected_min} min without a stop; between breaks its time "
            f"has {longest} min at most."
        ),
        remedy="Move or shorten a break, widen its window, or plan it shorter.",
    )


def _longest_stretch(window: Window, breaks: tuple[Window, ...]) -> int:
    longest, free_from = 0, window.start
    for pause in sorted(breaks, key=lambda pause: (pause.start, pause.end)):
        longest = max(longest, min(pause.start, window.end) - free_from)
        free_from = max(free_from, pause.end)
    return max(longest, window.end - free_from)


# --- chains of steps ------------------------------------------------------------------------


def _circle(problem: TimetableProblem) -> tuple[Refusal, ...]:
    """Steps whose gaps, followed round, would have a step start after itself (Bellman-Ford)."""
    arcs = gap_arcs(problem)
    earliest = dict.fromkeys((step.id for step in problem.steps), 0)
    came_by: dict[str, Arc] = {}
    moved = ""
    for _ in problem.steps:
        moved = ""
        for arc in arcs:
            start = earliest[arc.before] + arc.least_min
            if start > earliest[arc.after]:
                earliest[arc.after], came_by[arc.after], moved = start, arc, arc.after
        if not moved:
            return ()
    return (_circle_refusal(problem, _walk_back(problem, moved, came_by)),) if moved else ()


def _walk_back(problem: TimetableProblem, step: str, came_by: dict[str, Arc]) -> list[Arc]:
    for _ in problem.steps:
        step = came_by[step].before
    circle = [came_by[step]]
    while circle[-1].before != step:
        circle.append(came_by[circle[-1].before])
    return circle[::-1]


def _circle_refusal(problem: TimetableProblem, circle: list[Arc]) -> Refusal:
    names = step_names(problem)
    steps = tuple(arc.before for arc in circle)
    over = sum(arc.least_min for arc in circle)
    listed = ", ".join(names[step] for step in steps)
    return Refusal(
        rule=TimetableRule.GAP_LEAST,
        about=steps,
        value=over,
        limit=0,
        fact=(
            f"{listed} wait for one another in a circle: with their gaps kept, each would start "
            f"{over} min after itself."
        ),
        remedy=f"Drop one of these gaps, or loosen them by {over} min.",
    )


def _chains_too_long(problem: TimetableProblem) -> tuple[Refusal, ...]:
    """Push every step to its earliest start; refuse the first that is pushed past its last one."""
    allowed = {step.id: allowed_starts(problem, step) for step in problem.steps}
    earliest = {step: spans[0].start for step, spans in allowed.items()}
    came_by: dict[str, Arc] = {}
    arcs = gap_arcs(problem)
    moved = True
    while moved:
        moved = False
        for arc in arcs:
            start = earliest[arc.before] + arc.least_min
            if start <= earliest[arc.after]:
                continue
            came_by[arc.after], moved = arc, True
            open_spans = [span for span in allowed[arc.after] if span.end >= start]
            if not open_spans:
                last = max(span.end for span in allowed[arc.after])
                return (_chain_refusal(problem, _chain_to(arc.after, came_by), start, last),)
            earliest[arc.after] = max(start, open_spans[0].start)
    return ()


def _chain_to(step: str, came_by: dict[str, Arc]) -> tuple[str, ...]:
    """The steps that pushed one another, from the first that stands on its own window."""
    chain = [step]
    while chain[-1] in came_by and came_by[chain[-1]].before not in chain:
        chain.append(came_by[chain[-1]].before)
    return tuple(reversed(chain))


def _chain_refusal(
    problem: TimetableProblem, chain: tuple[str, ...], start: int, last: int
) -> Refusal:
    names = step_names(problem)
    return Refusal(
        rule=TimetableRule.WINDOW,
        about=chain,
        value=start,
        limit=last,
        fact=(
            f"After {', '.join(names[step] for step in chain[:-1])}, {names[chain[-1]]} cannot "
            f"start before {spoken(start)}; its windows and breaks allow {spoken(last)} at the "
            "latest."
        ),
        remedy="Start the first earlier, shorten a step or a gap, or let the last one be later.",
    )


# --- several demands together ---------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """Demands that cannot hold together; ``is_smallest`` when each was proved necessary."""

    refusals: tuple[Refusal, ...]
    is_smallest: bool
    seconds: float


def smallest_clash(problem: TimetableProblem, *, seconds: float, seed: int) -> Clash:
    """Of a problem known to be impossible, find demands that clash, none of them to spare.

    A deletion filter: leave one demand out; if the rest still clash, it goes for good (with all
    that the solver did not use), else it is a member. Without enough time the clash is still
    one, but some members may be to spare.
    """
    search = _ClashSearch(problem, seconds=max(seconds, 1.0), seed=seed)
    suspects = search.narrowed(demands_of(problem))
    members: list[Demand] = []
    while suspects:
        trial, suspects = suspects[0], suspects[1:]
        outcome = search.outcome([*members, *suspects])
        if outcome == cp_model.INFEASIBLE:
            suspects = tuple(one for one in suspects if one in search.blamed)
        else:
            members.append(trial)
    kept = [demand for demand in demands_of(problem) if demand in members]
    return Clash(
        refusals=tuple(demand.refusal(problem) for demand in kept),
        is_smallest=not search.ran_out,
        seconds=search.spent,
    )


class _ClashSearch:
    """Asks again and again whether some of the demands can hold together."""

    def __init__(self, problem: TimetableProblem, *, seconds: float, seed: int) -> None:
        self.rules = ClashModel(problem)
        self.left = seconds
        self.spent = 0.0
        self.seed = seed
        self.ran_out = False
        self.blamed: frozenset[Demand] = frozenset()

    def narrowed(self, demands: tuple[Demand, ...]) -> tuple[Demand, ...]:
        """The demands that the solver used to see the clash; all of them if it cannot say."""
        if self.outcome(list(demands)) != cp_model.INFEASIBLE:
            return demands
        return tuple(demand for demand in demands if demand in self.blamed)

    def outcome(self, demands: list[Demand]) -> cp_model.CpSolverStatus:
        """Whether these demands can hold together; ``blamed`` are those used to see that not."""
        model, switches = self.rules.model, self.rules.switches
        model.clear_assumptions()
        model.add_assumptions([switches[demand] for demand in demands])
        solver = cp_model.CpSolver()
        solver.parameters.random_seed = self.seed
        solver.parameters.num_workers = 1
        solver.parameters.max_time_in_seconds = max(self.left / 4, 0.05)
        outcome = solver.solve(model)
        self.left -= solver.wall_time
        self.spent += solver.wall_time
        self.ran_out |= outcome == cp_model.UNKNOWN
        used = set(solver.sufficient_assumptions_for_infeasibility())
        # Where the clash shows before the search, the solver may blame nobody: then all stay.
        blamed = {demand for demand in demands if switches[demand].index in used}
        self.blamed = frozenset(blamed or demands)
        return outcome
