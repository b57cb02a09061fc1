"""A first plan without a search: each step as early as it fits, one after another.

A search starts from it, and where the time runs out before the search has a plan of its own, this
is the answer. It is a rule of thumb, so nothing is said by its failing; what it gives passes the
checker.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from heapq import heapify, heappop, heappush

from scheduling.planner.check_timetable import check_timetable
from scheduling.planner.problem import StationSpec, StepSpec, TimetableProblem, Window
from scheduling.planner.timetable_network import Arc, allowed_starts, gap_arcs

# Each return to an earlier step costs about a pass through the steps since; after so many a step
# the search has a plan sooner (seen on the published sets).
RETURNS_A_STEP = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstPlan:
    """When each step (and meal) starts, and where."""

    starts: Mapping[str, int]
    places: Mapping[str, str]


def first_plan(problem: TimetableProblem) -> FirstPlan | None:
    """Put every step at the first time that fits; None where that leads nowhere.

    Serial schedule generation: steps in an order that keeps "before" before "after", one carcass
    after another; start[s] = the first minute that the gaps, windows, breaks, station and pools
    allow. Where that breaks a longest gap to a step placed before, that one may start no earlier
    than the gap asks, and all is placed again from there. Meals stay at their wished times.

    >>> step = StepSpec(id="s", name="Scald", station="t", expected_min=12,
    ...                 windows=(Window(start=480, end=600),))
    >>> found = first_plan(TimetableProblem(
    ...     stations=(StationSpec(id="t", name="Trough"),), steps=(step,)))
    >>> found.starts["s"], found.places["s"]
    (480, 't')

    Source: serial schedule generation of project scheduling, with unscheduling for longest gaps
    (from memory).
    """
    order = _in_order(problem)
    if order is None:
        return None
    found = _Placing(problem, order).run()
    if found is None or check_timetable(problem, found.starts, found.places):
        return None
    return found


# --- the order ------------------------------------------------------------------------------


def _in_order(problem: TimetableProblem) -> tuple[StepSpec, ...] | None:
    """What must not start after another comes before it; None where that is a circle.

    Of those that may come next: what belongs to no carcass, then carcass by carcass, and of one
    carcass what has the longest way to the end behind it.
    """
    steps = {step.id: step for step in problem.steps}
    forward = [arc for arc in gap_arcs(problem) if arc.least_min >= 0]
    tails = _tails(problem, forward)
    if tails is None:
        return None
    after: dict[str, list[str]] = {name: [] for name in steps}
    waits = dict.fromkeys(steps, 0)
    for arc in forward:
        after[arc.before].append(arc.after)
        waits[arc.after] += 1
    rank = {subject: n for n, subject in enumerate(dict.fromkeys(s.subject for s in problem.steps))}
    rank[""] = -1

    def key(name: str) -> tuple[int, int, str]:
        return rank[steps[name].subject], -tails[name], name

    ready = [key(name) for name, count in waits.items() if not count]
    heapify(ready)
    order = []
    while ready:
        name = heappop(ready)[2]
        order.append(steps[name])
        for later in after[name]:
            waits[later] -= 1
            if not waits[later]:
                heappush(ready, key(later))
    return tuple(order) if len(order) == len(steps) else None


def _tails(problem: TimetableProblem, forward: list[Arc]) -> dict[str, int] | None:
    """The longest way from the start of each step to the end; None where there is a circle."""
    tails = {step.id: step.expected_min for step in problem.steps}
    for _ in range(len(tails) + 1):
        moved = False
        for arc in reversed(forward):
            longer = tails[arc.after] + arc.least_min
            if longer > tails[arc.before]:
                tails[arc.before], moved = longer, True
        if not moved:
            return tails
    return None


# --- placing --------------------------------------------------------------------------------


class _Profile:
    """How much of a station or a pool is held at each minute."""

    def __init__(self, capacity: int, span: Window) -> None:
        self.capacity = capacity
        self.first = span.start
        self.held = [0] * (span.end - span.start)

    def next_fit(self, start: int, minutes: int, amount: int) -> int:
        """The start itself if so much is free all the while, else a later one to try."""
        begin, room = start - self.first, self.capacity - amount
        stretch = self.held[begin : begin + minutes]
        if not stretch or max(stretch) <= room:
            return start
        last = max(n for n, held in enumerate(stretch) if held > room)
        return start + last + 1

    def hold(self, start: int, minutes: int, amount: int) -> None:
        """Hold so much from then on; a negative amount gives it back."""
        begin = max(0, start - self.first)
        for minute in range(begin, min(start - self.first + minutes, len(self.held))):
            self.held[minute] += amount


@dataclass(frozen=True, slots=True, kw_only=True)
class _Claim:
    """What a step asks of one profile while it runs and after: minutes from its start."""

    thing: str
    minutes: int
    amount: int


class _Placing:
    """Steps placed so far, and what they hold."""

    def __init__(self, problem: TimetableProblem, order: tuple[StepSpec, ...]) -> None:
        self.problem = problem
        self.order = order
        self.at = {step.id: n for n, step in enumerate(order)}
        self.meals = {meal.id: meal.wished for meal in problem.meals}
        at_table = tuple(
            Window(start=meal.wished, end=meal.wished + meal.minutes) for meal in problem.meals
        )
        fixed = replace(problem, breaks=(*problem.breaks, *at_table), meals=())
        self.allowed = {
            (step.id, place.id): allowed_starts(fixed, step, place=place.id)
            for step in order
            for place in problem.choices(step)
        }
        self.profiles = self._profiles()
        self.into: dict[str, list[Arc]] = {step.id: [] for step in order}
        self.limits: dict[str, list[Arc]] = {step.id: [] for step in order}
        for arc in gap_arcs(problem):
            early = self.at[arc.before] < self.at[arc.after]
            if early:
                self.into[arc.after].append(arc)
            else:
                self.limits[arc.before].append(arc)
        self.floor = {step.id: min(w.start for w in step.windows) for step in order}
        self.starts: dict[str, int] = {}
        self.places: dict[str, str] = {}

    def run(self) -> FirstPlan | None:
        left = RETURNS_A_STEP * len(self.order)
        number = 0
        while number < len(self.order):
            step = self.order[number]
            spot = self._spot(step)
            if spot is None:
                return None
            late = self._too_late(step, spot[0])
            if late is None:
                self._put(step, *spot)
                number += 1
                continue
            left -= 1
            if not left:
                return None
            back, self.floor[back] = late[0], late[1]
            number = self.at[back]
            for other in self.order[number:]:
                self._lift(other)
        return FirstPlan(starts=self.starts | self.meals, places=self.places)

    def _too_late(self, step: StepSpec, start: int) -> tuple[str, int] | None:
        """The step placed before that this start would leave too far behind, and its new floor."""
        for arc in self.limits[step.id]:
            floor = start + arc.least_min
            if self.starts[arc.after] < floor:
                return arc.after, floor
        return None

    def _spot(self, step: StepSpec) -> tuple[int, str] | None:
        """The first time and place that fit."""
        floor = self.floor[step.id]
        for arc in self.into[step.id]:
            floor = max(floor, self.starts[arc.before] + arc.least_min)
        spots = [
            (start, place.id)
            for place in self._choices(step)
            for start in self._first_fit(step, place, floor)
        ]
        return min(spots, default=None)

    def _choices(self, step: StepSpec) -> Iterator[StationSpec]:
        """The stations left to a step by the track that its carcass is on."""
        tracks = {station.id: station.track for station in self.problem.stations}
        taken = {
            tracks[self.places[other.id]]
            for other in self.order
            if step.subject and other.subject == step.subject and other.id in self.places
        } - {""}
        for place in self.problem.choices(step):
            if not place.track or not taken or place.track in taken:
                yield place

    def _first_fit(self, step: StepSpec, place: StationSpec, floor: int) -> Iterator[int]:
        claims = self._claims(step, place)
        for span in self.allowed[step.id, place.id]:
            start = max(span.start, floor)
            while start <= span.end:
                fits = max(
                    self.profiles[claim.thing].next_fit(start, claim.minutes, claim.amount)
                    for claim in claims
                )
                if fits == start:
                    yield start
                    return
                start = fits

    def _claims(self, step: StepSpec, place: StationSpec) -> list[_Claim]:
        longest = max((place.set_up_min, *place.set_up_between.values()))
        claims = [_Claim(thing=f"at {place.id}", minutes=step.expected_min + longest, amount=1)]
        claims += [
            _Claim(
                thing=f"of {need.pool}",
                minutes=step.expected_min + need.rest_min,
                amount=need.amount,
            )
            for need in step.needs
        ]
        return claims

    def _put(self, step: StepSpec, start: int, place: str) -> None:
        self.starts[step.id], self.places[step.id] = start, place
        self._hold(step, sign=1)

    def _lift(self, step: StepSpec) -> None:
        if step.id in self.starts:
            self._hold(step, sign=-1)
            del self.starts[step.id], self.places[step.id]

    def _hold(self, step: StepSpec, *, sign: int) -> None:
        place = next(one for one in self.problem.stations if one.id == self.places[step.id])
        for claim in self._claims(step, place):
            profile = self.profiles[claim.thing]
            profile.hold(self.starts[step.id], claim.minutes, sign * claim.amount)

    def _profiles(self) -> dict[str, _Profile]:
        windows = [window for step in self.order for window in step.windows]
        longest = max((step.expected_min for step in self.order), default=0)
        span = Window(
            start=min((window.start for window in windows), default=0),
            end=max((window.end for window in windows), default=0) + longest + 1,
        )
        profiles = {
            f"at {station.id}": _Profile(station.capacity, span)
            for station in self.problem.stations
        }
        for pool in self.problem.pools:
            profile = profiles[f"of {pool.id}"] = _Profile(pool.capacity, span)
            for one in pool.away:
                profile.hold(one.window.start, one.window.end - one.window.start, one.amount)
        return profiles
