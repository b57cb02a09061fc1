"""What limits the day, found by solving again.

Nothing here is guessed. A second trough is said to save 55 minutes because the day was planned
with a second trough and ended 55 minutes earlier.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from scheduling.planner.errors import BadProblem
from scheduling.planner.problem import (
    Pool,
    StationSpec,
    TimetableProblem,
    Window,
)
from scheduling.planner.timetable import Search
from scheduling.planner.timetable_answer import TimetableAnswer, last_ends
from scheduling.planner.timetable_goals import GoalModel
from scheduling.planner.timetable_network import day_of
from scheduling.planner.timetable_rules import spoken

__all__ = ["Limiting", "what_limits"]

HOUR = 60
# The least time in which one more solve is worth starting, seconds.
LEAST_SECONDS = 0.2


# --- what limits a day ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Limiting:
    """One station, pool or opening hour that holds up a day, and what one more would save.

    ``start`` and ``end`` are the minutes between which its critical steps lie. ``saves_min`` is
    how much earlier the day ended in the plan made with one more; ``proved`` tells that no plan
    with one more ends earlier still.
    """

    what: str
    name: str
    start: int
    end: int
    saves_min: int
    proved: bool
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Trial:
    """A change to the problem, the critical steps that it is about, and how to say what it does."""

    what: str
    name: str
    words: str
    steps: tuple[str, ...]
    problem: TimetableProblem


def what_limits(
    problem: TimetableProblem, answer: TimetableAnswer, seconds: float = 5.0
) -> tuple[Limiting, ...]:
    """What holds up the days of a plan, the greatest saving first.

    Tried are one more of each station and pool that a critical step uses, and each day opening an
    hour earlier. ``seconds`` (above 0) is shared among the trials; one that does not end a day
    earlier is left out. Raises ``BadProblem`` for a nonsensical ``seconds``.
    """
    if seconds <= 0:
        raise BadProblem(f"Looking for what limits for {seconds} s; the time must be above 0.")
    if not answer.starts:
        return ()
    trials = tuple(trial for trial in _trials(problem, answer) if trial.steps)
    found = []
    for number, trial in enumerate(trials):
        share = seconds / (len(trials) - number)
        begun, limiting = _tried(trial, answer, max(share, LEAST_SECONDS))
        seconds -= begun
        if limiting:
            found.append(limiting)
    return tuple(sorted(found, key=lambda one: (-one.saves_min, one.what)))


def _trials(problem: TimetableProblem, answer: TimetableAnswer) -> Iterator[_Trial]:
    critical = set(answer.critical)
    busy = [step for step in problem.steps if step.id in critical]
    for station in problem.stations:
        second = "a second one" if station.capacity == 1 else "room for one more"
        yield _Trial(
            what=station.id,
            name=station.name,
            words=f"{station.name} limits {{when}}; {second} would save {{saves}}.",
            steps=tuple(step.id for step in busy if answer.places[step.id] == station.id),
            problem=one_more_station(problem, station),
        )
    for pool in problem.pools:
        yield _Trial(
            what=pool.id,
            name=pool.name,
            words=f"The number of {pool.name} limits {{when}}; one more would save {{saves}}.",
            steps=tuple(
                step.id for step in busy if any(need.pool == pool.id for need in step.needs)
            ),
            problem=more_of_pool(problem, pool, 1),
        )
    for day in answer.finish:
        yield _Trial(
            what=f"day {day + 1}",
            name=f"Day {day + 1}",
            words=f"Day {day + 1} beginning an hour earlier would save {{saves}}.",
            steps=tuple(step.id for step in busy if day_of(answer.starts[step.id]) == day),
            problem=_opened_earlier(problem, day),
        )


def one_more_station(
    problem: TimetableProblem, station: StationSpec, *, number: int = 1
) -> TimetableProblem:
    """A twin of a station, open to every step that may be done there; ``number`` tells twins apart.

    >>> bench = StationSpec(id="b", name="Bench")
    >>> more = one_more_station(TimetableProblem(stations=(bench,), steps=()), bench)
    >>> [station.name for station in more.stations]
    ['Bench', 'Bench, 1 more']
    """
    twin = replace(
        station,
        id=f"{station.id}, {number} more",
        name=f"{station.name}, {number} more",
        capacity=1,
    )
    return replace(
        problem,
        stations=(*problem.stations, twin),
        steps=tuple(
            replace(step, or_at=(*step.or_at, twin.id)) if station.id in step.stations else step
            for step in problem.steps
        ),
    )


def more_of_pool(problem: TimetableProblem, pool: Pool, amount: int) -> TimetableProblem:
    """So many more in a pool."""
    more = replace(pool, capacity=pool.capacity + amount)
    return replace(
        problem, pools=tuple(more if one.id == pool.id else one for one in problem.pools)
    )


def _opened_earlier(problem: TimetableProblem, day: int) -> TimetableProblem:
    """The windows that open the day open an hour earlier."""
    opening = [
        window.start
        for step in problem.steps
        for window in step.windows
        if day_of(window.start) == day
    ]
    first = min(opening, default=None)

    def earlier(window: Window) -> Window:
        return replace(window, start=window.start - HOUR) if window.start == first else window

    return replace(
        problem,
        steps=tuple(
            replace(step, windows=tuple(earlier(window) for window in step.windows))
            for step in problem.steps
        ),
        stations=tuple(
            replace(station, windows=tuple(earlier(window) for window in station.windows))
            for station in problem.stations
        ),
    )


def _tried(trial: _Trial, answer: TimetableAnswer, seconds: float) -> tuple[float, Limiting | None]:
    search = Search(GoalModel(trial.problem), seconds=seconds, seed=answer.seed)
    search.rules.keep_alike_in_order()
    search.start_from(answer.starts)
    finish = [aim for aim in search.rules.aims() if aim.name == "finish"]
    search.run(tuple(finish))
    if not search.starts:
        return search.spent, None
    before, after = answer.finish, last_ends(trial.problem, search.starts)
    saves = {day: end - after[day] for day, end in before.items() if day in after}
    total = sum(saves.values())
    if total <= 0:
        return search.spent, None
    day = max(saves, key=lambda one: saves[one])
    return search.spent, _limiting(trial, answer, day, total, proved=search.goals[-1].proved)


def _limiting(
    trial: _Trial, answer: TimetableAnswer, day: int, saves_min: int, *, proved: bool
) -> Limiting:
    ends = answer.ends
    steps = [step for step in trial.steps if day_of(answer.starts[step]) == day] or trial.steps
    start, end = min(answer.starts[step] for step in steps), max(ends[step] for step in steps)
    return Limiting(
        what=trial.what,
        name=trial.name,
        start=start,
        end=end,
        saves_min=saves_min,
        proved=proved,
        sentence=trial.words.format(
            when=_day_and_times(start, end),
            saves=f"{saves_min} min" if proved else f"at least {saves_min} min",
        ),
    )


def _day_and_times(start: int, end: int) -> str:
    day, begins = spoken(start).split(", ")
    return f"{day} from {begins} to {spoken(end).split(', ')[1]}"
