"""The hard rules of the timetable by name, each demand as a sentence, and times as people say them.

A *rule* is a kind of demand ("a station holds only so many"); a *demand* is one case of it in one
problem ("the trough holds one at a time"). The model, the refusals and the checker use the same
names.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import assert_never

from scheduling.planner.problem import (
    MINUTES_PER_DAY,
    Gap,
    Pool,
    StationSpec,
    StepSpec,
    TimetableProblem,
    Window,
)


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
    """One demand as a lead would put it: a rule, and the cases of it that stand or fall together.

    ``cases`` are places in the problem's lists: of steps for windows and pins, of gaps, breaks,
    stations or pools for the rest. The windows of all steps with the same hours are one demand,
    and so is the bare order of one hog's steps.
    """

    rule: TimetableRule
    cases: tuple[int, ...]

    def refusal(self, problem: TimetableProblem) -> Refusal:
        """Say the demand as one member of a clash, with what would take it out."""
        first = self.cases[0]
        match self.rule:
            case TimetableRule.WINDOW:
                return _windows_in_a_clash([problem.steps[case] for case in self.cases])
            case TimetableRule.BREAK:
                return _break_in_a_clash(problem.breaks[first])
            case TimetableRule.PIN:
                return _pin_in_a_clash(problem.steps[first])
            case TimetableRule.GAP_LEAST:
                return _least_gaps_in_a_clash(problem, [problem.gaps[case] for case in self.cases])
            case TimetableRule.GAP_MOST:
                return _most_gap_in_a_clash(problem, problem.gaps[first])
            case TimetableRule.STATION:
                return _station_in_a_clash(problem.stations[first])
            case TimetableRule.POOL:
                return _pool_in_a_clash(problem.pools[first])
            case _:
                assert_never(self.rule)


def demands_of(problem: TimetableProblem) -> tuple[Demand, ...]:
    """Every demand of a problem, in the order in which a clash is told."""
    subjects = {step.id: step.subject for step in problem.steps}
    steps, gaps = problem.steps, problem.gaps
    pinned = [case for case, step in enumerate(steps) if step.pinned_start is not None]
    limited = [case for case, gap in enumerate(gaps) if gap.most_min is not None]
    return (
        *_each_alone(TimetableRule.PIN, pinned),
        *_alike(TimetableRule.WINDOW, [(step.windows, step.unattended) for step in steps]),
        *_each_alone(TimetableRule.BREAK, range(len(problem.breaks))),
        *_alike(TimetableRule.GAP_LEAST, [_order_of(gap, subjects) for gap in gaps]),
        *_each_alone(TimetableRule.GAP_MOST, limited),
        *_each_alone(TimetableRule.STATION, range(len(problem.stations))),
        *_each_alone(TimetableRule.POOL, range(len(problem.pools))),
    )


def _each_alone(rule: TimetableRule, cases: Iterable[int]) -> Iterator[Demand]:
    return (Demand(rule=rule, cases=(case,)) for case in cases)


def _alike(rule: TimetableRule, keys: Iterable[Hashable]) -> Iterator[Demand]:
    groups: dict[Hashable, list[int]] = {}
    for case, key in enumerate(keys):
        groups.setdefault(key, []).append(case)
    return (Demand(rule=rule, cases=tuple(cases)) for cases in groups.values())


def _order_of(gap: Gap, subjects: dict[str, str]) -> Hashable:
    """The bare order of one subject's steps is one demand; a wait of some minutes is its own."""
    subject = subjects[gap.before]
    bare = gap.least_min == 0 and subject and subject == subjects[gap.after]
    return subject if bare else (gap.before, gap.after, gap.least_min, gap.most_min)


def step_names(problem: TimetableProblem) -> dict[str, str]:
    """Each step's name by its identifier."""
    return {step.id: step.name for step in problem.steps}


def _windows_in_a_clash(steps: list[StepSpec]) -> Refusal:
    minutes, several = sum(step.expected_min for step in steps), len(steps) > 1
    must = "start" if steps[0].unattended else "lie wholly"
    who = f"{steps[0].name} ({minutes} min)"
    if several:
        who = f"{len(steps)} steps from {steps[0].name} to {steps[-1].name} ({minutes} min in all)"
    return Refusal(
        rule=TimetableRule.WINDOW,
        about=tuple(step.id for step in steps),
        value=minutes,
        fact=f"{who} must {must} within {spoken_windows(steps[0])}.",
        remedy=f"Allow more time, or plan {'them' if several else 'it'} shorter.",
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


def _least_gaps_in_a_clash(problem: TimetableProblem, gaps: list[Gap]) -> Refusal:
    names = step_names(problem)
    about = tuple(dict.fromkeys(step for gap in gaps for step in (gap.before, gap.after)))
    if len(gaps) > 1:
        return Refusal(
            rule=TimetableRule.GAP_LEAST,
            about=about,
            fact=f"The steps from {names[about[0]]} to {names[about[-1]]} keep their order.",
            remedy="Let two of them overlap or change places.",
        )
    least = gaps[0].least_min
    when = f"at least {least} min after" if least else "only after"
    return Refusal(
        rule=TimetableRule.GAP_LEAST,
        about=about,
        value=least,
        fact=f"{names[about[-1]]} starts {when} {names[about[0]]} ends.",
        remedy="Shorten this gap." if least else "Let the two overlap or change places.",
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


def _station_in_a_clash(station: StationSpec) -> Refusal:
    pause = f", with {station.set_up_min} min between them" if station.set_up_min else ""
    held = "one step" if station.capacity == 1 else f"{station.capacity} steps"
    return Refusal(
        rule=TimetableRule.STATION,
        about=(station.id,),
        limit=station.capacity,
        fact=f"{station.name} holds {held} at a time{pause}.",
        remedy="Add a second one." if station.capacity == 1 else "Add room for one more.",
    )


def _pool_in_a_clash(pool: Pool) -> Refusal:
    return Refusal(
        rule=TimetableRule.POOL,
        about=(pool.id,),
        limit=pool.capacity,
        fact=f"The pool of {pool.name} has {pool.capacity}.",
        remedy="Add to the pool, or choose a way that needs fewer.",
    )
