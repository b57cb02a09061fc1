"""What would free an impossible timetable, found by solving again.

Nothing here is guessed: ten minutes more at a gap are said to be enough because a plan with them
was found, and with five there was none.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from ortools.sat.python import cp_model

from scheduling.planner.errors import BadProblem
from scheduling.planner.limits import LEAST_SECONDS, more_of_pool, one_more_station
from scheduling.planner.problem import StepSpec, TimetableProblem, Window
from scheduling.planner.timetable_answer import TimetableAnswer
from scheduling.planner.timetable_goals import GoalModel
from scheduling.planner.timetable_refusals import plain_refusals
from scheduling.planner.timetable_rules import Refusal, TimetableRule

__all__ = ["Freeing", "what_frees"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Freeing:
    """A demand that stands in the way, and the least change to it with which a plan was found.

    ``amount`` is in minutes or in pieces, None where no change tried was enough.
    """

    refusal: Refusal
    amount: int | None
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Easing:
    """How to loosen a demand by some amount: in steps of ``unit``, up to ``most``."""

    change: Callable[[int], TimetableProblem]
    unit: int
    most: int
    words: str


MINUTES_TRIED = (5, 480)  # the step, and the most: a working day
PIECES_TRIED = (1, 8)


def what_frees(
    problem: TimetableProblem, answer: TimetableAnswer, seconds: float = 5.0
) -> tuple[Freeing, ...]:
    """For each demand of a clash, the least change to it alone with which there is a plan.

    Each is tried by solving again, in steps of 5 min or of one piece; ``seconds`` (above 0) is
    shared among the demands. Raises ``BadProblem`` for a nonsensical ``seconds``.
    """
    if seconds <= 0:
        raise BadProblem(f"Looking for what frees for {seconds} s; the time must be above 0.")
    found = []
    for number, refusal in enumerate(answer.refusals):
        easing = _easing(problem, refusal)
        if easing:
            ends = _Purse(seconds / (len(answer.refusals) - number))
            amount = _least(easing, ends, seed=answer.seed)
            seconds = max(seconds - ends.spent, LEAST_SECONDS)
            found.append(Freeing(refusal=refusal, amount=amount, sentence=_said(easing, amount)))
    return tuple(found)


def _said(easing: _Easing, amount: int | None) -> str:
    if amount is None:
        return f"No plan was found even with {easing.words.format(easing.most)}."
    return f"Tried: with {easing.words.format(amount)} there is a plan."


class _Purse:
    """Time to spend on trying."""

    def __init__(self, seconds: float) -> None:
        self.seconds = seconds
        self.spent = 0.0

    def has_plan(self, problem: TimetableProblem, *, seed: int) -> bool:
        """Whether a plan was found; a search out of time counts as none."""
        if plain_refusals(problem):
            return False
        solver = cp_model.CpSolver()
        solver.parameters.max_time_in_seconds = max(self.seconds - self.spent, LEAST_SECONDS)
        solver.parameters.random_seed = seed
        solver.parameters.num_workers = 1
        outcome = solver.solve(GoalModel(problem).model)
        self.spent += solver.wall_time
        return outcome in {cp_model.OPTIMAL, cp_model.FEASIBLE}


def _least(easing: _Easing, purse: _Purse, *, seed: int) -> int | None:
    """Double until there is a plan, then halve the way back to the least amount."""
    enough, too_little = easing.unit, 0
    while not purse.has_plan(easing.change(enough), seed=seed):
        if enough >= easing.most:
            return None
        too_little, enough = enough, min(enough * 2, easing.most)
    while enough - too_little > easing.unit:
        middle = (enough + too_little) // 2 // easing.unit * easing.unit
        if purse.has_plan(easing.change(middle), seed=seed):
            enough = middle
        else:
            too_little = middle
    return enough


def _easing(problem: TimetableProblem, refusal: Refusal) -> _Easing | None:
    maker = _EASINGS.get(refusal.rule)
    return maker(problem, refusal) if maker else None


def _ease_windows(problem: TimetableProblem, refusal: Refusal) -> _Easing:
    def change(minutes: int) -> TimetableProblem:
        def later(step: StepSpec) -> StepSpec:
            if step.id not in refusal.about:
                return step
            last = max(step.windows, key=lambda window: window.end)
            longer = replace(last, end=last.end + minutes)
            return replace(
                step, windows=tuple(longer if one == last else one for one in step.windows)
            )

        return replace(problem, steps=tuple(later(step) for step in problem.steps))

    return _in_minutes(change, "hours {} min longer")


def _ease_hours(problem: TimetableProblem, refusal: Refusal) -> _Easing:
    def change(minutes: int) -> TimetableProblem:
        return replace(
            problem,
            stations=tuple(
                replace(
                    station,
                    windows=tuple(replace(one, end=one.end + minutes) for one in station.windows),
                )
                if station.id in refusal.about
                else station
                for station in problem.stations
            ),
        )

    return _in_minutes(change, "{} min more at the end of its hours")


def _ease_pin(problem: TimetableProblem, refusal: Refusal) -> _Easing:
    def change(minutes: int) -> TimetableProblem:
        def freer(step: StepSpec) -> StepSpec:
            if step.id not in refusal.about or step.pinned_start is None:
                return step
            first, last = step.pinned_start - minutes, step.pinned_start + minutes
            reach = 0 if step.unattended else step.expected_min
            spans = [(max(one.start, first), min(one.end, last + reach)) for one in step.windows]
            near = tuple(Window(start=a, end=b) for a, b in spans if a + reach <= b)
            return replace(step, pinned_start=None, windows=near) if near else step

        return replace(problem, steps=tuple(freer(step) for step in problem.steps))

    return _in_minutes(change, "it moved by up to {} min")


def _ease_least_gap(problem: TimetableProblem, refusal: Refusal) -> _Easing:
    about = set(refusal.about)

    def change(minutes: int) -> TimetableProblem:
        return replace(
            problem,
            gaps=tuple(
                replace(gap, least_min=gap.least_min - minutes)
                if {gap.before, gap.after} <= about
                else gap
                for gap in problem.gaps
            ),
        )

    return _in_minutes(change, "the least gap {} min shorter (0 and below: an overlap)")


def _ease_most_gap(problem: TimetableProblem, refusal: Refusal) -> _Easing:
    def change(minutes: int) -> TimetableProblem:
        return replace(
            problem,
            gaps=tuple(
                replace(gap, most_min=gap.most_min + minutes)
                if (gap.before, gap.after) == refusal.about and gap.most_min is not None
                else gap
                for gap in problem.gaps
            ),
        )

    return _in_minutes(change, "the longest gap {} min longer")


def _ease_meal(problem: TimetableProblem, refusal: Refusal) -> _Easing:
    def change(minutes: int) -> TimetableProblem:
        return replace(
            problem,
            meals=tuple(
                replace(meal, earliest=meal.earliest - minutes, latest=meal.latest + minutes)
                if meal.id in refusal.about
                else meal
                for meal in problem.meals
            ),
        )

    return _in_minutes(change, "it up to {} min earlier or later")


def _ease_station(problem: TimetableProblem, refusal: Refusal) -> _Easing:
    def change(pieces: int) -> TimetableProblem:
        station = next(one for one in problem.stations if one.id == refusal.about[0])
        changed = problem
        for number in range(1, pieces + 1):
            changed = one_more_station(changed, station, number=number)
        return changed

    return _in_pieces(change, "{} more of it")


def _ease_pool(problem: TimetableProblem, refusal: Refusal) -> _Easing:
    def change(pieces: int) -> TimetableProblem:
        pool = next(one for one in problem.pools if one.id == refusal.about[-1])
        return more_of_pool(problem, pool, pieces)

    return _in_pieces(change, "{} more in the pool")


def _in_minutes(change: Callable[[int], TimetableProblem], words: str) -> _Easing:
    unit, most = MINUTES_TRIED
    return _Easing(change=change, unit=unit, most=most, words=words)


def _in_pieces(change: Callable[[int], TimetableProblem], words: str) -> _Easing:
    unit, most = PIECES_TRIED
    return _Easing(change=change, unit=unit, most=most, words=words)


# A fixed break and a track are kept or dropped; there is no amount to try.
_EASINGS: dict[TimetableRule, Callable[[TimetableProblem, Refusal], _Easing]] = {
    TimetableRule.WINDOW: _ease_windows,
    TimetableRule.OPEN: _ease_hours,
    TimetableRule.PIN: _ease_pin,
    TimetableRule.GAP_LEAST: _ease_least_gap,
    TimetableRule.GAP_MOST: _ease_most_gap,
    TimetableRule.MEAL: _ease_meal,
    TimetableRule.STATION: _ease_station,
    TimetableRule.POOL: _ease_pool,
}
