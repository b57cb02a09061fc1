"""Running late: the rest of a course timed again from now, with as few told times moved as can be.

First every hard rule is kept. Where that has become impossible (a carcass cannot go on in time,
the day runs past its hours), longest gaps, ends of hours and pins are loosened, and minutes beyond
them come before every other goal. Goals, in order:

1. *overrun*: minutes beyond longest gaps, hours and pins, only where they cannot all be kept;
2. *moved*: how many steps and meals start at another time than posted;
3. those of ``timetable_goals.py``; at last the least total of minutes moved.

Whether a carcass that waited too long is still good is no planning matter: the lead judges that,
under the rules of the place.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from scheduling.planner.answer import Goal, Status
from scheduling.planner.check_timetable import check_timetable
from scheduling.planner.errors import BadProblem
from scheduling.planner.problem import TimetableProblem
from scheduling.planner.replan_rest import Noted, Rest, check_notes
from scheduling.planner.timetable import Search
from scheduling.planner.timetable_answer import ends_of
from scheduling.planner.timetable_goals import Aim, GoalModel
from scheduling.planner.timetable_rules import spoken, step_names

__all__ = ["Replanned", "replan"]

# The hard rules are tried first, for this share of the time.
SHARE_FOR_HARD_RULES = 0.6
# Minutes; more than any course of two weeks has.
MOST_OVER = 14 * 1440


@dataclass(frozen=True, slots=True, kw_only=True)
class Replanned:
    """The course timed again.

    ``starts`` and ``ends`` cover every step (and meal): what was noted, and what is planned.
    ``moved`` are those that start at another time than posted; ``goals`` say how few and how good,
    each with its bound. ``breaches`` say which longest gaps, hours and pins cannot be kept any
    more, ``notes`` what was taken for granted. ``problem`` is the rest as it was
    solved. Without a plan ``starts`` is empty.
    """

    problem: TimetableProblem
    status: Status
    starts: Mapping[str, int] = field(default_factory=dict)
    ends: Mapping[str, int] = field(default_factory=dict)
    places: Mapping[str, str] = field(default_factory=dict)
    moved: tuple[str, ...] = ()
    goals: tuple[Goal, ...] = ()
    breaches: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    seconds: float = 0.0

    def faults(self) -> tuple[str, ...]:
        """Every hard rule of the rest that the plan breaks, by the checker; none should be."""
        names = [step.id for step in self.problem.steps]
        names += [meal.id for meal in self.problem.meals]
        where = {
            step.id: self.places[step.id]
            for step in self.problem.steps
            if self.places[step.id] in step.stations  # not what is over
        }
        return check_timetable(self.problem, {name: self.starts[name] for name in names}, where)

    def sentence(self) -> str:
        """Say how many told times move, and how sure that is."""
        few = next((goal for goal in self.goals if goal.name == "moved"), None)
        if few is None:
            return "The rest of the day could not be timed again. Allow more time, or free a step."
        if few.value == 0:
            return "Every posted time can be kept."
        times = "1 posted time moves" if few.value == 1 else f"{few.value} posted times move"
        sure = "fewer is not possible" if few.proved else f"at least {few.bound} must"
        return f"{times}; {sure}."


def replan(
    problem: TimetableProblem,
    posted: Mapping[str, int],
    actual: Noted,
    now: int,
    seconds: float = 2.0,
    *,
    places: Mapping[str, str] | None = None,
) -> Replanned:
    """Time the rest of the course again from ``now``.

    ``posted`` gives the told start of each step (and meal) in minutes, ``actual`` what was noted:
    start, and end or None while it runs. ``now`` is in minutes, ``seconds`` above 0 bounds the
    search, ``places`` gives the posted station of each step that has a choice. Raises
    ``BadProblem`` for a noted step that is not in the problem, for a note that ends before it
    starts or lies in the future, and for a nonsensical ``seconds``.
    """
    if seconds <= 0:
        raise BadProblem(f"Planning again for {seconds} s; the time must be above 0.")
    check_notes(problem, actual, now)
    rest = Rest(problem, posted, actual, now, places or {})
    hard, model = _search(rest, loose=False, seconds=seconds * SHARE_FOR_HARD_RULES)
    if hard.starts:
        return _answer(rest, hard, model, seconds=hard.spent)
    loose, model = _search(rest, loose=True, seconds=max(seconds - hard.spent, seconds / 5))
    return _answer(rest, loose, model, seconds=hard.spent + loose.spent)


class _RestModel(GoalModel):
    """The rules on what is left, and how far a plan is from what was told."""

    def __init__(self, rest: Rest, *, loose: bool) -> None:
        self.rest = rest
        self.loose = loose
        super().__init__(rest.problem(loose=loose))
        self.told = {
            name: rest.posted[name]
            for name in self.starts
            if name in rest.posted and name not in rest.fixed
        }

    def aims(self) -> tuple[Aim, ...]:
        first = [Aim(name="moved", expression=self._moved(), measure=self.moved_in)]
        if self.loose:
            first.insert(0, Aim(name="overrun", expression=self._overrun(), measure=self.over_in))
        return (*first, *super().aims())

    def _moved(self) -> cp_model.LinearExprT:
        moved: list[cp_model.IntVar] = []
        for name, start in self.told.items():
            moved.append(self.model.new_bool_var(f"{name} is moved"))
            self.model.add(self.starts[name] == start).only_enforce_if(~moved[-1])
        return sum(moved)

    def moved_in(self, _: TimetableProblem, starts: Mapping[str, int]) -> int:
        """How many told times a plan moves."""
        return sum(starts[name] != start for name, start in self.told.items())

    def _overrun(self) -> cp_model.LinearExprT:
        """For each loosened demand, the minutes beyond it: start[step] - start[other] - limit."""
        over: list[cp_model.IntVar] = []
        for limit in self.limits():
            over.append(self.model.new_int_var(0, MOST_OVER, f"{limit.step} over"))
            since = self.starts[limit.since] if limit.since else 0
            self.model.add(over[-1] >= self.starts[limit.step] - since - limit.most)
        return sum(over)

    def over_in(self, _: TimetableProblem, starts: Mapping[str, int]) -> int:
        """Minutes beyond the loosened demands of a plan."""
        return sum(limit.over(starts) for limit in self.limits())

    def limits(self) -> Iterator[_Limit]:
        """The demands that were loosened, and that something still to come may break."""
        rest, names = self.rest, step_names(self.problem)
        ends = {step.id: step.expected_min for step in self.problem.steps}
        for gap in rest.whole.gaps:
            if gap.most_min is not None and gap.after not in rest.fixed:
                stretch = self.steps[gap.before].stretch_min
                yield _Limit(
                    step=gap.after,
                    since=gap.before,
                    most=ends[gap.before] + gap.most_min + stretch,
                    words=(
                        f"{names[gap.after]} waits {{over}} min longer than the {gap.most_min} min "
                        f"allowed after {names[gap.before]}."
                    ),
                )
        yield from self._hours_and_pins()

    def _hours_and_pins(self) -> Iterator[_Limit]:
        rest = self.rest
        for step in rest.whole.steps:
            if step.id in rest.fixed:
                continue
            reach = 0 if step.unattended else step.expected_min
            hours = [window.end for window in step.windows]
            yield _Limit(
                step=step.id,
                most=max(hours) - reach,
                words=f"{step.name} runs {{over}} min past its hours, to {spoken(max(hours))}.",
            )
            open_until = [
                max(window.end for window in station.windows)
                for station in rest.whole.choices(step)
                if station.windows
            ]
            if open_until and len(open_until) == len(step.stations):
                yield _Limit(
                    step=step.id,
                    most=max(open_until) - reach,
                    words=f"{step.name} runs {{over}} min past the hours of its station.",
                )
            if step.pinned_start is not None:
                yield _Limit(
                    step=step.id,
                    most=step.pinned_start,
                    words=f"{step.name} starts {{over}} min after its fixed time.",
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Limit:
    """start[step] - start[since] <= most, with the words for when it is broken."""

    step: str
    since: str = ""
    most: int
    words: str

    def over(self, starts: Mapping[str, int]) -> int:
        since = starts[self.since] if self.since else 0
        return max(0, starts[self.step] - since - self.most)


def _search(rest: Rest, *, loose: bool, seconds: float) -> tuple[Search, _RestModel]:
    model = _RestModel(rest, loose=loose)
    search = Search(model, seconds=seconds)
    search.start_from(model.told)
    search.run(model.aims())
    search.settle(model.distance(model.told))
    return search, model


def _answer(rest: Rest, search: Search, model: _RestModel, *, seconds: float) -> Replanned:
    found = search.answer()
    if not found.starts:
        status = Status.NO_ANSWER_IN_TIME if rest.whole.steps else found.status
        return Replanned(
            problem=search.problem, status=status, notes=tuple(rest.notes), seconds=seconds
        )
    starts = {**rest.meals_begun, **found.starts}
    broken = [(limit, limit.over(starts)) for limit in model.limits()] if model.loose else []
    return Replanned(
        problem=search.problem,
        status=found.status,
        starts=starts,
        ends=ends_of(search.problem, starts),
        places={**found.places, **{step: rest.places[step] for step in rest.fixed}},
        moved=tuple(name for name, told in model.told.items() if starts[name] != told),
        goals=found.goals,
        breaches=tuple(limit.words.format(over=over) for limit, over in broken if over),
        notes=tuple(rest.notes),
        seconds=seconds,
    )
