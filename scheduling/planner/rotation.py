"""Who: places people on the duties of steps whose times are known.

Layers, in this order: ``problem.py`` data; ``rotation_model.py`` variables and one method per
hard rule; ``rotation_goals.py`` the goals; here the goals are solved one after another, each
kept while the next is improved; ``refusals.py`` words what could not be met.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil, floor

from ortools.sat.python import cp_model

from scheduling.planner.answer import Goal, Status
from scheduling.planner.measuring import RotationMeasures
from scheduling.planner.problem import Placed, RotationProblem
from scheduling.planner.refusals import Refusal, refusals
from scheduling.planner.rotation_goals import ALL_DEMANDS, DEMANDS_IN_ORDER, Aim, aims
from scheduling.planner.rotation_model import RotationModel

# The solver's own measure of effort, which is the same in every run, against the clock: about
# this much is done in a second on one core of a small machine. The clock is only a backstop.
EFFORT_PER_SECOND = 0.5
ROUNDING = 1e-6  # the solver gives whole bounds as floating-point numbers


@dataclass(frozen=True, slots=True, kw_only=True)
class RotationAnswer:
    """A plan, how good it is, and what could not be met.

    When ``status`` is impossible, ``placed`` is the best draft there is: it keeps every rule but
    the demands and locks that ``refusals`` names.
    """

    problem: RotationProblem
    status: Status
    goals: tuple[Goal, ...]
    placed: tuple[Placed, ...]
    refusals: tuple[Refusal, ...]
    seconds: float
    seed: int

    @property
    def measures(self) -> RotationMeasures:
        """Everything that can be counted on the plan, from the plan itself."""
        return RotationMeasures(problem=self.problem, placed=self.placed)


def solve(
    problem: RotationProblem, *, seconds: float = 10.0, seed: int = 1, workers: int = 2
) -> RotationAnswer:
    """Place people on duties: every hard rule kept, then the goals, one after another.

    Args:
        problem: people, duties, timed steps, locks, what was posted and what was done before.
        seconds: time for all goals together, above 0.
        seed: the same problem, seed and number of workers give the same plan, as long as the
            work asked for is done before the clock runs out.
        workers: processor cores to use, 1 or more.

    Returns:
        The plan with each goal's value and bound. Impossible input is no error: the answer then
        says which demand cannot be met, who could, and what keeps the others from it.

    Raises:
        ValueError: ``seconds`` or ``workers`` is out of range.
    """
    if seconds <= 0 or workers < 1:
        message = f"{seconds} s and {workers} workers; give more than 0 s and at least 1 worker."
        raise ValueError(message)
    return _Search(problem, seconds=seconds, seed=seed, workers=workers).answer()


class _Search:
    """One model, improved goal by goal; holds the best plan so far and the time left.

    The first plan is the empty one: it keeps every rule but the demands, so that there is always
    a plan to improve and to hand back.
    """

    def __init__(
        self, problem: RotationProblem, *, seconds: float, seed: int, workers: int
    ) -> None:
        self.model = RotationModel(problem)
        self.measures = RotationMeasures(problem=problem, placed=())
        self.seconds_left = seconds
        self.effort_left = seconds * EFFORT_PER_SECOND
        self.seed = seed
        self.workers = workers
        self.reached: list[tuple[Aim, Goal]] = []

    def answer(self) -> RotationAnswer:
        """Solve the goals in order and word the result."""
        seconds = self.seconds_left
        problem = self.measures.problem
        to_come = aims(problem)
        unmet = self._improve(ALL_DEMANDS, to_come)
        if unmet.value == 0:
            self.reached.clear()
        else:
            to_come = [*DEMANDS_IN_ORDER, *to_come]
        while to_come:
            self._improve(to_come.pop(0), to_come)
        goals = tuple(self._as_planned(aim, goal) for aim, goal in self.reached)
        return RotationAnswer(
            problem=problem,
            status=_status(unmet, goals),
            goals=goals,
            placed=self.measures.placed,
            refusals=refusals(self.measures),
            seconds=seconds - self.seconds_left,
            seed=self.seed,
        )

    def _improve(self, aim: Aim, to_come: list[Aim]) -> Goal:
        """Make one goal as good as time allows, then keep it."""
        said = aim.say(self.model)
        if aim.minimise:
            self.model.cp.minimize(said)
        else:
            self.model.cp.maximize(said)
        solver = self._solver(aim.share / (aim.share + sum(one.share for one in to_come)))
        ended = solver.solve(self.model.cp)
        if ended in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            self._hold(solver)
        goal = self._goal(aim, solver, found=ended != cp_model.UNKNOWN)
        self.model.cp.add(said <= goal.value if aim.minimise else said >= goal.value)
        self.seconds_left -= solver.wall_time
        self.effort_left -= solver.deterministic_time
        self.reached.append((aim, goal))
        return goal

    def _solver(self, share: float) -> cp_model.CpSolver:
        solver = cp_model.CpSolver()
        solver.parameters.random_seed = self.seed
        solver.parameters.num_workers = self.workers
        solver.parameters.interleave_search = self.workers > 1  # the same in every run
        solver.parameters.max_deterministic_time = max(0.01, self.effort_left * share)
        solver.parameters.max_time_in_seconds = max(0.05, self.seconds_left)
        return solver

    def _hold(self, solver: cp_model.CpSolver) -> None:
        """Take the plan found, and let the next search start from it."""
        take = self.model.take
        placed = tuple(sorted(one for one, taken in take.items() if solver.boolean_value(taken)))
        self.measures = RotationMeasures(problem=self.measures.problem, placed=placed)
        self.model.cp.clear_hints()  # type: ignore[no-untyped-call]  # untyped in the solver
        for index, value in enumerate(solver.response_proto.solution):
            self.model.cp.add_hint(self.model.cp.get_int_var_from_proto_index(index), value)

    def _goal(self, aim: Aim, solver: cp_model.CpSolver, *, found: bool) -> Goal:
        value = aim.measure(self.measures)
        if aim.minimise:
            bound = ceil(solver.best_objective_bound - ROUNDING) if found else 0
            bound = min(value, max(0, bound))
        else:
            bound = floor(solver.best_objective_bound + ROUNDING) if found else value
            bound = max(value, bound)
        return Goal(
            name=aim.name,
            value=value,
            bound=bound,
            seconds=solver.wall_time,
            minimise=aim.minimise,
        )

    def _as_planned(self, aim: Aim, goal: Goal) -> Goal:
        """The goal as the last plan has it: a later search may have bettered it on its way."""
        return replace(goal, value=aim.measure(self.measures))


def _status(unmet: Goal, goals: tuple[Goal, ...]) -> Status:
    if unmet.bound > 0:
        return Status.IMPOSSIBLE
    if unmet.value > 0:
        return Status.NO_ANSWER_IN_TIME
    return Status.PROVED_BEST if all(goal.proved for goal in goals) else Status.WITHIN_BOUND
