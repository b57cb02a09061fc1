"""The hard rules of the timetable by name, each demand as a sentence, and times as people say them.

A *rule* is a kind of demand ("a station holds only so many"); a *demand* is one case of it in one
problem ("the trough holds one at a time"). The model, the refusals and the checker use the same
names.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from scheduling.planner.problem import (
    MINUTES_PER_DAY,
    Gap,
    StepSpec,
    TimetableProblem,
    Window,
)
from scheduling.planner.timetable_network import alike

Cases = tuple[int, ...]


class TimetableRule(StrEnum):
    """What no timetable may break."""

    WINDOW = "window"
    OPEN = "open"
    BREAK = "break"
    MEAL = "meal"
    PIN = "pin"
    GAP_LEAST = "gap_least"
    GAP_MOST = "gap_most"
    STATION = "station"
    TRACK = "track"
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
    meals, stations or pools for the rest, of ``tracked`` for tracks. The windows of all steps with
    the same hours are one demand, and so are the bare order of one hog's steps, and the room of
    stations that are alike.
    """

    rule: TimetableRule
    cases: tuple[int, ...]

    def refusal(self, problem: TimetableProblem) -> Refusal:
        """Say the demand as one member of a clash, with what would take it out."""
        return _IN_A_CLASH[self.rule](problem, self.cases)


def demands_of(problem: TimetableProblem) -> tuple[Demand, ...]:
    """Every demand of a problem, in the order in which a clash is told."""
    subjects = {step.id: step.subject for step in problem.steps}
    steps, gaps = problem.steps, problem.gaps
    pinned = [case for case, step in enumerate(steps) if step.pinned_start is not None]
    limited = [case for case, gap in enumerate(gaps) if gap.most_min is not None]
    with_hours = [case for case, station in enumerate(problem.stations) if station.windows]
    return (
        *_each_alone(TimetableRule.PIN, pinned),
        *_alike(TimetableRule.WINDOW, [(step.windows, step.unattended) for step in steps]),
        *_each_alone(TimetableRule.OPEN, with_hours),
        *_each_alone(TimetableRule.BREAK, range(len(problem.breaks))),
        *_each_alone(TimetableRule.MEAL, range(len(problem.meals))),
        *_alike(TimetableRule.GAP_LEAST, [_order_of(gap, subjects) for gap in gaps]),
        *_each_alone(TimetableRule.GAP_MOST, limited),
        *(Demand(rule=TimetableRule.STATION, cases=group) for group in alike(problem)),
        *_each_alone(TimetableRule.TRACK, range(len(tracked(problem)))),
        *_each_alone(TimetableRule.POOL, range(len(problem.pools))),
    )


def tracked(problem: TimetableProblem) -> tuple[str, ...]:
    """The subjects that stations of some track may hold, in the order of the steps."""
    tracks = {station.id for station in problem.stations if station.track}
    users = (step for step in problem.steps if step.subject and tracks.intersection(step.stations))
    return tuple(dict.fromkeys(step.subject for step in users))


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


def _windows_in_a_clash(problem: TimetableProblem, cases: Cases) -> Refusal:
    steps = [problem.steps[case] for case in cases]
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


def _break_in_a_clash(problem: TimetableProblem, cases: Cases) -> Refusal:
    pause = problem.breaks[cases[0]]
    return Refusal(
        rule=TimetableRule.BREAK,
        about=(),
        fact=f"Nobody works in the break, {spoken_window(pause)}.",
        remedy="Move or shorten the break.",
    )


def _pin_in_a_clash(problem: TimetableProblem, cases: Cases) -> Refusal:
    step = problem.steps[cases[0]]
    return Refusal(
        rule=TimetableRule.PIN,
        about=(step.id,),
        value=step.pinned_start,
        fact=f"{step.name} is fixed to {spoken(step.pinned_start or 0)}.",
        remedy="Free it, or fix it to another time.",
    )


def _least_gaps_in_a_clash(problem: TimetableProblem, cases: Cases) -> Refusal:
    gaps = [problem.gaps[case] for case in cases]
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


def _most_gap_in_a_clash(problem: TimetableProblem, cases: Cases) -> Refusal:
    gap = problem.gaps[cases[0]]
    names = step_names(problem)
    when = f"at most {gap.most_min} min after"
    return Refusal(
        rule=TimetableRule.GAP_MOST,
        about=(gap.before, gap.after),
        limit=gap.most_min,
        fact=f"{names[gap.after]} starts {when} {names[gap.before]} ends.",
        remedy="Allow a longer gap.",
    )


def _hours_in_a_clash(problem: TimetableProblem, cases: Cases) -> Refusal:
    station = problem.stations[cases[0]]
    hours = " or ".join(spoken_window(window) for window in station.windows)
    return Refusal(
        rule=TimetableRule.OPEN,
        about=(station.id,),
        fact=f"{station.name} can be used {hours}.",
        remedy="Widen these hours, or use another station.",
    )


def _meal_in_a_clash(problem: TimetableProblem, cases: Cases) -> Refusal:
    meal = problem.meals[cases[0]]
    start = spoken_window(Window(start=meal.earliest, end=meal.latest))
    return Refusal(
        rule=TimetableRule.MEAL,
        about=(meal.id,),
        value=meal.minutes,
        fact=f"Nobody works in {meal.name}, {meal.minutes} min that start from {start}.",
        remedy="Shorten it, or let it start earlier or later.",
    )


def _track_in_a_clash(problem: TimetableProblem, cases: Cases) -> Refusal:
    subject = tracked(problem)[cases[0]]
    return Refusal(
        rule=TimetableRule.TRACK,
        about=(subject,),
        fact=f"All steps of {subject} keep to one track.",
        remedy="Open a station to both tracks.",
    )


def _stations_in_a_clash(problem: TimetableProblem, cases: Cases) -> Refusal:
    stations = [problem.stations[case] for case in cases]
    first = stations[0]
    longest = max((first.set_up_min, *first.set_up_between.values()))
    pause = f", with {longest} min between them" if longest else ""
    if first.set_up_between:
        pause = f", with up to {longest} min between them"
    held = "one step" if first.capacity == 1 else f"{first.capacity} steps"
    names = ", ".join(station.name for station in stations)
    room = sum(station.capacity for station in stations)
    fact = f"{names} holds {held} at a time{pause}."
    if len(stations) > 1:
        fact = f"{names} hold {room} steps at a time together{pause}."
    return Refusal(
        rule=TimetableRule.STATION,
        about=tuple(station.id for station in stations),
        limit=room,
        fact=fact,
        remedy="Add a second one." if room == 1 else "Add room for one more.",
    )


def _pool_in_a_clash(problem: TimetableProblem, cases: Cases) -> Refusal:
    pool = problem.pools[cases[0]]
    return Refusal(
        rule=TimetableRule.POOL,
        about=(pool.id,),
        limit=pool.capacity,
        fact=f"The pool of {pool.name} has {pool.capacity}.",
        remedy="Add to the pool, or choose a way that needs fewer.",
    )


_IN_A_CLASH: dict[TimetableRule, Callable[[TimetableProblem, Cases], Refusal]] = {
    TimetableRule.WINDOW: _windows_in_a_clash,
    TimetableRule.OPEN: _hours_in_a_clash,
    TimetableRule.BREAK: _break_in_a_clash,
    TimetableRule.MEAL: _meal_in_a_clash,
    TimetableRule.PIN: _pin_in_a_clash,
    TimetableRule.GAP_LEAST: _least_gaps_in_a_clash,
    TimetableRule.GAP_MOST: _most_gap_in_a_clash,
    TimetableRule.STATION: _stations_in_a_clash,
    TimetableRule.TRACK: _track_in_a_clash,
    TimetableRule.POOL: _pool_in_a_clash,
}
