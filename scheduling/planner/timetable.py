"""When: the start of every step, best on one goal after another.

The search starts from the plan of ``timetable_first.py`` where that finds one, and looks only at
plans that take hogs alike in their order (``timetable_alike.py``). The goals and their order are in
``timetable_goals.py``; each is solved, then kept while the next is solved. Then the plan is tidied:
with the order and all goals kept, every step starts as early as it can. Read
``timetable_model.py`` for the rules, ``timetable_answer.py`` for what an answer can tell,
``timetable_refusals.py`` for what is said when there is no plan.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from ortools.sat.python import cp_model

from scheduling.planner.answer import Goal, Status
from scheduling.planner.errors import BadProblem
from scheduling.planner.problem import TimetableProblem
from scheduling.planner.timetable_alike import in_order
from scheduling.planner.timetable_answer import TimetableAnswer
from scheduling.planner.timetable_first import FirstPlan, first_plan
from scheduling.planner.timetable_goals import Aim, GoalModel
from scheduling.planner.timetable_network import earliest_starts, order_arcs, places_of
from scheduling.planner.timetable_refusals import plain_refusals, smallest_clash

__all__ = ["Search", "TimetableAnswer", "solve"]

# A goal with others after it may use this share of the time that is left.
SHARE_OF_TIME = 2 / 3
# Even when the time is nearly gone, a search that starts from a plan may look at it once.
LEAST_SECONDS = 0.1


def solve(
    problem: TimetableProblem, *, seconds: float = 10.0, seed: int = 1, workers: int = 1
) -> TimetableAnswer:
    """Find the start of every step, or say which demands cannot be kept.

    ``seconds`` (above 0) bounds the search, ``workers`` (1 or more) the threads it takes turns
    on. The same problem and seed give the same answer, whatever the machine, unless the time
    runs out. Raises ``BadProblem`` for a nonsensical ``seconds`` or ``workers``; a problem that
    cannot be met is an answer, not an error.
    """
    if seconds <= 0 or workers < 1:
        raise BadProblem(
            f"Planning for {seconds} s with {workers} workers; the time must be above 0 and the "
            "workers 1 or more."
        )
    refusals = plain_refusals(problem)
    if refusals:
        return TimetableAnswer(
            problem=problem, status=Status.IMPOSSIBLE, refusals=refusals, seed=seed
        )
    search = Search(GoalModel(problem), seconds=seconds, seed=seed, workers=workers)
    search.rules.keep_alike_in_order()
    first = first_plan(problem)
    if first:
        search.improve_on(in_order(problem, first))
    outcome = search.run(search.rules.aims())
    if outcome == cp_model.INFEASIBLE:
        return _impossible(search)
    search.tidy()
    return search.answer()


class Search:
    """One search for a timetable: goals in order, each kept for the next."""

    def __init__(
        self, rules: GoalModel, *, seconds: float, seed: int = 1, workers: int = 1
    ) -> None:
        self.problem = rules.problem
        self.rules = rules
        self.seconds = seconds
        self.seed = seed
        self.workers = workers
        self.spent = 0.0
        self.starts: dict[str, int] = {}
        self.places: dict[str, str] = {}
        self.aims: tuple[Aim, ...] = ()
        self.goals: list[Goal] = []

    def run(self, aims: tuple[Aim, ...]) -> cp_model.CpSolverStatus:
        """Solve for one aim after another; stop where there is no plan, or none in time."""
        self.aims = aims
        outcome = cp_model.UNKNOWN
        for aim in aims:
            share = 1.0 if aim is aims[-1] else SHARE_OF_TIME
            outcome = self._solve_for(aim, share)
            if not self.starts and self.problem.steps:
                break
        return outcome

    def start_from(self, starts: Mapping[str, int]) -> None:
        """Give the search a plan to start from."""
        for step, start in starts.items():
            self.rules.model.add_hint(self.rules.starts[step], start)

    def improve_on(self, first: FirstPlan) -> None:
        """Take a plan that keeps every rule: the answer until the search has a better one."""
        self.starts, self.places = dict(first.starts), dict(first.places)
        self.start_from(first.starts)
        for step, literals in self.rules.places.items():
            for station, here in literals.items():
                assert isinstance(here, cp_model.IntVar), "made as variables"
                self.rules.model.add_hint(here, first.places[step] == station)

    def _solve_for(self, aim: Aim, share: float) -> cp_model.CpSolverStatus:
        """Make one aim as small as the time allows, and keep it so."""
        if self.starts and isinstance(aim.expression, int):  # nothing in the problem changes it
            value = aim.measure(self.problem, self.starts)
            self.goals.append(Goal(name=aim.name, value=value, bound=value, seconds=0.0))
            return cp_model.OPTIMAL
        solver = self._solver((self.seconds - self.spent) * share)
        if aim.latest_of_few:
            # 12 hogs at two troughs: a day's end is proved in a third of the time without it.
            solver.parameters.linearization_level = 0
        if self.starts:  # redundant: what is no better than the plan at hand is not looked at
            self.rules.model.add(aim.expression <= aim.measure(self.problem, self.starts))
        self.rules.model.minimize(aim.expression)
        outcome = self._search(solver)
        if self.starts or not self.problem.steps:
            value = aim.measure(self.problem, self.starts)
            bound = value if outcome == cp_model.OPTIMAL else _whole_bound(solver, value)
            self.goals.append(
                Goal(name=aim.name, value=value, bound=bound, seconds=solver.wall_time)
            )
            self.rules.model.add(aim.expression <= value)
        return outcome

    def _search(self, solver: cp_model.CpSolver) -> cp_model.CpSolverStatus:
        """Solve; where there is a plan, take it and give it to the next search to start from."""
        model, starts = self.rules.model, self.rules.starts
        outcome = solver.solve(model)
        self.spent += solver.wall_time
        if outcome in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
            self.starts = {step: solver.value(start) for step, start in starts.items()}
            self.places = self._places(solver)
            model.clear_hints()  # type: ignore[no-untyped-call]  # ortools leaves it untyped
            for index in range(len(model.proto.variables)):
                variable = model.get_int_var_from_proto_index(index)
                model.add_hint(variable, solver.value(variable))
        return outcome

    def _places(self, solver: cp_model.CpSolver) -> dict[str, str]:
        """The station of each step: its only one, the one chosen, or one of those alike."""
        places = {step.id: step.station for step in self.problem.steps}
        for step, literals in self.rules.places.items():
            for station, here in literals.items():
                if solver.boolean_value(here):
                    places[step] = station
        return places | places_of(self.problem, self.starts)

    def tidy(self) -> None:
        """With the order and every goal kept, let each step start as early as it can.

        Where moving every step to its earliest start makes no goal worse, that is the answer, and
        no search is needed.
        """
        if not self.starts or self.seconds <= self.spent:
            return
        early = earliest_starts(self.problem, self.starts, self.places)
        values = {goal.name: goal.value for goal in self.goals}
        if all(aim.measure(self.problem, early) <= values[aim.name] for aim in self.aims):
            self.starts = early
        else:
            self.settle(sum(self.rules.starts.values()))

    def settle(self, expression: cp_model.LinearExprT) -> None:
        """With the order and every goal kept, make one more thing as small as the time allows."""
        if not self.starts or self.seconds <= self.spent:
            return
        self.rules.keep_arcs(order_arcs(self.problem, self.starts, self.places))
        for step, literals in self.rules.places.items():
            for station, here in literals.items():
                self.rules.model.add(here == (station == self.places[step]))
        self.rules.model.minimize(expression)
        self._search(self._solver(self.seconds - self.spent))

    def answer(self) -> TimetableAnswer:
        """What was found, and how good it is."""
        status = Status.NO_ANSWER_IN_TIME
        if self.starts or not self.problem.steps:
            proved = all(goal.proved for goal in self.goals)
            status = Status.PROVED_BEST if proved else Status.WITHIN_BOUND
        return TimetableAnswer(
            problem=self.problem,
            status=status,
            goals=tuple(self.goals),
            starts=self.starts,
            places=self.places,
            seconds=self.spent,
            seed=self.seed,
        )

    def _solver(self, seconds: float) -> cp_model.CpSolver:
        solver = cp_model.CpSolver()
        solver.parameters.max_time_in_seconds = max(seconds, LEAST_SECONDS)
        solver.parameters.random_seed = self.seed
        solver.parameters.num_workers = self.workers
        # Threads that race give whichever plan came first; in turns they give the same one again.
        solver.parameters.interleave_search = self.workers > 1
        # Both buy proofs at stations for one: Fisher and Thompson's 10 x 10 job shop is proved in
        # 2 s with them, and not in 15 s without. Elsewhere they only cost (5 times on one of
        # ProGen/max's with 50 activities).
        solver.parameters.use_dynamic_precedence_in_disjunctive = self.rules.has_turns
        solver.parameters.use_strong_propagation_in_disjunctive = self.rules.has_turns
        return solver


def _impossible(search: Search) -> TimetableAnswer:
    left = search.seconds - search.spent
    clash = smallest_clash(search.problem, seconds=left, seed=search.seed)
    return TimetableAnswer(
        problem=search.problem,
        status=Status.IMPOSSIBLE,
        refusals=clash.refusals,
        clash_is_smallest=clash.is_smallest,
        seconds=search.spent + clash.seconds,
        explaining_seconds=clash.seconds,
        seed=search.seed,
    )


def _whole_bound(solver: cp_model.CpSolver, value: int) -> int:
    """The solver's bound as a whole number; no goal here can be below 0."""
    bound = solver.best_objective_bound
    return min(value, max(0, math.ceil(bound - 1e-6))) if math.isfinite(bound) else 0
