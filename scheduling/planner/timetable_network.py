"""Which step waits for which: gaps, and the order in which a plan uses stations and hands.

An arc says "``after`` starts at least ``least_min`` after ``before`` starts". Gaps give arcs both
ways (a longest gap is an arc back). A plan adds the arcs of the order it uses: a station's place
or a pool's unit passes from step to step. Keeping those arcs is enough to keep every station and
pool within its capacity, so the network tells how far steps can move while the order stays.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

from scheduling.planner.problem import (
    MINUTES_PER_DAY,
    Gap,
    Need,
    StationSpec,
    StepSpec,
    TimetableProblem,
    Window,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """``start[after] >= start[before] + least_min``."""

    before: str
    after: str
    least_min: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """A step keeps ``amount`` units of one station or pool from its start.

    It lets go at the latest of ``ends``: so many minutes after the start of this or that step.
    ``at`` names the station where the step has a choice, else it is empty.
    """

    step: str
    amount: int
    ends: tuple[tuple[str, int], ...]
    at: str = ""

    @property
    def minutes(self) -> int:
        """The least time it lasts: what does not hang on other steps."""
        return max((minutes for step, minutes in self.ends if step == self.step), default=0)

    def until(self, starts: Mapping[str, int]) -> int:
        """When it lets go in a plan."""
        return max(starts[step] + minutes for step, minutes in self.ends)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shared:
    """A station, some stations alike, or a pool: how much there is, and which steps hold it.

    ``case`` is its place in the problem's list (of the first of several stations).
    """

    id: str
    case: int
    capacity: int
    holds: tuple[Hold, ...]
    away: tuple[tuple[Window, int], ...] = ()


def day_of(minute: int) -> int:
    """The day, from 0, on which a minute falls."""
    return minute // MINUTES_PER_DAY


# --- where and when a step may be -----------------------------------------------------------


def allowed_starts(
    problem: TimetableProblem, step: StepSpec, *, place: str | None = None
) -> tuple[Window, ...]:
    """The stretches of time in which a step may start, by its windows, the breaks and its pin.

    At the station ``place``; without one, at any that it may be done at.
    """
    reach = 0 if step.unattended else step.expected_min
    spans = [
        (max(window.start, opening.start), min(window.end, opening.end) - reach)
        for window in step.windows
        for opening in openings(problem, step, place=place)
    ]
    if not step.unattended:
        for pause in problem.breaks:
            early, late = pause.start - step.expected_min, pause.end
            spans = [
                part
                for first, last in spans
                for part in ((first, min(last, early)), (max(first, late), last))
                if part[0] <= part[1]
            ]
    if step.pinned_start is not None:
        pin = step.pinned_start
        spans = [(max(first, pin), min(last, pin)) for first, last in spans]
    kept = sorted({(first, last) for first, last in spans if first <= last})
    return tuple(Window(start=first, end=last) for first, last in kept)


def openings(
    problem: TimetableProblem, step: StepSpec, *, place: str | None = None
) -> tuple[Window, ...]:
    """The hours of the stations where a step may be done; the step's own where one has none."""
    found: list[Window] = []
    for station in problem.choices(step):
        if place is None or station.id == place:
            found += station.windows or step.windows
    return tuple(dict.fromkeys(found))


def alike(problem: TimetableProblem) -> tuple[tuple[int, ...], ...]:
    """Stations in groups, by their places in the list, that plan as one of greater capacity.

    Every step at one of them may be done at each, their hours and set-ups are the same, and they
    belong to no track. All others are groups of one.
    """
    users: dict[str, set[tuple[str, ...]]] = {station.id: set() for station in problem.stations}
    for step in problem.steps:
        for place in step.stations:
            users[place].add(tuple(sorted(step.stations)))
    groups: dict[object, list[int]] = {}
    for case, station in enumerate(problem.stations):
        choices = users[station.id]
        plain = not station.set_up_between and not station.track and len(choices) == 1
        key = (*choices, station.set_up_min, station.windows) if plain else case
        groups.setdefault(key, []).append(case)
    ids = [station.id for station in problem.stations]
    whole: list[tuple[int, ...]] = []
    for group in groups.values():
        together = tuple(sorted(ids[case] for case in group))
        if len(group) > 1 and users[together[0]] == {together}:
            whole.append(tuple(group))
        else:
            whole += [(case,) for case in group]
    return tuple(sorted(whole))


# --- who holds what -------------------------------------------------------------------------


class _Ends:
    """When holds end: after the step, and while the carcass keeps its place."""

    def __init__(self, problem: TimetableProblem) -> None:
        self.minutes = {step.id: step.expected_min for step in problem.steps}
        self.after: dict[str, list[Gap]] = {}
        for gap in problem.gaps:
            self.after.setdefault(gap.before, []).append(gap)

    def at_station(self, step: StepSpec, set_up: int) -> tuple[tuple[str, int], ...]:
        ends = [(step.id, step.expected_min + set_up)]
        for gap in self.after.get(step.id, ()):
            if gap.keeps_place:
                ends.append((gap.after, set_up))
            elif step.stretch_min and gap.most_min is not None:
                ends.append((gap.after, set_up - gap.most_min))
        return tuple(ends)

    def of_need(self, step: StepSpec, need: Need) -> tuple[tuple[str, int], ...]:
        last = need.until or step.id
        return ((last, self.minutes[last] + need.rest_min),)


def stations_held(problem: TimetableProblem) -> tuple[Shared, ...]:
    """Every station that can be short, those alike as one; a hold lasts through the set-up.

    Where set-ups differ by pairs, a hold lasts through the shortest after its step.
    """
    ends = _Ends(problem)
    found = []
    for group in alike(problem):
        stations = [problem.stations[case] for case in group]
        first = stations[0]
        users = [step for step in problem.steps if first.id in step.stations]
        holds = [
            Hold(
                step=step.id,
                amount=1,
                ends=ends.at_station(step, _shortest_set_up(first, step, users)),
                at="" if len(step.stations) == len(group) else first.id,
            )
            for step in users
        ]
        found.append(
            Shared(
                id=first.id,
                case=group[0],
                capacity=sum(station.capacity for station in stations),
                holds=tuple(holds),
            )
        )
    return tuple(found)


def _shortest_set_up(station: StationSpec, step: StepSpec, users: list[StepSpec]) -> int:
    others = [station.set_up(step.id, other.id) for other in users if other.id != step.id]
    return min(others, default=0)


def pools_held(problem: TimetableProblem) -> tuple[Shared, ...]:
    """Every pool in the problem's order; a hold lasts through the rest after its step."""
    ends = _Ends(problem)
    return tuple(
        Shared(
            id=pool.id,
            case=case,
            capacity=pool.capacity,
            holds=tuple(
                Hold(step=step.id, amount=need.amount, ends=ends.of_need(step, need))
                for step in problem.steps
                for need in step.needs
                if need.pool == pool.id
            ),
            away=tuple((away.window, away.amount) for away in pool.away),
        )
        for case, pool in enumerate(problem.pools)
    )


def places_of(problem: TimetableProblem, starts: Mapping[str, int]) -> dict[str, str]:
    """A station for every step that may go to any of some stations alike.

    First come, first served: whoever starts earliest takes the place that came free longest ago.
    """
    ends = _Ends(problem)
    places = {}
    for group in alike(problem):
        if len(group) == 1:
            continue
        stations = [problem.stations[case] for case in group]
        free = [(-MINUTES_PER_DAY, place.id) for place in stations for _ in range(place.capacity)]
        users = [step for step in problem.steps if stations[0].id in step.stations]
        for step in sorted(users, key=lambda step: (starts[step.id], step.id)):
            free.sort()
            _, places[step.id] = free.pop(0)
            hold = Hold(step=step.id, amount=1, ends=ends.at_station(step, stations[0].set_up_min))
            free.append((hold.until(starts), places[step.id]))
    return places


# --- arcs -----------------------------------------------------------------------------------


def gap_arcs(problem: TimetableProblem) -> tuple[Arc, ...]:
    """The arcs of the gaps: forward for the least, back for the most (and the stretch)."""
    steps = {step.id: step for step in problem.steps}
    arcs = []
    for gap in problem.gaps:
        before = steps[gap.before]
        ends = before.expected_min
        arcs.append(Arc(before=gap.before, after=gap.after, least_min=ends + gap.least_min))
        if gap.most_min is not None:
            most = ends + before.stretch_min + gap.most_min
            arcs.append(Arc(before=gap.after, after=gap.before, least_min=-most))
    return tuple(arcs)


def order_arcs(
    problem: TimetableProblem, starts: Mapping[str, int], places: Mapping[str, str]
) -> tuple[Arc, ...]:
    """The arcs of the order in which a plan hands on each place and each unit.

    A step takes units that nobody has held yet, then those that came free longest ago, so that
    no step waits for another that it need not wait for. Units that are away are handed on to the
    end of the window under the name of the pool and a number.
    """
    ends = _Ends(problem)
    arcs: list[Arc] = []
    for station in problem.stations:
        users = [step for step in problem.steps if places[step.id] == station.id]
        holds = [
            Hold(step=step.id, amount=1, ends=ends.at_station(step, set_up=0)) for step in users
        ]
        arcs += _handed_on(station.capacity, holds, starts, station.set_up)
    known = {**starts, **away_starts(problem)}
    for pool in pools_held(problem):
        arcs += _handed_on(pool.capacity, [*pool.holds, *_away_holds(pool)], known)
    return tuple(arcs)


def away_starts(problem: TimetableProblem) -> dict[str, int]:
    """When units of pools go away, as if each absence were a step."""
    return {
        f"{pool.id} away {number}": away.window.start
        for pool in problem.pools
        for number, away in enumerate(pool.away)
    }


def _away_holds(pool: Shared) -> Iterator[Hold]:
    for number, (window, amount) in enumerate(pool.away):
        name = f"{pool.id} away {number}"
        yield Hold(step=name, amount=amount, ends=((name, window.end - window.start),))


def _handed_on(
    capacity: int,
    holds: list[Hold],
    starts: Mapping[str, int],
    set_up: Callable[[str, str], int] = lambda before, after: 0,
) -> Iterator[Arc]:
    fresh = capacity
    free: list[tuple[int, int, str, Hold]] = []
    for hold in sorted(holds, key=lambda hold: (starts[hold.step], hold.step)):
        new = min(fresh, hold.amount)
        fresh -= new
        free.sort(key=lambda unit: unit[:3])
        taken, free = free[: hold.amount - new], free[hold.amount - new :]
        for former in {unit[2]: unit[3] for unit in taken}.values():
            pause = set_up(former.step, hold.step)
            for anchor, minutes in former.ends:
                if anchor != hold.step:
                    yield Arc(before=anchor, after=hold.step, least_min=minutes + pause)
        free += [(hold.until(starts), starts[hold.step], hold.step, hold)] * hold.amount


def latest_starts(
    problem: TimetableProblem,
    starts: Mapping[str, int],
    places: Mapping[str, str],
    last_ends: Mapping[int, int],
) -> dict[str, int]:
    """The latest start of each step if the plan's order and each day's last end are kept.

    Every step stays at its station, on its day, in its windows, off the breaks and the meals as
    planned, and within its gaps. Starting from the loosest times, each arc pulls its first step
    earlier until nothing moves; the plan itself satisfies every arc, so no step is pulled before
    its planned start.
    """
    allowed = _as_placed(problem, starts, places)
    latest = away_starts(problem)
    for step in problem.steps:
        day = day_of(starts[step.id])
        limit = (day + 1) * MINUTES_PER_DAY - 1
        if not step.unattended:
            limit = min(limit, last_ends[day] - step.expected_min)
        latest[step.id] = _last_allowed(allowed[step.id], limit)
    arcs = (*gap_arcs(problem), *order_arcs(problem, starts, places))
    moved = True
    while moved:
        moved = False
        for arc in arcs:
            limit = latest[arc.after] - arc.least_min
            if latest[arc.before] > limit:
                latest[arc.before] = _last_allowed(allowed[arc.before], limit)
                moved = True
    return latest


def earliest_starts(
    problem: TimetableProblem, starts: Mapping[str, int], places: Mapping[str, str]
) -> dict[str, int]:
    """The earliest start of each step if the plan's order, places and meals are kept.

    From the loosest times, each arc pushes its later step on until nothing moves; no step is
    pushed beyond its planned start, for the plan itself satisfies every arc.
    """
    allowed = _as_placed(problem, starts, places)
    earliest = {name: spans[0].start for name, spans in allowed.items()}
    arcs = (*gap_arcs(problem), *order_arcs(problem, starts, places))
    moved = True
    while moved:
        moved = False
        for arc in arcs:
            limit = earliest[arc.before] + arc.least_min
            if earliest[arc.after] < limit:
                spans = allowed[arc.after]
                earliest[arc.after] = min(
                    max(span.start, limit) for span in spans if span.end >= limit
                )
                moved = True
    return {step.id: earliest[step.id] for step in problem.steps} | {
        meal.id: starts[meal.id] for meal in problem.meals
    }


def _as_placed(
    problem: TimetableProblem, starts: Mapping[str, int], places: Mapping[str, str]
) -> dict[str, tuple[Window, ...]]:
    """Where each step may start at its planned station, with the meals as planned."""
    meals = [
        Window(start=starts[one.id], end=starts[one.id] + one.minutes) for one in problem.meals
    ]
    fixed = replace(problem, breaks=(*problem.breaks, *meals), meals=())
    allowed = {
        step.id: allowed_starts(fixed, step, place=places[step.id]) for step in problem.steps
    }
    for name, start in away_starts(problem).items():
        allowed[name] = (Window(start=start, end=start),)
    return allowed


def _last_allowed(spans: tuple[Window, ...], limit: int) -> int:
    return max(min(span.end, limit) for span in spans if span.start <= limit)
