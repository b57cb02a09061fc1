"""Whose packages: every one to an owner of record, fair to the last sausage.

Hard rules first (``ShareRule``); then, one after another: the least satisfied owner as satisfied
as can be, for the parts they own; all owners' points together as many as can be; as little moved
from the division before as can be. Each is reported with the bound that no division can beat.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor

from ortools.sat.python import cp_model
from ortools.sat.python.cp_model import CpSolver, IntVar, LinearExprT

from scheduling.planner.answer import Goal, Status
from scheduling.planner.shares_problem import (
    Division,
    SharesMeasures,
    SharesProblem,
    Wish,
)

GOAL_SHARE = 0.6
ROUNDING = 1e-6  # the solver gives whole bounds as floating-point numbers


@dataclass(frozen=True, slots=True, kw_only=True)
class SharesAnswer:
    """A division and how good it is.

    When ``status`` is impossible, ``allowance_needed_g`` is the least weight allowance with which
    there is a division, or None where even that was not found in time.
    """

    problem: SharesProblem
    status: Status
    goals: tuple[Goal, ...]
    division: Division
    seconds: float
    seed: int
    allowance_needed_g: int | None = None

    @property
    def measures(self) -> SharesMeasures:
        """Everything that can be counted on the division, from the division itself."""
        return SharesMeasures(problem=self.problem, division=self.division)

    @property
    def refusal(self) -> str:
        """Why there is no division and what would satisfy it; empty where there is one."""
        if self.status.has_plan:
            return ""
        said = (
            f"No division keeps every owner within {self.problem.allowed_g} g of their share, "
            "with what was handed over and what is never taken."
        )
        if self.allowance_needed_g is None:
            return f"{said} Allow more weight, or ask an owner to take one more kind."
        return f"{said} Allow {self.allowance_needed_g} g, or ask an owner to take one more kind."


def divide(
    problem: SharesProblem, *, seconds: float = 10.0, seed: int = 1, workers: int = 2
) -> SharesAnswer:
    """Divide the packages.

    Args:
        problem: packages, owners, what is handed over, what was shown before.
        seconds: time for all goals together, above 0.
        seed: the same problem and seed give the same goals; the division may be another of equal
            worth with more than one worker.
        workers: processor cores to use, 1 or more.

    Returns:
        The division with each goal's value and bound, or why there is none.

    Raises:
        ValueError: ``seconds`` or ``workers`` is out of range.

    >>> from scheduling.planner.shares_problem import Owner, Package
    >>> kinds = ("chops", "chops", "liver", "lard")
    >>> answer = divide(SharesProblem(
    ...     packages=tuple(Package(id=f"p{n}", kind=k, grams=500) for n, k in enumerate(kinds)),
    ...     owners=(Owner(id="a", name="Ash", wishes={"liver": Wish.NEVER}),
    ...             Owner(id="b", name="Birch"))))
    >>> answer.status.value, answer.division["p2"], answer.measures.grams_of("a")
    ('proved_best', 'b', 1000)
    """
    if seconds <= 0 or workers < 1:
        message = f"{seconds} s and {workers} workers; give more than 0 s and at least 1 worker."
        raise ValueError(message)
    return _Search(problem, seconds=seconds, seed=seed, workers=workers).answer()


class _Search:
    """One model, improved goal by goal; holds the best division so far and the time left."""

    def __init__(self, problem: SharesProblem, *, seconds: float, seed: int, workers: int) -> None:
        self.problem = problem
        self.seconds_left = self.seconds = seconds
        self.seed = seed
        self.workers = workers
        self.cp = cp_model.CpModel()
        self.take: dict[tuple[str, str], IntVar] = {}
        self.division: dict[str, str] = {}
        self._once_and_never()
        self._handed_over()
        self.off = self._weight()

    # --- rules --------------------------------------------------------------------------------

    def _once_and_never(self) -> None:
        """Every package goes to exactly one owner; nobody gets a kind they will not take."""
        for package in self.problem.packages:
            for owner in self.problem.owners:
                if owner.wish(package.kind) is not Wish.NEVER or self._is_out(package.id, owner.id):
                    key = (package.id, owner.id)
                    self.take[key] = self.cp.new_bool_var(f"{package.id}:{owner.id}")
            self.cp.add_exactly_one(
                var for (name, _), var in self.take.items() if name == package.id
            )

    def _is_out(self, package: str, owner: str) -> bool:
        return self.problem.handed_over.get(package) == owner

    def _handed_over(self) -> None:
        """What has been handed over stays where it is."""
        for package, owner in self.problem.handed_over.items():
            self.cp.add(self.take[package, owner] == 1)

    def _weight(self) -> IntVar:
        """Each owner's weight is within the allowance: |grams x all parts - all grams x parts|."""
        grams = {package.id: package.grams for package in self.problem.packages}
        whole, parts = self.problem.grams, self.problem.parts
        off = self.cp.new_int_var(0, whole, "off")
        for owner in self.problem.owners:
            held = sum(
                grams[name] * var for (name, who), var in self.take.items() if who == owner.id
            )
            over = parts * held - whole * owner.parts
            self.cp.add(over <= parts * off)
            self.cp.add(-over <= parts * off)
        return off

    # --- goals --------------------------------------------------------------------------------

    def answer(self) -> SharesAnswer:
        """Keep the allowance, then solve the goals in order."""
        self.cp.add(self.off <= self.problem.allowed_g)
        least = self._least()
        goals = [self._improve("least satisfied", least, minimise=False)]
        if goals[0] is None:
            return self._none()
        goals.append(self._improve("points together", self._total(), minimise=False))
        if self.problem.before:
            goals.append(self._improve("moved", self._moved(), minimise=True))
        done = tuple(goal for goal in goals if goal is not None)
        proved = len(done) == len(goals) and all(goal.proved for goal in done)
        return self._answered(
            Status.PROVED_BEST if proved else Status.WITHIN_BOUND, goals=self._as_divided(done)
        )

    def _least(self) -> IntVar:
        """The least satisfaction: points x all parts / own parts, in whole steps, cut."""
        points = {owner.id: self.problem.points(owner.id) for owner in self.problem.owners}
        parts, step = self.problem.parts, self.problem.step
        most = min(
            sum(points[owner.id].values()) * parts // (owner.parts * step)
            for owner in self.problem.owners
        )
        least = self.cp.new_int_var(0, most, "least")
        for owner in self.problem.owners:
            got = sum(
                points[owner.id][name] * var
                for (name, who), var in self.take.items()
                if who == owner.id
            )
            self.cp.add(least * owner.parts * step <= parts * got)
        return least

    def _total(self) -> IntVar:
        """All points together, in whole steps, cut."""
        points = {owner.id: self.problem.points(owner.id) for owner in self.problem.owners}
        total = self.cp.new_int_var(0, sum(sum(one.values()) for one in points.values()), "total")
        got = sum(points[who][name] * var for (name, who), var in self.take.items())
        self.cp.add(total * self.problem.step <= got)
        return total

    def _moved(self) -> LinearExprT:
        before = self.problem.before
        return sum(var for (name, who), var in self.take.items() if before.get(name, who) != who)

    def _improve(self, name: str, aim: LinearExprT, *, minimise: bool) -> Goal | None:
        """Make one goal as good as time allows, then keep it; None where no division was found."""
        if minimise:
            self.cp.minimize(aim)
        else:
            self.cp.maximize(aim)
        solver, ended = self._run()
        if ended not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return self._kept(name, minimise=minimise) if self.division else None
        self._hold(solver)
        value, bound = round(solver.objective_value), solver.best_objective_bound
        kept = ceil(bound - ROUNDING) if minimise else floor(bound + ROUNDING)
        self.cp.add(aim <= value if minimise else aim >= value)
        return Goal(name=name, value=value, bound=kept, seconds=solver.wall_time, minimise=minimise)

    def _kept(self, name: str, *, minimise: bool) -> Goal:
        """A goal there was no time for: the value of the division in hand, the bound trivial."""
        value = self._measure(name)
        trivial = (
            0
            if minimise
            else sum(
                max(self.problem.points(owner.id)[package.id] for owner in self.problem.owners)
                for package in self.problem.packages
            )
        )
        return Goal(name=name, value=value, bound=trivial, seconds=0.0, minimise=minimise)

    def _measure(self, name: str) -> int:
        measures = SharesMeasures(problem=self.problem, division=self.division)
        match name:
            case "least satisfied":
                return measures.least
            case "points together":
                return measures.total
            case _:
                return measures.moved

    def _as_divided(self, goals: tuple[Goal, ...]) -> tuple[Goal, ...]:
        """The goals as the last division has them: a later search may have bettered one."""
        return tuple(
            Goal(
                name=goal.name,
                value=self._measure(goal.name),
                bound=goal.bound,
                seconds=goal.seconds,
                minimise=goal.minimise,
            )
            for goal in goals
        )

    def _run(self) -> tuple[CpSolver, cp_model.CpSolverStatus]:
        solver = CpSolver()
        solver.parameters.num_workers = self.workers
        solver.parameters.random_seed = self.seed
        # a part of the time only: a goal that cannot be proved must leave some to the next
        solver.parameters.max_time_in_seconds = max(0.01, self.seconds_left * GOAL_SHARE)
        ended = solver.solve(self.cp)
        self.seconds_left -= solver.wall_time
        return solver, ended

    def _hold(self, solver: CpSolver) -> None:
        self.division = {name: who for (name, who), v in self.take.items() if solver.value(v)}
        self.cp.clear_hints()  # type: ignore[no-untyped-call]  # untyped in the solver
        for (name, who), var in self.take.items():
            self.cp.add_hint(var, int(self.division[name] == who))

    def _none(self) -> SharesAnswer:
        """No division: the least allowance that would make one, from a model without it."""
        free = _Search(
            self.problem, seconds=self.seconds_left, seed=self.seed, workers=self.workers
        )
        free.cp.minimize(free.off)
        solver, ended = free._run()
        self.seconds_left = free.seconds_left
        needed = None
        if ended in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            needed = round(solver.objective_value)
        impossible = needed is not None and solver.best_objective_bound > self.problem.allowed_g
        status = Status.IMPOSSIBLE if impossible else Status.NO_ANSWER_IN_TIME
        return self._answered(status, goals=(), needed=needed)

    def _answered(
        self, status: Status, *, goals: tuple[Goal, ...], needed: int | None = None
    ) -> SharesAnswer:
        return SharesAnswer(
            problem=self.problem,
            status=status,
            goals=goals,
            division=self.division,
            seconds=self.seconds - self.seconds_left,
            seed=self.seed,
            allowance_needed_g=needed,
        )
