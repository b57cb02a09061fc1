"""What is left of a course once part of it has happened, as a timetable problem of its own.

Steps that have started are fixed to what was noted; no rule is asked again of what is over. The
rest may start from now on. Read by ``replan_times.py``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from scheduling.planner.errors import BadProblem
from scheduling.planner.problem import (
    MINUTES_PER_DAY,
    Gap,
    Meal,
    StationSpec,
    StepSpec,
    TimetableProblem,
    Window,
)
from scheduling.planner.timetable_network import Shared, pools_held, stations_held
from scheduling.planner.timetable_rules import spoken, step_names

Noted = Mapping[str, tuple[int, int | None]]


def check_notes(problem: TimetableProblem, actual: Noted, now: int) -> None:
    """Refuse a note on a strange step, or one that ends before it starts or lies ahead."""
    names = step_names(problem)
    for step, (start, end) in actual.items():
        if step not in names:
            raise BadProblem(f"A time is noted for {step!r}, which is not in the problem; add it.")
        last = start if end is None else end
        if not start <= last <= now:
            raise BadProblem(
                f"{names[step]} is noted from {spoken(start)} to {spoken(last)}, and it is "
                f"{spoken(now)}; a note must not end before it starts, or lie in the future."
            )


class Rest:
    """A course under way: what is fixed by now, and what is still to come."""

    def __init__(
        self,
        problem: TimetableProblem,
        posted: Mapping[str, int],
        actual: Noted,
        now: int,
        places: Mapping[str, str],
    ) -> None:
        self.whole = problem
        self.posted = posted
        self.now = now
        self.places = {step.id: places.get(step.id, step.station) for step in problem.steps}
        self.notes: list[str] = []
        self._steps = {step.id: step for step in problem.steps}
        self._tracks = {station.id: station.track for station in problem.stations}
        self.fixed = self._noted(actual)
        self._assume_done()
        self.meals_begun = {
            meal.id: posted[meal.id]
            for meal in problem.meals
            if meal.id in posted and posted[meal.id] < now
        }

    def _noted(self, actual: Noted) -> dict[str, tuple[int, int]]:
        """A running step is taken to last as expected, or to end a minute from now if over that."""
        fixed = {}
        for step, (start, end) in actual.items():
            expected = max(start + self._steps[step].expected_min, self.now + 1)
            fixed[step] = (start, expected if end is None else max(end, start + 1))
        return fixed

    def _assume_done(self) -> None:
        """A step that nobody noted must be over where the step after it has started."""
        pending = list(self.fixed)
        while pending:
            after = pending.pop()
            for gap in self.whole.gaps:
                if gap.after == after and gap.before not in self.fixed and gap.least_min >= 0:
                    self._assume(gap)
                    pending.append(gap.before)

    def _assume(self, gap: Gap) -> None:
        before, after = self._steps[gap.before], self._steps[gap.after]
        end = self.fixed[after.id][0] - gap.least_min
        start = min(self.posted.get(before.id, end), end - before.expected_min)
        self.fixed[before.id] = (start, end)
        self.notes.append(
            f"{before.name} was not noted; it is taken as done by {spoken(end)}, for "
            f"{after.name} has started."
        )

    # --- the problem --------------------------------------------------------------------

    def problem(self, *, loose: bool) -> TimetableProblem:
        """The rest from now on; with ``loose`` without longest gaps and pins, and hours a day on.

        What happened may have broken a rule (two at a bench for one). What holds nothing any more,
        or never fitted, is moved to a station of its own.
        """
        past = StationSpec(id="over", name="What is over", capacity=len(self.whole.steps) + 1)
        gaps = [gap for gap in self.whole.gaps if not self.fixed.keys() >= {gap.before, gap.after}]
        rest = replace(
            self.whole,
            steps=tuple(
                self._happened(step) if step.id in self.fixed else self._to_come(step, loose=loose)
                for step in self.whole.steps
            ),
            gaps=tuple(replace(gap, most_min=None) for gap in gaps) if loose else tuple(gaps),
            breaks=tuple(self._breaks()),
            meals=tuple(self._meals()),
            stations=(*(self._station(one, loose=loose) for one in self.whole.stations), past),
        )
        idle = self._idle(rest)
        return replace(
            rest,
            steps=tuple(
                replace(
                    step,
                    station=past.id if (step.id, step.station) in idle else step.station,
                    needs=tuple(need for need in step.needs if (step.id, need.pool) not in idle),
                )
                for step in rest.steps
            ),
        )

    def _happened(self, step: StepSpec) -> StepSpec:
        start, end = self.fixed[step.id]
        return replace(
            step,
            least_min=None,
            expected_min=end - start,
            most_min=None,
            windows=(Window(start=start, end=end),),
            unattended=True,  # so that no break, window or day's end asks anything of the past
            pinned_start=start,
            station=self.places[step.id],
            or_at=(),
        )

    def _to_come(self, step: StepSpec, *, loose: bool) -> StepSpec:
        late = MINUTES_PER_DAY if loose else 0
        windows = tuple(
            Window(start=max(window.start, self.now), end=window.end + late)
            for window in step.windows
            if window.end + late >= self.now
        )
        begun = {
            self._tracks[self.places[other]]
            for other in self.fixed
            if step.subject and self._steps[other].subject == step.subject
        }
        track = {*begun, ""} if begun - {""} else set(self._tracks.values())
        choices = [one for one in step.stations if self._tracks[one] in track] or [step.station]
        return replace(
            step,
            windows=windows or (Window(start=self.now, end=self.now + late),),
            pinned_start=None if loose else step.pinned_start,
            station=choices[0],
            or_at=tuple(choices[1:]),
        )

    def _station(self, station: StationSpec, *, loose: bool) -> StationSpec:
        late = MINUTES_PER_DAY if loose else 0
        hours = [replace(window, end=window.end + late) for window in station.windows]
        used = [
            Window(start=start, end=end)
            for step, (start, end) in self.fixed.items()
            if self.places[step] == station.id
        ]
        return replace(station, windows=(*hours, *used) if hours else ())

    def _breaks(self) -> Iterator[Window]:
        yield from (pause for pause in self.whole.breaks if pause.end > self.now)
        for meal in self.whole.meals:
            start = self.meals_begun.get(meal.id)
            if start is not None and start + meal.minutes > self.now:
                yield Window(start=start, end=start + meal.minutes)

    def _meals(self) -> Iterator[Meal]:
        for meal in self.whole.meals:
            if meal.id not in self.meals_begun:
                yield replace(
                    meal,
                    earliest=max(meal.earliest, self.now),
                    wished=max(meal.wished, self.now),
                    latest=max(meal.latest, self.now),
                )

    def _idle(self, rest: TimetableProblem) -> set[tuple[str, str]]:
        """What has happened at a station, or with a pool, and need not be counted there."""
        set_ups = {one.id: max((0, *one.set_up_between.values())) for one in rest.stations}
        found: set[tuple[str, str]] = set()
        for shared in (*stations_held(rest), *pools_held(rest)):
            found |= self._idle_at(shared, set_ups.get(shared.id, 0))
        return found

    def _idle_at(self, shared: Shared, longest_set_up: int) -> set[tuple[str, str]]:
        """What started last is counted first; what then has no room never fitted."""
        happened = [hold for hold in shared.holds if hold.step in self.fixed]
        gone = sum(amount for window, amount in shared.away if window.end > self.now)
        room, idle = shared.capacity - gone, set()
        for hold in sorted(happened, key=lambda hold: self.fixed[hold.step], reverse=True):
            over = all(
                anchor in self.fixed
                and self.fixed[anchor][0] + minutes + longest_set_up <= self.now
                for anchor, minutes in hold.ends
            )
            if over or hold.amount > room:
                idle.add((hold.step, shared.id))
            else:
                room -= hold.amount
        return idle
