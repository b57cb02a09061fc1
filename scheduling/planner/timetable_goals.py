"""What a timetable should keep small, in order, and the model that measures it.

1. *late*: minutes past the wished finish of each day, where wishes are given;
2. *finish*: minutes from midnight to the end of each day's last attended step, summed over days;
3. *waiting*: minutes that carcasses wait beyond the least gaps;
4. *meals*: minutes by which meals are moved from their wished times;
5. *hands*: the most that are busy at once from each pool that should be used smoothly, summed.

A goal that nothing in the problem can change is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise

from ortools.sat.python import cp_model

from scheduling.planner.problem import MINUTES_PER_DAY, StepSpec, TimetableProblem, Window
from scheduling.planner.timetable_alike import alike_in_order
from scheduling.planner.timetable_answer import (
    finish_minutes,
    late_minutes,
    meal_minutes,
    most_hands,
    waiting_minutes,
)
from scheduling.planner.timetable_model import TimetableModel
from scheduling.planner.timetable_network import (
    Arc,
    Shared,
    allowed_starts,
    day_of,
    pools_held,
    stations_held,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """Something to be small: as the solver sees it, and as measured on a plan.

    ``latest_of_few`` says that it is the latest of many ends, or a few such added up: a linear
    relaxation tells the solver nothing of it, where it helps with sums over many steps.
    """

    name: str
    expression: cp_model.LinearExprT
    measure: Callable[[TimetableProblem, Mapping[str, int]], int]
    latest_of_few: bool = False


class GoalModel(TimetableModel):
    """The rules, and expressions for what is to be small."""

    def aims(self) -> tuple[Aim, ...]:
        """The goals in their order."""
        late, finish = self.late_and_finish()
        aims = [Aim(name="finish", expression=finish, measure=finish_minutes, latest_of_few=True)]
        if self.problem.finish_by:
            aims.insert(
                0, Aim(name="late", expression=late, measure=late_minutes, latest_of_few=True)
            )
        aims.append(Aim(name="waiting", expression=self.waiting(), measure=waiting_minutes))
        if self.problem.meals:
            aims.append(Aim(name="meals", expression=self.meals_moved(), measure=meal_minutes))
        if any(pool.smooth for pool in self.problem.pools):
            aims.append(Aim(name="hands", expression=self.most_busy(), measure=most_hands))
        return tuple(aims)

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
                ends_by = finishes[day] + day * MINUTES_PER_DAY >= self.end(step.id)
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
            self.starts[gap.after] - self.end(gap.before) - gap.least_min
            for gap in self.problem.gaps
            if gap.carcass_waits
        )

    def meals_moved(self) -> cp_model.LinearExprT:
        """Minutes between the wished and the planned times of the meals, summed."""
        return self.distance({meal.id: meal.wished for meal in self.problem.meals})

    def distance(self, told: Mapping[str, int]) -> cp_model.LinearExprT:
        """Minutes between these starts and the planned ones, summed."""
        apart: list[cp_model.IntVar] = []
        for name, start in told.items():
            first, last = self.starts[name].proto.domain[0], self.starts[name].proto.domain[-1]
            most = max(abs(first - start), abs(last - start))
            apart.append(self.model.new_int_var(0, most, f"{name} moved"))
            self.model.add(apart[-1] >= self.starts[name] - start)
            self.model.add(apart[-1] >= start - self.starts[name])
        return sum(apart)

    def most_busy(self) -> cp_model.LinearExprT:
        """The most that are busy at once from each smooth pool, summed."""
        tops = []
        for pool in pools_held(self.problem):
            if self.problem.pools[pool.case].smooth:
                held = [hold.amount for hold in pool.holds]
                tops.append(
                    self.model.new_int_var(
                        max(held, default=0), pool.capacity, f"most of {pool.id}"
                    )
                )
                intervals, amounts = self.pool_use(pool)
                busy = slice(len(held))
                self.model.add_cumulative(intervals[busy], amounts[busy], tops[-1])
        return sum(tops)

    def keep_alike_in_order(self) -> None:
        """Of hogs that are alike, the first goes first at each stage.

        Redundant: another plan as good is left out with each that it leaves out. It buys proofs
        (12 hogs at two troughs are proved best in seconds). Not for what asks which hog is which.
        """
        for stage in alike_in_order(self.problem):
            for former, latter in pairwise(stage):
                self.model.add(self.starts[former.id] <= self.starts[latter.id])
            for things in (stations_held(self.problem), pools_held(self.problem)):
                for thing in things:
                    self._keep_turns(stage, thing)

    def _keep_turns(self, stage: tuple[StepSpec, ...], thing: Shared) -> None:
        """Where m steps of a stage fit at once, each waits until the m-th before it lets go."""
        holds = {hold.step: hold for hold in thing.holds if not hold.at}
        if not holds.keys() >= {step.id for step in stage}:
            return
        first = holds[stage[0].id]
        fit = thing.capacity // first.amount
        for former, latter in zip(stage, stage[fit:], strict=False):
            self.model.add(
                self.starts[latter.id] >= self.starts[former.id] + holds[former.id].minutes
            )

    def keep_arcs(self, arcs: Iterable[Arc]) -> None:
        """Keep the order that a plan uses."""
        for arc in arcs:
            if arc.before in self.steps and arc.after in self.steps:
                self.model.add(self.starts[arc.after] >= self.starts[arc.before] + arc.least_min)


def _days(spans: tuple[Window, ...]) -> tuple[int, ...]:
    days = {day for span in spans for day in range(day_of(span.start), day_of(span.end) + 1)}
    return tuple(sorted(days))
