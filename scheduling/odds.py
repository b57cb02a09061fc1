"""How likely a day is to end in time, worked out when its times are written, and read back.

The runs take about a second, so they are done by whoever writes the times (the planner's job, a
move by hand) and kept beside them in ``RunSheet.timetable``: a page only reads.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TypedDict

from scheduling import light
from scheduling.gathering import Method
from scheduling.models import RunSheet
from scheduling.planner.errors import BadProblem
from scheduling.planner.problem import TimetableProblem
from scheduling.planner.reasons import reasons
from scheduling.planner.simulate import DayOdds, Odds, simulate

SHOWN_GAPS = 5  # more lines than this nobody reads: a judgement, no source
WATCH_FROM = 0.05
"""A step on the way to the end in fewer runs is not worth a word (a judgement, no source)."""


class KeptOdds(TypedDict):
    """The odds of a day as they are kept; moments in ISO 8601."""

    runs: int
    planned: str
    even: str
    promise: str
    curve: list[tuple[str, float]]
    closes: str
    by_close: float
    dark: str
    by_dark: float
    watch: str
    watch_share: float
    gaps: list[str]


def facts(
    method: Method, problem: TimetableProblem, starts: Mapping[str, int]
) -> dict[int, dict[str, object]]:
    """For each day's id: the odds of its end, and why each step stands where it stands."""
    day_number = {day.pk: _number(method, day.midnight) for day in method.days}
    asked = {day_number[day.pk]: _asked(method, day.pk) for day in method.days}
    why = reasons(problem, starts)
    try:
        odds = simulate(problem, starts, by=asked)
    except BadProblem:
        # A plan with something the runs do not know has no odds; its times are as good.
        odds = Odds(runs=0, seed=0, days=(), gaps=())
    by_day = {one.day: one for one in odds.days}
    found: dict[int, dict[str, object]] = {}
    for day in method.days:
        number = day_number[day.pk]
        codes = {code for code in why if starts[code] // (24 * 60) == number}
        found[day.pk] = {"why": {code: why[code] for code in codes}}
        if number in by_day:
            kept = _kept(method, problem, odds, by_day[number], asked[number])
            found[day.pk]["odds"] = kept
    return found


def _number(method: Method, moment: datetime) -> int:
    # Noon: an hour of summer time may lie between the origin's midnight and this one.
    return (method.clock.minute(moment) + 12 * 60) // (24 * 60)


def _asked(method: Method, day_id: int) -> dict[str, int]:
    """The times that odds are asked for: the day's close, and dark where it is known."""
    day = next(day for day in method.days if day.pk == day_id)
    asked = {"closes": method.clock.minute(day.at(day.closes))}
    seen = light.of_day(day)
    if seen and seen.dusk:
        asked["dark"] = method.clock.minute(seen.dusk)
    return asked


def _kept(
    method: Method,
    problem: TimetableProblem,
    odds: Odds,
    day: DayOdds,
    asked: Mapping[str, int],
) -> KeptOdds:
    def moment(minute: int) -> str:
        return method.clock.moment(minute).isoformat()

    names = {step.id: step.name for step in problem.steps}
    mine = {one.step for one in day.steps}
    watch = day.watch
    return KeptOdds(
        runs=odds.runs,
        planned=moment(day.planned_min),
        even=moment(day.even_min),
        promise=moment(day.promise_min),
        curve=[(moment(minute), share) for minute, share in day.curve],
        closes=moment(asked["closes"]),
        by_close=day.by["closes"],
        dark=moment(asked["dark"]) if "dark" in asked else "",
        by_dark=day.by.get("dark", 0.0),
        watch=names[watch.step] if watch and watch.critical >= WATCH_FROM else "",
        watch_share=watch.critical if watch else 0.0,
        gaps=[
            f"From {_lower(names[gap.before])} to {_lower(names[gap.after])}: longer than "
            f"{gap.most_min} min in {percent(gap.broken)} of the runs, then mostly by "
            f"{gap.over_min} min or more."
            for gap in odds.gaps
            if gap.before in mine or gap.after in mine
        ][:SHOWN_GAPS],
    )


def _lower(name: str) -> str:
    return f"{name[:1].lower()}{name[1:]}"


def percent(share: float) -> str:
    """A share in words; never 0 or 100, since runs prove neither.

    >>> percent(0.456), percent(0.001), percent(1.0)
    ('46 %', 'less than 1 %', 'more than 99 %')
    """
    if share < 0.01:
        return "less than 1 %"
    return "more than 99 %" if share > 0.99 else f"{share:.0%}".replace("%", " %")


@dataclass(frozen=True, slots=True, kw_only=True)
class EndOfDay:
    """What the run sheet says about the day's end."""

    planned: datetime
    even: datetime
    promise: datetime
    closes: datetime
    dark: datetime | None
    curve: tuple[tuple[datetime, float], ...]
    sentences: tuple[str, ...]
    gaps: tuple[str, ...]
    runs: int


def end_of_day(sheet: RunSheet) -> EndOfDay | None:
    """Read a day's odds back; None where its times were written without."""
    kept: KeptOdds | None = sheet.timetable.get("odds")
    if not kept:
        return None
    zone = sheet.day.workshop.zone

    def moment(text: str) -> datetime:
        return datetime.fromisoformat(text).astimezone(zone)

    closes, promise = moment(kept["closes"]), moment(kept["promise"])
    dark = moment(kept["dark"]) if kept["dark"] else None
    sentences = [
        f"Planned to end at {moment(kept['planned']):%H:%M}. Promise {promise:%H:%M}: in four runs "
        f"of five the day is over by then, in half of them by {moment(kept['even']):%H:%M}.",
        f"Over by the close at {closes:%H:%M} in {percent(kept['by_close'])} of the runs.",
    ]
    if dark:
        sentences.append(f"Over by dark at {dark:%H:%M} in {percent(kept['by_dark'])}.")
    if kept["watch"]:
        sentences.append(
            f"Watch {_lower(kept['watch'])}: the day's end waits for it in "
            f"{percent(kept['watch_share'])} of the runs, and its length spreads the end most."
        )
    return EndOfDay(
        planned=moment(kept["planned"]),
        even=moment(kept["even"]),
        promise=promise,
        closes=closes,
        dark=dark,
        curve=tuple((moment(text), share) for text, share in kept["curve"]),
        sentences=tuple(sentences),
        gaps=tuple(kept["gaps"]),
        runs=kept["runs"],
    )
