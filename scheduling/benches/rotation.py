"""The rotation on generated courses: how soon, how good, how few changes, how well explained.

``bench rotation [attendees ...] [seconds=2,5,10]``. Each course is planned by a sensible greedy
(the planner's own first plan), by the planner, and as the same model by an open solver of mixed
integer programs (HiGHS, through SciPy), one after another in one process.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from time import perf_counter
from typing import Any

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, OptimizeResult, milp
from scipy.sparse import csr_matrix

from scheduling.benches import Write
from scheduling.generated_courses import SIZES, Size, course
from scheduling.planner import rotation_start
from scheduling.planner.basics import Window
from scheduling.planner.check_rotation import check_rotation
from scheduling.planner.conflicts import explain
from scheduling.planner.measuring import RotationMeasures
from scheduling.planner.replan import replan
from scheduling.planner.rotation import RotationAnswer, solve
from scheduling.planner.rotation_board import Board
from scheduling.planner.rotation_goals import ALL_DEMANDS, aims
from scheduling.planner.rotation_model import RotationModel
from scheduling.planner.rotation_problem import Limit, Placed, RotationProblem
from scheduling.planner.rotation_terms import coverage

SEED = 1
OPEN_ENDED = 10**15  # the solver writes "no limit" as the largest whole number there is


def run(write: Write, words: Sequence[str]) -> None:
    """Bench every size, or those whose attendees are named."""
    wanted = {int(word) for word in words if word.isdigit()}
    budgets = next((word for word in words if word.startswith("seconds=")), "seconds=2,5,10")
    seconds = [float(part) for part in budgets.removeprefix("seconds=").split(",")]
    write(f"{os.cpu_count()} cores, seed {SEED}; seconds by the wall clock")
    for size in SIZES:
        if not wanted or size.attendees in wanted:
            _bench(write, size, seconds)


def _bench(write: Write, size: Size, budgets: list[float]) -> None:
    problem = course(size, seed=SEED)
    write(
        f"\n{size.attendees} attendees, {size.helpers + 1} staff, {size.hogs} hogs, "
        f"{size.days} days, {len(problem.steps)} steps"
    )
    greedy = _first_plan(write, problem)
    for seconds in budgets:
        began = perf_counter()
        answer = solve(problem, seconds=seconds, seed=SEED)
        broken = len(check_rotation(problem, answer.placed))
        write(f"  planner, {seconds:g} s asked, {perf_counter() - began:.1f} s taken")
        write(f"    {answer.status.value}, {broken} rules broken by the checker's count")
        _goals(write, answer, greedy)
    _highs(write, problem, seconds=budgets[-1])
    _someone_leaves(write, problem, answer.placed)
    _clash(write, problem)


def _first_plan(write: Write, problem: RotationProblem) -> RotationMeasures:
    began = perf_counter()
    board = Board(problem)
    rotation_start.fill(board)
    taken = perf_counter() - began
    measures = RotationMeasures(problem=problem, placed=board.placed())
    write(f"  greedy: first plan in {taken:.2f} s, {measures.demands_not_met()} demands not met")
    return measures


def _goals(write: Write, answer: RotationAnswer, greedy: RotationMeasures) -> None:
    measure = {aim.name: aim.measure for aim in aims(answer.problem)}
    for goal in answer.goals:
        before = measure[goal.name](greedy) if goal.name in measure else "-"
        write(
            f"    {goal.name:34} {goal.value:6} bound {goal.bound:6} gap {goal.gap:8.1%}"
            f"   greedy {before}"
        )


# --- the same model for a solver of mixed integer programs ----------------------------------


def _highs(write: Write, problem: RotationProblem, *, seconds: float) -> None:
    """Coverage with every demand met: the first goal alone, as one mixed integer program."""
    began = perf_counter()
    model = RotationModel(problem)
    model.cp.add(ALL_DEMANDS.say(model) == 0)
    aim = coverage(model)
    model.cp.maximize(aim)
    program = _Program(model)
    built = perf_counter() - began
    found = program.solve(seconds)
    taken = perf_counter() - began
    done = len(RotationMeasures(problem=problem, placed=()).possible & problem.done)
    value = "no plan" if found.x is None else f"coverage {round(-found.fun) + done}"
    bound = getattr(found, "mip_dual_bound", None)
    proved = "" if bound is None else f", bound {round(-bound) + done}"
    write(f"  HiGHS: {value}{proved} in {taken:.1f} s, of which {built:.1f} s to build the model")


class _Program:
    """The solver's own model as rows of a matrix; all of its constraints are linear."""

    def __init__(self, model: RotationModel) -> None:
        self.proto = model.cp.proto
        self.entries: list[tuple[int, int, float]] = []
        self.low: list[float] = []
        self.high: list[float] = []
        for one in self.proto.constraints:
            self._add(one)

    # Any: the solver's messages have no types.
    def _add(self, one: Any) -> None:
        if one.has_linear():
            terms: dict[int, float] = {}
            for variable, factor in zip(one.linear.vars, one.linear.coeffs, strict=True):
                terms[variable] = terms.get(variable, 0.0) + factor
            least, *_, most = one.linear.domain
            self._row(
                terms,
                -np.inf if least < -OPEN_ENDED else float(least),
                np.inf if most > OPEN_ENDED else float(most),
            )
        elif one.has_at_most_one():
            self._row(dict.fromkeys(one.at_most_one.literals, 1.0), -np.inf, 1.0)
        elif one.has_bool_or():
            # Either something is true, or what the rule depends on is not.
            given = [-literal - 1 for literal in one.enforcement_literal]
            self._row(dict.fromkeys([*one.bool_or.literals, *given], 1.0), 1.0, np.inf)
        elif one.has_bool_and():
            (given,) = one.enforcement_literal
            for literal in one.bool_and.literals:
                self._row({literal: 1.0, -given - 1: 1.0}, 1.0, np.inf)
        else:
            message = f"no row for a constraint of this kind: {one}"
            raise TypeError(message)

    def _row(self, terms: dict[int, float], least: float, most: float) -> None:
        number, shift = len(self.low), 0.0
        for literal, factor in terms.items():
            if literal >= 0:
                self.entries.append((number, literal, factor))
            else:  # a negated Boolean: 1 - x
                shift += factor
                self.entries.append((number, -literal - 1, -factor))
        self.low.append(least - shift)
        self.high.append(most - shift)

    def solve(self, seconds: float) -> OptimizeResult:
        """Solve it with HiGHS; the solver's objective is already turned so that small is good."""
        variables, objective = self.proto.variables, self.proto.objective
        costs = np.zeros(len(variables))
        for variable, factor in zip(objective.vars, objective.coeffs, strict=True):
            if variable >= 0:
                costs[variable] += factor
            else:
                costs[-variable - 1] -= factor
        rows, columns, factors = zip(*self.entries, strict=True)
        matrix = csr_matrix((factors, (rows, columns)), shape=(len(self.low), len(costs)))
        return milp(
            costs,
            constraints=LinearConstraint(matrix, self.low, self.high),
            bounds=Bounds(
                np.array([min(one.domain) for one in variables], dtype=float),
                np.array([max(one.domain) for one in variables], dtype=float),
            ),
            integrality=np.ones(len(costs), dtype=int),
            options={"time_limit": seconds},
        )


# --- someone leaves, and what cannot be -----------------------------------------------------


def _someone_leaves(write: Write, problem: RotationProblem, plan: tuple[Placed, ...]) -> None:
    """The busiest attendee of the first day is hurt at nine."""
    now = 9 * 60
    steps = {step.id: step for step in problem.steps}
    to_come = [one for one in plan if steps[one.step].start >= now and one.person.startswith("a")]
    held = {
        name: sum(one.person == name for one in to_come) for name in {o.person for o in to_come}
    }
    name = min(held, key=lambda one: (-held[one], one))
    people = tuple(
        replace(one, present=(Window(start=0, end=now),)) if one.id == name else one
        for one in problem.people
    )
    for seconds in (2.0, 5.0):
        began = perf_counter()
        found = replan(replace(problem, people=people, posted=plan), now=now, seconds=seconds)
        broken = len(check_rotation(found.answer.problem, found.answer.placed))
        write(
            f"  re-plan, {seconds:g} s asked, {perf_counter() - began:.1f} s taken: "
            f"{found.fewest.value} changes, at least {found.fewest.bound}, for {held[name]} places "
            f"held; {found.answer.status.value}, {broken} rules broken"
        )


def _clash(write: Write, problem: RotationProblem) -> None:
    """All but five may not lift: the chains cannot be manned."""
    attendees = [one.id for one in problem.people if one.id.startswith("a")]
    hurt = set(attendees[5:])
    people = tuple(
        replace(one, limits=one.limits | {Limit.NO_LIFTING}) if one.id in hurt else one
        for one in problem.people
    )
    weak = replace(problem, people=people)
    draft = solve(weak, seconds=2, seed=SEED)
    began = perf_counter()
    clash = explain(draft.measures)
    taken = perf_counter() - began
    if clash is None:
        write(f"  conflict: none found in {taken:.1f} s; {draft.status.value}")
    else:
        write(
            f"  conflict explained in {taken:.1f} s: {len(clash.demands)} demands, "
            f"{len(clash.rules)} rules, {len(clash.remedies)} ways out, proved {clash.proved}"
        )
