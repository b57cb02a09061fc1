"""The timetable's answer: a plan that measures itself, or the demands that cannot be kept.

The measures here read the problem and the start times alone, never the solver, so that tests can
hold the solver's own figures against them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from scheduling.planner.answer import Goal, Status
from scheduling.planner.problem import MINUTES_PER_DAY, TimetableProblem
from scheduling.planner.timetable_network import day_of, latest_starts, pools_held
from scheduling.planner.timetable_rules import Refusal


def last_ends(problem: TimetableProblem, starts: Mapping[str, int]) -> dict[int, int]:
    """When the last attended step of each day ends; a step belongs to the day it starts on."""
    ends: dict[int, int] = {}
    for step in problem.steps:
        if not step.unattended:
            day = day_of(starts[step.id])
            ends[day] = max(ends.get(day, 0), starts[step.id] + step.expected_min)
    return dict(sorted(ends.items()))


def late_minutes(problem: TimetableProblem, starts: Mapping[str, int]) -> int:
    """Minutes by which the days end after their wished finish, summed."""
    ends = last_ends(problem, starts)
    return sum(max(0, ends[day] - wish) for day, wish in problem.finish_by.items() if day in ends)


def finish_minutes(problem: TimetableProblem, starts: Mapping[str, int]) -> int:
    """Minutes from each day's midnight to the end of its last attended step, summed."""
    return sum(end - day * MINUTES_PER_DAY for day, end in last_ends(problem, starts).items())


def waiting_minutes(problem: TimetableProblem, starts: Mapping[str, int]) -> int:
    """Minutes that carcasses wait beyond the least gap, summed over gaps where a carcass waits."""
    minutes = {step.id: step.expected_min for step in problem.steps}
    return sum(
        starts[gap.after] - starts[gap.before] - minutes[gap.before] - gap.least_min
        for gap in problem.gaps
        if gap.carcass_waits
    )


def meal_minutes(problem: TimetableProblem, starts: Mapping[str, int]) -> int:
    """Minutes by which meals are moved from their wished times, summed."""
    return sum(abs(starts[meal.id] - meal.wished) for meal in problem.meals)


def most_hands(problem: TimetableProblem, starts: Mapping[str, int]) -> int:
    """The most that are busy or resting at once from each smooth pool, summed."""
    total = 0
    for pool in pools_held(problem):
        if problem.pools[pool.case].smooth:
            spans = [(starts[hold.step], hold.until(starts), hold.amount) for hold in pool.holds]
            total += max(
                (
                    sum(amount for begin, end, amount in spans if begin <= moment < end)
                    for moment, _, _ in spans
                ),
                default=0,
            )
    return total


def ends_of(problem: TimetableProblem, starts: Mapping[str, int]) -> dict[str, int]:
    """When each step ends: after its expected time, or as late as the gaps after it ask.

    Only an unattended step can end later: end = max(start + expected, start of the next - longest
    gap to it).
    """
    ends = {step.id: starts[step.id] + step.expected_min for step in problem.steps}
    stretched = {step.id for step in problem.steps if step.stretch_min}
    for gap in problem.gaps:
        if gap.before in stretched and gap.most_min is not None:
            ends[gap.before] = max(ends[gap.before], starts[gap.after] - gap.most_min)
    return ends


@dataclass(frozen=True, slots=True, kw_only=True)
class TimetableAnswer:
    """When each step starts, how good that is, and where the day is tight.

    ``starts`` holds the meals that may move as well, and is empty without a plan; ``places`` is
    the station of each step. ``refusals`` says why there cannot be one.
    ``clash_is_smallest`` tells that the refusals are one clash of which every member was proved
    necessary: with any one of them dropped, the rest can be kept. Otherwise each refusal stands
    alone, or the time ran out before the clash was at its smallest. ``explaining_seconds`` are
    those of ``seconds`` that went into finding the clash.
    """

    problem: TimetableProblem
    status: Status
    goals: tuple[Goal, ...] = ()
    starts: Mapping[str, int] = field(default_factory=dict)
    places: Mapping[str, str] = field(default_factory=dict)
    refusals: tuple[Refusal, ...] = ()
    clash_is_smallest: bool = False
    seconds: float = 0.0
    explaining_seconds: float = 0.0
    seed: int = 1

    @property
    def ends(self) -> dict[str, int]:
        """When each step ends; an unattended one may be stretched."""
        return ends_of(self.problem, self.starts) if self.starts else {}

    @property
    def finish(self) -> dict[int, int]:
        """When each day's last attended step ends, by day from 0."""
        return last_ends(self.problem, self.starts) if self.starts else {}

    @property
    def late_minutes(self) -> int:
        """Minutes past the wished finish, over all days."""
        return late_minutes(self.problem, self.starts) if self.starts else 0

    @property
    def waiting_minutes(self) -> int:
        """Minutes that carcasses wait beyond the least gaps."""
        return waiting_minutes(self.problem, self.starts) if self.starts else 0

    @property
    def slack(self) -> dict[str, int]:
        """By how many minutes each step can start later without its day ending later.

        slack[s] = latest start of s - planned start of s, where the latest start is the longest
        path back from the end of each day through the gaps (least and most) and through the
        order in which this plan hands on each station and each unit of a pool. Later steps move
        along where they must; nothing leaves its day, its windows or its fixed time, or runs into
        a break. Slack is shared: two steps in a row do not have theirs twice.
        """
        if not self.starts:
            return {}
        latest = latest_starts(self.problem, self.starts, self.places, self.finish)
        return {step.id: latest[step.id] - self.starts[step.id] for step in self.problem.steps}

    @property
    def critical(self) -> tuple[str, ...]:
        """The steps without slack, in the order of their starts."""
        tight = [step for step, slack in self.slack.items() if slack == 0]
        return tuple(sorted(tight, key=lambda step: (self.starts[step], step)))

    def sentence(self) -> str:
        """Say how the planning ended."""
        match self.status:
            case Status.PROVED_BEST:
                return "Proved best on every goal."
            case Status.WITHIN_BOUND:
                short = [goal for goal in self.goals if not goal.proved]
                return " ".join(f"{goal.name}: {goal.sentence()}" for goal in short)
            case Status.NO_ANSWER_IN_TIME:
                return "No timetable was found in the time allowed. Allow more time."
            case Status.IMPOSSIBLE:
                return _impossible(len(self.refusals), together=self.clash_is_smallest)


def _impossible(count: int, *, together: bool) -> str:
    if together and count > 1:
        return f"These {count} demands cannot all be kept; free any one of them."
    if count > 1:
        return f"{count} demands stand in the way of a timetable."
    return "One demand cannot be kept."
