"""The hard rules of the timetable by name, each demand as a sentence, and times as people say them.

A *rule* is a kind of demand ("a station holds only so many"); a *demand* is one case of it in one
problem ("the trough holds one at a time"). The model, the refusals and the checker use the same
names.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import assert_never

from scheduling.planner.problem import MINUTES_PER_DAY, Gap, StepSpec, TimetableProblem, Window


class TimetableRule(StrEnum):
    """What no timetable may break."""

    WINDOW = "window"
    BREAK = "break"
    PIN = "pin"
    GAP_LEAST = "gap_least"
    GAP_MOST = "gap_most"
    STATION = "station"
    POOL = "pool"


def spoken(minute: int) -> str:
    """Say a minute of the course as a day and a time.

    >>> spoken(8 * 60 + 5), spoken(1440 + 13 * 60)
    ('day 1, 08:05', 'day 2, 13:00')
    """
    day, rest = divmod(minute, MINUTES_PER_DAY)
    return f"day {day + 1}, {rest // 60:02d}:{rest % 60:02d}"


def spoken_window(window: Window) -> str:
    """Say a stretch of time, naming the day once where it can.

    >>> spoken_window(Window(start=480, end=720)), spoken_window(Window(start=480, end=2000))
    ('day 1, 08:00 to 12:00', 'day 1, 08:00 to day 2, 09:20')
    """
    start, end = spoken(window.start), spoken(window.end)
    day, time = end.split(", ")
    return f"{start} to {time}" if start.startswith(f"{day},") else f"{start} to {end}"


def spoken_windows(step: StepSpec) -> str:
    """Say all windows of a step."""
    return " or ".join(spoken_window(window) for window in step.windows)


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """One demand that cannot be kept, alone or together with the others beside it.

    ``about`` holds the identifiers of what the demand is about. ``value`` and ``limit`` are the
    figures that do not fit where there are two such figures. ``fact`` and ``remedy`` are whole
    sentences.
    """

    rule: TimetableRule
    about: tuple[str, ...]
    fact: str
    remedy: str
    value: int | None = None
    limit: int | None = None

    def sentence(self) -> str:
        """Say what does not fit and what would."""
        return f"{self.fact} {self.remedy}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """One case of a rule; ``index`` counts the windows' or pins' steps, the breaks, gaps, ..."""

    rule: TimetableRule
    index: int

    def refusal(self, problem: TimetableProblem) -> Refusal:
        """Say the demand as one member of a clash, with what would take it out."""
        match self.rule:
            case TimetableRule.WINDOW:
                return _window_in_a_clash(problem.steps[self.index])
            case TimetableRule.BREAK:
                return _break_in_a_clash(problem.breaks[self.index])
            case TimetableRule.PIN:
                return _pin_in_a_clash(problem.steps[self.index])
            case TimetableRule.GAP_LEAST:
                return _least_gap_in_a_clash(problem, problem.gaps[self.index])
            case TimetableRule.GAP_MOST:
                return _most_gap_in_a_clash(problem, problem.gaps[self.index])
            case TimetableRule.STATION:
                return _station_in_a_clash(problem, self.index)
            case TimetableRule.POOL:
                return _pool_in_a_clash(problem, self.index)
            case _:
                assert_never(self.rule)


def demands_of(problem: TimetableProblem) -> tuple[Demand, ...]:
    """Every demand of a problem, in the order in which a clash is told."""
    steps, gaps = enumerate(problem.steps), enumerate(problem.gaps)
    pinned = [index for index, step in steps if step.pinned_start is not None]
    limited = [index for index, gap in gaps if gap.most_min is not None]
    cases = {
        TimetableRule.PIN: pinned,
        TimetableRule.WINDOW: range(len(problem.steps)),
        TimetableRule.BREAK: range(len(problem.breaks)),
        TimetableRule.GAP_LEAST: range(len(problem.gaps)),
        TimetableRule.GAP_MOST: limited,
        TimetableRule.STATION: range(len(problem.stations)),
        TimetableRule.POOL: range(len(problem.pools)),
    }
    return tuple(
        Demand(rule=rule, index=index) for rule, indexes in cases.items() for index in indexes
    )


def step_names(problem: TimetableProblem) -> dict[str, str]:
    """Each step's name by its identifier."""
    return {step.id: step.name for step in problem.steps}


def _window_in_a_clash(step: StepSpec) -> Refusal:
    verb = "starts" if step.unattended else "lies wholly"
    return Refusal(
        rule=TimetableRule.WINDOW,
        about=(step.id,),
        value=step.expected_min,
        fact=f"{step.name} ({step.expected_min} min) {verb} within {spoken_windows(step)}.",
        remedy="Widen its window, or plan it shorter.",
    )


def _break_in_a_clash(pause: Window) -> Refusal:
    return Refusal(
        rule=TimetableRule.BREAK,
        about=(),
        fact=f"Nobody works in the break, {spoken_window(pause)}.",
        remedy="Move or shorten the break.",
    )


def _pin_in_a_clash(step: StepSpec) -> Refusal:
    return Refusal(
        rule=TimetableRule.PIN,
        about=(step.id,),
        value=step.pinned_start,
        fact=f"{step.name} is fixed to {spoken(step.pinned_start or 0)}.",
        remedy="Free it, or fix it to another time.",
    )


def _least_gap_in_a_clash(problem: TimetableProblem, gap: Gap) -> Refusal:
    names = step_names(problem)
    when = f"at least {gap.least_min} min after" if gap.least_min else "only after"
    return Refusal(
        rule=TimetableRule.GAP_LEAST,
        about=(gap.before, gap.after),
        value=gap.least_min,
        fact=f"{names[gap.after]} starts {when} {names[gap.before]} ends.",
        remedy="Shorten this gap." if gap.least_min else "Let the two overlap or change places.",
    )


def _most_gap_in_a_clash(problem: TimetableProblem, gap: Gap) -> Refusal:
    names = step_names(problem)
    when = f"at most {gap.most_min} min after"
    return Refusal(
        rule=TimetableRule.GAP_MOST,
        about=(gap.before, gap.after),
        limit=gap.most_min,
        fact=f"{names[gap.after]} starts {when} {names[gap.before]} ends.",
        remedy="Allow a longer gap.",
    )


def _station_in_a_clash(problem: TimetableProblem, index: int) -> Refusal:
    station = problem.stations[index]
    pause = f", with {station.set_up_min} min between them" if station.set_up_min else ""
    held = "one step" if station.capacity == 1 else f"{station.capacity} steps"
    return Refusal(
        rule=TimetableRule.STATION,
        about=(station.id,),
        limit=station.capacity,
        fact=f"{station.name} holds {held} at a time{pause}.",
        remedy="Add a second one." if station.capacity == 1 else "Add room for one more.",
    )


def _pool_in_a_clash(problem: TimetableProblem, index: int) -> Refusal:
    pool = problem.pools[index]
    return Refusal(
        rule=TimetableRule.POOL,
        about=(pool.id,),
        limit=pool.capacity,
        fact=f"The pool of {pool.name} has {pool.capacity}.",
        remedy="Add to the pool, or choose a way that needs fewer.",
    )
