"""The timetable as constraints: variables, one method per rule, then what is to be small.

Notation: s_i the start of step i in minutes, p_i its expected minutes, e_i = s_i + p_i its end.
The rules are posted once and serve two uses. ``TimetableModel`` holds them all, to find the best
plan. ``ClashModel`` gives each demand a switch, to find out which demands cannot hold together.
"""

from __future__ import annotations

from collections.abc import Iterable

from ortools.sat.python import cp_model

from scheduling.planner.problem import MINUTES_PER_DAY, StepSpec, TimetableProblem, Window
from scheduling.planner.timetable_network import (
    Arc,
    Shared,
    allowed_starts,
    day_of,
    pools_held,
    stations_held,
)
from scheduling.planner.timetable_rules import Demand, TimetableRule, demands_of


class TimetableModel:
    """All hard rules of one problem on the start times of its steps."""

    def __init__(self, problem: TimetableProblem) -> None:
        self.problem = problem
        self.model = cp_model.CpModel()
        self.starts = {step.id: self._start(step) for step in problem.steps}
        self._steps = {step.id: step for step in problem.steps}
        self._keep_windows()
        self._keep_breaks()
        self._keep_pins()
        self._keep_least_gaps()
        self._keep_most_gaps()
        self._keep_stations()
        self._keep_pools()

    # --- variables ----------------------------------------------------------------------

    def _start(self, step: StepSpec) -> cp_model.IntVar:
        first = min(window.start for window in step.windows)
        last = max(window.end for window in step.windows)
        return self.model.new_int_var(first, last, f"start of {step.id}")

    def _end(self, step: str) -> cp_model.LinearExpr:
        return self.starts[step] + self._steps[step].expected_min

    def _switch(self, rule: TimetableRule, case: int) -> cp_model.IntVar | None:
        """The literal under which a case of a rule holds; None where it always does."""
        return None

    def _post(self, constraint: cp_model.Constraint, rule: TimetableRule, case: int) -> None:
        switch = self._switch(rule, case)
        if switch is not None:
            constraint.only_enforce_if(switch)

    # --- rules --------------------------------------------------------------------------

    def _keep_windows(self) -> None:
        """An attended step lies wholly inside one of its windows; an unattended starts in one."""
        for case, step in enumerate(self.problem.steps):
            reach = 0 if step.unattended else step.expected_min
            spans = [[window.start, window.end - reach] for window in step.windows]
            inside = cp_model.Domain.from_intervals([span for span in spans if span[0] <= span[1]])
            within = self.model.add_linear_expression_in_domain(self.starts[step.id], inside)
            self._post(within, TimetableRule.WINDOW, case)

    def _keep_breaks(self) -> None:
        """No attended step overlaps a break."""
        for case, pause in enumerate(self.problem.breaks):
            for step in self.problem.steps:
                if not step.unattended:
                    during = cp_model.Domain(pause.start - step.expected_min + 1, pause.end - 1)
                    outside = self.model.add_linear_expression_in_domain(
                        self.starts[step.id], during.complement()
                    )
                    self._post(outside, TimetableRule.BREAK, case)

    def _keep_pins(self) -> None:
        """A step with a fixed start starts then."""
        for case, step in enumerate(self.problem.steps):
            if step.pinned_start is not None:
                fixed = self.model.add(self.starts[step.id] == step.pinned_start)
                self._post(fixed, TimetableRule.PIN, case)

    def _keep_least_gaps(self) -> None:
        """The later step starts at least the least gap after the earlier one ends."""
        for case, gap in enumerate(self.problem.gaps):
            waits = self.starts[gap.after] >= self._end(gap.before) + gap.least_min
            self._post(self.model.add(waits), TimetableRule.GAP_LEAST, case)

    def _keep_most_gaps(self) -> None:
        """The later step starts at most the longest gap after the earlier one ends."""
        for case, gap in enumerate(self.problem.gaps):
            if gap.most_min is not None:
                follows = self.starts[gap.after] <= self._end(gap.before) + gap.most_min
                self._post(self.model.add(follows), TimetableRule.GAP_MOST, case)

    def _keep_stations(self) -> None:
        """A station holds so many steps at once, and sets up anew after each where it must."""
        for case, station in enumerate(stations_held(self.problem)):
            intervals = self._intervals(station, TimetableRule.STATION, case)
            if station.capacity == 1:
                self.model.add_no_overlap(intervals)
            else:
                self.model.add_cumulative(intervals, [1] * len(intervals), station.capacity)

    def _keep_pools(self) -> None:
        """The steps under way, and those just ended that still rest, fit in each pool."""
        for case, pool in enumerate(pools_held(self.problem)):
            intervals = self._intervals(pool, TimetableRule.POOL, case)
            amounts = [hold.amount for hold in pool.holds]
            self.model.add_cumulative(intervals, amounts, pool.capacity)

    def _intervals(
        self, shared: Shared, rule: TimetableRule, case: int
    ) -> list[cp_model.IntervalVar]:
        """One stretch per hold; where the demand is off, the stretches are absent."""
        switch = self._switch(rule, case)
        return [
            self.model.new_optional_fixed_size_interval_var(
                self.starts[hold.step],
                hold.minutes,
                True if switch is None else switch,
                f"{shared.id} held by {hold.step}",
            )
            for hold in shared.holds
        ]

    # --- what is to be small ------------------------------------------------------------

    def late_and_finish(self) -> tuple[cp_model.LinearExprT, cp_model.LinearExprT]:
        """Minutes past the wished finishes, and minutes to each day's last end, both summed."""
        finishes = self._finishes()
        late = []
        for day, wish in self.problem.finish_by.items():
            if day in finishes:
                late.append(self.model.new_int_var(0, max(0, self._last - wish), f"late {day}"))
                self.model.add(late[-1] >= finishes[day] + day * MINUTES_PER_DAY - wish)
        return sum(late), sum(finishes.values())

    @property
    def _last(self) -> int:
        """No attended step ends later than this."""
        return max(window.end for step in self.problem.steps for window in step.windows)

    def _finishes(self) -> dict[int, cp_model.IntVar]:
        """Per day, the minute after its midnight by which every attended step of it has ended."""
        finishes: dict[int, cp_model.IntVar] = {}
        for step in self.problem.steps:
            days = () if step.unattended else _days(allowed_starts(self.problem, step))
            on_day = self._on_days(step, days)
            for day in days:
                if day not in finishes:
                    longest = self._last - day * MINUTES_PER_DAY
                    finishes[day] = self.model.new_int_var(0, longest, f"finish of day {day}")
                ends_by = finishes[day] + day * MINUTES_PER_DAY >= self._end(step.id)
                self.model.add(ends_by).only_enforce_if(on_day[day])
        return finishes

    def _on_days(self, step: StepSpec, days: tuple[int, ...]) -> dict[int, cp_model.LiteralT]:
        """Literals that tell on which day a step starts; plain truth where there is one day."""
        if len(days) == 1:
            return {days[0]: True}
        literals: dict[int, cp_model.LiteralT] = {
            day: self.model.new_bool_var(f"{step.id} on day {day}") for day in days
        }
        for day, literal in literals.items():
            first = day * MINUTES_PER_DAY
            whole_day = cp_model.Domain(first, first + MINUTES_PER_DAY - 1)
            self.model.add_linear_expression_in_domain(
                self.starts[step.id], whole_day
            ).only_enforce_if(literal)
        if literals:
            self.model.add_exactly_one(literals.values())
        return literals

    def waiting(self) -> cp_model.LinearExprT:
        """Minutes that carcasses wait beyond the least gaps, summed."""
        return sum(
            self.starts[gap.after] - self._end(gap.before) - gap.least_min
            for gap in self.problem.gaps
            if gap.carcass_waits
        )

    def keep_arcs(self, arcs: Iterable[Arc]) -> None:
        """Keep the order that a plan uses."""
        for arc in arcs:
            self.model.add(self.starts[arc.after] >= self.starts[arc.before] + arc.least_min)


def _days(spans: tuple[Window, ...]) -> tuple[int, ...]:
    days = {day for span in spans for day in range(day_of(span.start), day_of(span.end) + 1)}
    return tuple(sorted(days))


class ClashModel(TimetableModel):
    """The same rules, each demand under a switch that a search may assume or leave off."""

    def __init__(self, problem: TimetableProblem) -> None:
        self._room = _room(problem)
        demands = demands_of(problem)
        self._demands = {(one.rule, case): one for one in demands for case in one.cases}
        self.switches: dict[Demand, cp_model.IntVar] = {}
        super().__init__(problem)
        for demand in demands:  # a break that stops no step has no switch yet
            self._switch(demand.rule, demand.cases[0])

    def _start(self, step: StepSpec) -> cp_model.IntVar:
        return self.model.new_int_var(self._room.start, self._room.end, f"start of {step.id}")

    def _switch(self, rule: TimetableRule, case: int) -> cp_model.IntVar | None:
        demand = self._demands[rule, case]
        if demand not in self.switches:
            self.switches[demand] = self.model.new_bool_var(f"{rule} {demand.cases}")
        return self.switches[demand]


def _room(problem: TimetableProblem) -> Window:
    """A stretch so long that its ends alone never cause a clash.

    All windows, and on both sides room for every step, hold and gap one after another.
    """
    windows = [window for step in problem.steps for window in step.windows]
    things = (*stations_held(problem), *pools_held(problem))
    holds = sum(hold.minutes for thing in things for hold in thing.holds)
    gaps = sum(abs(gap.least_min) + abs(gap.most_min or 0) for gap in problem.gaps)
    spare = holds + gaps + sum(pause.end - pause.start for pause in problem.breaks)
    pins = [step.pinned_start for step in problem.steps if step.pinned_start is not None]
    first = min([window.start for window in windows] + pins)
    last = max([window.end for window in windows] + pins)
    return Window(start=first - spare, end=last + spare)
