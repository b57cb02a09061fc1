"""Who: places people on the duties of steps whose times are known.

Layers, in this order: ``problem.py`` data; ``rotation_model.py`` variables and one method per
hard rule; ``rotation_goals.py`` the goals; here the goals are solved one after another, each
kept while the next is improved; ``refusals.py`` words what could not be met.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil, floor

from ortools.sat.python import cp_model
from ortools.sat.python.cp_model import CpSolver

from scheduling.planner.answer import Goal, Status
from scheduling.planner.measuring import RotationMeasures
from scheduling.planner.problem import Placed, RotationProblem
from scheduling.planner.refusals import Refusal, refusals
from scheduling.planner.rotation_goals import ALL_DEMANDS, DEMANDS_IN_ORDER, Aim, aims
from scheduling.planner.rotation_model import RotationModel

# The solver counts its own effort, which is the same in every run, unlike the clock. One core of
# a small machine does about 0.25 a second (measured); less is asked for, so that the clock, which
# stops the search as well, is seldom reached on a busy machine.
EFFORT_PER_SECOND = 0.15
# The effort given to one piece of a plan. The solver's own choice is 0.1; many small pieces end
# with a third of the spread of work that few large ones leave (measured, 14 people, 47 steps).
PIECE = 0.02
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
        self.reached.clear()
        if unmet.value > 0:
            to_come = [*DEMANDS_IN_ORDER, *to_come]
        while to_come:
            self._improve(to_come.pop(0), to_come)
        goals = tuple(self._as_planned(aim, goal) for aim, goal in self.reached if aim.reported)
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
        """Make one goal as good as time allows, then keep it.

        First a plain search from the plan in hand, which proves; where it does not finish, the
        plan is improved piece by piece (large neighbourhoods), which finds better plans sooner
        but proves nothing.
        """
        said = aim.say(self.model)
        if aim.minimise:
            self.model.cp.minimize(said)
        else:
            self.model.cp.maximize(said)
        effort = self.effort_left * aim.share / (aim.share + sum(one.share for one in to_come))
        seconds = self.seconds_left
        self._search(aim, self._completer())
        bound = self._search(aim, self._prover(effort * aim.proving))
        if self._value(aim) != bound:
            self._search(aim, self._improver(effort * (1 - aim.proving)))
        goal = Goal(
            name=aim.name,
            value=self._value(aim),
            bound=bound,
            seconds=seconds - self.seconds_left,
            minimise=aim.minimise,
        )
        self.model.cp.add(said <= goal.value if aim.minimise else said >= goal.value)
        self.reached.append((aim, goal))
        return goal

    def _completer(self) -> CpSolver:
        """Works out the new goal's own variables for the plan in hand; changes nothing else."""
        solver = CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.fix_variables_to_their_hinted_value = True
        return solver

    def _prover(self, effort: float) -> CpSolver:
        solver = CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_deterministic_time = effort
        return solver

    def _improver(self, effort: float) -> CpSolver:
        solver = CpSolver()
        solver.parameters.num_workers = self.workers
        solver.parameters.use_lns_only = True
        solver.parameters.lns_initial_deterministic_limit = PIECE
        solver.parameters.interleave_search = True  # takes turns, so every run goes the same way
        solver.parameters.max_deterministic_time = effort
        return solver

    def _search(self, aim: Aim, solver: CpSolver) -> int:
        """Search, hold the plan found unless the one before was better; return the bound."""
        solver.parameters.random_seed = self.seed
        solver.parameters.max_time_in_seconds = max(0.0, self.seconds_left)
        ended = solver.solve(self.model.cp)
        self.seconds_left -= solver.wall_time
        self.effort_left = max(0.0, self.effort_left - solver.deterministic_time)
        limit = aim.limit(self.measures)
        if ended == cp_model.UNKNOWN:
            return limit
        self._hold(aim, solver)
        value = self._value(aim)
        if aim.minimise:
            return min(value, max(limit, ceil(solver.best_objective_bound - ROUNDING)))
        return max(value, min(limit, floor(solver.best_objective_bound + ROUNDING)))

    def _hold(self, aim: Aim, solver: CpSolver) -> None:
        take = self.model.take
        placed = tuple(sorted(one for one, taken in take.items() if solver.boolean_value(taken)))
        found = RotationMeasures(problem=self.measures.problem, placed=placed)
        worse = aim.measure(found) - self._value(aim)
        if worse > 0 if aim.minimise else worse < 0:
            return
        self.measures = found
        self.model.cp.clear_hints()  # type: ignore[no-untyped-call]  # untyped in the solver
        for index, value in enumerate(solver.response_proto.solution):
            self.model.cp.add_hint(self.model.cp.get_int_var_from_proto_index(index), value)

    def _value(self, aim: Aim) -> int:
        return aim.measure(self.measures)

    def _as_planned(self, aim: Aim, goal: Goal) -> Goal:
        """The goal as the last plan has it: a later search may have bettered it on its way."""
        return replace(goal, value=self._value(aim))


def _status(unmet: Goal, goals: tuple[Goal, ...]) -> Status:
    if unmet.bound > 0:
        return Status.IMPOSSIBLE
    if unmet.value > 0:
        return Status.NO_ANSWER_IN_TIME
    return Status.PROVED_BEST if all(goal.proved for goal in goals) else Status.WITHIN_BOUND
