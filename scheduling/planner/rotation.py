"""Who: places people on the duties of steps whose times are known.

Layers, in this order: ``rotation_problem.py`` data; ``rotation_model.py`` with ``rotation_days.py``
and ``rotation_crews.py`` variables and hard rules; ``rotation_goals.py`` the goals;
``rotation_start.py`` and ``rotation_search.py`` a first plan and its betterment; here the goals are
solved one after another, each kept while the next is improved; ``refusals.py`` words what could
not be met.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil, floor
from time import perf_counter

from ortools.sat.python import cp_model
from ortools.sat.python.cp_model import CpSolver, LinearExpr

from scheduling.planner import rotation_start
from scheduling.planner.answer import Goal, Status
from scheduling.planner.measuring import RotationMeasures
from scheduling.planner.problem import Placed, RotationProblem
from scheduling.planner.refusals import Refusal, refusals
from scheduling.planner.rotation_board import Board
from scheduling.planner.rotation_goals import ALL_DEMANDS, DEMANDS_IN_ORDER, Aim, aims
from scheduling.planner.rotation_learners import Learner, name_learners
from scheduling.planner.rotation_model import RotationModel
from scheduling.planner.rotation_search import improve
from scheduling.planner.rules import past_placements

# The solver counts its own effort, which is the same in every run, unlike the clock. One core of
# a small machine does about 0.25 a second (measured); less is asked for, so that the clock, which
# stops the search as well, is seldom reached on a busy machine.
EFFORT_PER_SECOND = 0.15
# The effort given to one piece of a plan. The solver's own choice is 0.1; many small pieces end
# with a third of the spread of work that few large ones leave (measured, 14 people, 47 steps).
PIECE = 0.02
POLISHING = 0.5  # the part of the time that goes into trying changes rather than the solver
# Changes tried in a second of it: a plain loop does 10 to 15 thousand on one core (measured).
TRIES_PER_SECOND = 10000
# Booleans of a goal's model beyond which the solver finds nothing in seconds that changes of turns
# did not find before it (measured on generated courses of 8 to 60 people).
LARGEST = 12_000
ROUNDING = 1e-6  # the solver gives whole bounds as floating-point numbers


@dataclass(frozen=True, slots=True, kw_only=True)
class RotationAnswer:
    """A plan, how good it is, and what could not be met.

    When ``status`` is impossible, ``placed`` is the best draft there is: it keeps every rule but
    the demands and locks that ``refusals`` names. ``learners`` are the hands left over, each beside
    a duty that they may watch.
    """

    problem: RotationProblem
    status: Status
    goals: tuple[Goal, ...]
    placed: tuple[Placed, ...]
    refusals: tuple[Refusal, ...]
    learners: tuple[Learner, ...]
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
    """The best plan so far, bettered goal by goal: by counting, by trying changes, by the solver.

    A plan is started step by step and improved by a local search. A goal that then stands at the
    bound which counting gives is proved; any other goes to the solver, which starts from the plan
    in hand. What the solver finds is polished again, since that helps the goals to come.
    """

    def __init__(
        self, problem: RotationProblem, *, seconds: float, seed: int, workers: int
    ) -> None:
        self.measures = RotationMeasures(problem=problem, placed=())
        self.seconds_left = seconds
        self.effort_left = seconds * (1 - POLISHING) * EFFORT_PER_SECOND
        self.seed = seed
        self.workers = workers
        self.reached: list[tuple[Aim, Goal]] = []
        self.board = Board(problem)
        self.tries = min(int(seconds * POLISHING * TRIES_PER_SECOND), 300 * len(self.board.slots))
        self._model: RotationModel | None = None
        self.unsaid = False
        self.kept: list[tuple[Aim, int]] = []

    def answer(self) -> RotationAnswer:
        """Solve the goals in order and word the result."""
        seconds = self.seconds_left
        problem = self.measures.problem
        to_come = aims(problem)
        self._start(to_come)
        unmet = self._improve(ALL_DEMANDS, to_come)
        self.reached.clear()
        if unmet.value > 0:
            to_come = [*DEMANDS_IN_ORDER, *to_come]
        while to_come:
            self._improve(to_come.pop(0), to_come)
        self._finish()
        goals = tuple(self._as_planned(aim, goal) for aim, goal in self.reached if aim.reported)
        return RotationAnswer(
            problem=problem,
            status=_status(unmet, goals),
            goals=goals,
            placed=self.measures.placed,
            refusals=refusals(self.measures),
            learners=name_learners(self.measures),
            seconds=seconds - self.seconds_left,
            seed=self.seed,
        )

    def _start(self, to_come: list[Aim]) -> None:
        """A first plan, and what a local search makes of it."""
        began = perf_counter()
        if self.measures.problem.keep_posted:
            rotation_start.keep_posted(self.board)
        else:
            rotation_start.fill(self.board)
        self._polish(to_come, self.tries // 3)
        self.seconds_left -= perf_counter() - began

    def _finish(self) -> None:
        """A last round of changes: what the solver found for one goal may help those after it."""
        began = perf_counter()
        if not self.measures.demands_not_met():
            self.board.load(self._to_come())
            self._polish([], self.tries // 3)
        self.seconds_left -= perf_counter() - began

    def _polish(self, to_come: list[Aim], tries: int) -> None:
        goals = [ALL_DEMANDS, *(aim for aim, _ in self.reached), *to_come]
        names = [aim.name for aim in goals if aim.on_board]
        self.board.hold_locks()
        improve(self.board, names, tries=tries, seed=self.seed)
        self.measures = self.measures.of(self.board.placed())

    @property
    def model(self) -> RotationModel:
        """The model, made when it is first needed, with what was reached before kept."""
        if self._model is None:
            self._model = RotationModel(self.measures.problem)
            self._said = 0
        return self._model

    def _say(self, aim: Aim) -> LinearExpr:
        """Say a goal in the model, once all goals before it are said and kept."""
        model = self.model
        while self._said < len(self.kept):
            earlier, value = self.kept[self._said]
            self._keep(earlier.say(model), earlier, value)
        self._hint()
        return aim.say(model)

    def _hint(self) -> None:
        model = self.model
        model.cp.clear_hints()  # type: ignore[no-untyped-call]  # untyped in the solver
        held = set(self.measures.placed)
        for one, taken in model.take.items():
            model.cp.add_hint(taken, one in held)

    def _improve(self, aim: Aim, to_come: list[Aim]) -> Goal:
        """Make one goal as good as time allows, then keep it."""
        seconds, limit = self.seconds_left, self._limit(aim)
        bound = limit
        if self._value(aim) != limit and not self.unsaid:
            if aim.size(self.measures) > LARGEST:
                # From here on the solver would forget this goal, so it is not asked any more.
                self.unsaid = True
            else:
                bound = self._solve(aim, to_come)
        goal = Goal(
            name=aim.name,
            value=self._value(aim),
            bound=bound,
            seconds=seconds - self.seconds_left,
            minimise=aim.minimise,
            scale=aim.scale(self.measures),
        )
        self.reached.append((aim, goal))
        self.kept.append((aim, goal.value))
        return goal

    def _solve(self, aim: Aim, to_come: list[Aim]) -> int:
        """Ask the solver, from the plan in hand; return the bound it proves.

        First a plain search, which proves; where it does not finish, the plan is improved piece
        by piece (large neighbourhoods), which finds better plans sooner but proves nothing.
        """
        began = perf_counter()
        said = self._say(aim)
        if aim.minimise:
            self.model.cp.minimize(said)
        else:
            self.model.cp.maximize(said)
        self.seconds_left -= perf_counter() - began
        effort = self.effort_left * aim.share / (aim.share + sum(one.share for one in to_come))
        before = self.measures.placed
        self._search(aim, self._completer())
        bound = self._search(aim, self._prover(effort * aim.proving))
        if self._value(aim) != bound:
            self._search(aim, self._improver(effort * (1 - aim.proving)))
        # Which demand gives way is not counted on the board: there the solver alone goes on.
        if self.measures.placed != before and not self.measures.demands_not_met():
            began = perf_counter()
            self.board.load(self._to_come())
            self._polish([aim, *to_come], self.tries // 6)
            self.seconds_left -= perf_counter() - began
        self._keep(said, aim, self._value(aim))
        return bound

    def _keep(self, said: LinearExpr, aim: Aim, value: int) -> None:
        self.model.cp.add(said <= value if aim.minimise else said >= value)
        self._said += 1

    def _to_come(self) -> list[Placed]:
        past = set(past_placements(self.measures.problem))
        return [one for one in self.measures.placed if one not in past]

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
        limit = self._limit(aim)
        if ended not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
            return limit
        self._hold(aim, solver)
        value = self._value(aim)
        if aim.minimise:
            return min(value, max(limit, ceil(solver.best_objective_bound - ROUNDING)))
        return max(value, min(limit, floor(solver.best_objective_bound + ROUNDING)))

    def _hold(self, aim: Aim, solver: CpSolver) -> None:
        take = self.model.take
        placed = tuple(sorted(one for one, taken in take.items() if solver.boolean_value(taken)))
        found = self.measures.of(placed)
        worse = aim.measure(found) - self._value(aim)
        if worse > 0 if aim.minimise else worse < 0:
            return
        self.measures = found
        self.model.cp.clear_hints()  # type: ignore[no-untyped-call]  # untyped in the solver
        for index, value in enumerate(solver.response_proto.solution):
            self.model.cp.add_hint(self.model.cp.get_int_var_from_proto_index(index), value)

    def _limit(self, aim: Aim) -> int:
        """The bound from counting, where it holds.

        Counting takes it that nobody is in two places and no duty has more hands than it takes.
        What was posted of the past need not be so; if it beats the count, the count proves nothing.
        """
        limit, value = aim.limit(self.measures), self._value(aim)
        beaten = value < limit if aim.minimise else value > limit
        if self.measures.problem.now is None or not beaten:
            return limit
        return min(0, value) if aim.minimise else len(self.measures.possible)

    def _value(self, aim: Aim) -> int:
        return aim.measure(self.measures)

    def _as_planned(self, aim: Aim, goal: Goal) -> Goal:
        """The goal as the last plan has it: a later search may have bettered it on its way."""
        value = self._value(aim)
        if self.measures.problem.now is None:
            return replace(goal, value=value)
        # After a past that beats the count (see _limit), a late change may still do so.
        bound = min(goal.bound, value) if aim.minimise else max(goal.bound, value)
        return replace(goal, value=value, bound=bound)


def _status(unmet: Goal, goals: tuple[Goal, ...]) -> Status:
    if unmet.bound > 0:
        return Status.IMPOSSIBLE
    if unmet.value > 0:
        return Status.NO_ANSWER_IN_TIME
    return Status.PROVED_BEST if all(goal.proved for goal in goals) else Status.WITHIN_BOUND
