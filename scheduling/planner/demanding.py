"""The demands of a rotation one by one, and the same problem with only some of them and some rules.

What a clash is made of is found by leaving things out; here is what "leaving out" means.
"""

from __future__ import annotations

from collections.abc import Iterable, Set
from dataclasses import dataclass, replace
from enum import StrEnum

from ortools.sat.python import cp_model
from ortools.sat.python.cp_model import CpSolver

from scheduling.planner import rotation_start
from scheduling.planner.basics import Window
from scheduling.planner.measuring import RotationMeasures, demands, locks_to_keep
from scheduling.planner.rotation_board import Board
from scheduling.planner.rotation_goals import ALL_DEMANDS
from scheduling.planner.rotation_model import RotationModel
from scheduling.planner.rotation_problem import (
    DutySpec,
    Limit,
    PersonSpec,
    Placed,
    RotationProblem,
    TimedStep,
)
from scheduling.planner.rule import Rule

EFFORT = 2.0  # of one question to the solver; generated courses needed less than a tenth of it


class Kind(StrEnum):
    """What is demanded."""

    HANDS = "hands"
    STAFF = "staff"
    LOCK = "lock"


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """Hands for a duty of a step, the lead or a helper at a step, or a lock."""

    kind: Kind
    step: str
    duty: str = ""
    lock: Placed | None = None


def all_demands(problem: RotationProblem) -> list[Demand]:
    """Every demand to come, in the order of time: hands, supervision, locks."""
    found = [
        Demand(kind=Kind.HANDS, step=step.id, duty=duty.id)
        for step, duty in demands(problem)
        if duty.needed and not problem.is_past(step)
    ]
    found += [
        Demand(kind=Kind.STAFF, step=step.id)
        for step in problem.steps
        if step.supervised and not problem.is_past(step)
    ]
    locks = dict.fromkeys(locks_to_keep(problem))
    return found + [
        Demand(kind=Kind.LOCK, step=lock.step, duty=lock.duty, lock=lock) for lock in locks
    ]


# Rules that a clash may rest on, in the order in which leaving them out is tried. Being in one
# place at a time, a duty's most hands and who a duty is meant for are not in question.
IN_QUESTION = (
    Rule.HOUSEHOLD,
    Rule.MEAL_BREAK,
    Rule.WALKING,
    Rule.HEAVY_IN_A_ROW,
    Rule.TIME_CAP,
    Rule.REST_AFTER_HEAVY,
    Rule.MENTOR,
    Rule.LIFT_AT_PLACE,
    Rule.LIFT_FLOOR,
    Rule.KNIFE_FLOOR,
    Rule.PRESENCE,
    Rule.LIMITS,
    Rule.ADULTS,
)


def only(problem: RotationProblem, wanted: Iterable[Demand], rules: Set[Rule]) -> RotationProblem:
    """The same problem with these demands and these of the rules in question, and no others.

    A duty that is not wanted may still be taken: it can be the lighter duty between two heavy ones.
    Only steps that are under way between the first wanted demand and the last are looked at, and
    the past: no other can help or hinder, since nobody need be there.
    """
    chosen = set(wanted)
    asking = [step for step in problem.steps if step.id in {one.step for one in chosen}]
    opens = min((step.start for step in asking), default=0)
    closes = max((step.end for step in asking), default=0)
    steps = [
        step
        for step in problem.steps
        if (step.start < closes and opens < step.end) or problem.is_past(step)
    ]
    staff = {one.step for one in chosen if one.kind is Kind.STAFF}
    hands = {(one.step, one.duty) for one in chosen if one.kind is Kind.HANDS}
    duties = {duty.id: duty for duty in problem.duties}
    known = {step.id for step in steps}
    locks = [one.lock for one in chosen if one.lock is not None]
    return _without(
        replace(
            problem,
            steps=tuple(_own_duties(step, hands, supervised=step.id in staff) for step in steps),
            duties=tuple(
                _asked(duties[name], step, wanted=(step.id, name) in hands)
                for step in steps
                for name in step.duties
            ),
            locks=tuple(sorted(_own(lock, hands) for lock in locks)),
            posted=tuple(_own(one, hands) for one in problem.posted if one.step in known),
            people=tuple(replace(person, wishes=()) for person in problem.people),
            caps=tuple(
                replace(
                    cap,
                    duties=frozenset(
                        f"{name}@{step.id}"
                        for step in steps
                        for name in step.duties
                        if name in cap.duties
                    ),
                )
                for cap in problem.caps
            ),
            done=frozenset(),
        ),
        set(IN_QUESTION) - rules,
    )


def _own(one: Placed, wanted: Set[tuple[str, str]]) -> Placed:
    place = one.place if (one.step, one.duty) in wanted else ""
    return replace(one, duty=f"{one.duty}@{one.step}", place=place)


def _own_duties(step: TimedStep, wanted: Set[tuple[str, str]], *, supervised: bool) -> TimedStep:
    """The step with duties of its own, so that one can be asked for and the other not."""
    return replace(
        step,
        duties=tuple(f"{name}@{step.id}" for name in step.duties),
        place_loads=tuple(
            replace(load, duty=f"{load.duty}@{step.id}")
            for load in step.place_loads
            if (step.id, load.duty) in wanted
        ),
        supervised=supervised,
    )


def _asked(duty: DutySpec, step: TimedStep, *, wanted: bool) -> DutySpec:
    own = replace(duty, id=f"{duty.id}@{step.id}")
    return own if wanted else replace(own, least=0, places=(), across=())


def _without(problem: RotationProblem, left_out: Set[Rule]) -> RotationProblem:
    """Leave rules out by taking away what they judge by."""
    changed = replace(
        problem,
        people=tuple(_person_without(person, left_out) for person in problem.people),
        duties=tuple(_duty_without(duty, left_out) for duty in problem.duties),
        off=problem.off | (left_out & {Rule.HEAVY_IN_A_ROW}),
    )
    if Rule.REST_AFTER_HEAVY in left_out:
        changed = replace(changed, rest_after_heavy_min=0)
    if Rule.WALKING in left_out:
        changed = replace(changed, walks=())
    if Rule.TIME_CAP in left_out:
        changed = replace(changed, caps=())
    if Rule.MEAL_BREAK in left_out:
        changed = replace(changed, meals=())
    if Rule.HOUSEHOLD in left_out:
        changed = replace(changed, households={})
    if Rule.LIFT_AT_PLACE in left_out:
        steps = tuple(replace(step, place_loads=()) for step in changed.steps)
        changed = replace(changed, steps=steps)
    return changed


def _person_without(person: PersonSpec, left_out: Set[Rule]) -> PersonSpec:
    if Rule.PRESENCE in left_out:
        person = replace(person, present=(ALWAYS,))
    return person


def _duty_without(duty: DutySpec, left_out: Set[Rule]) -> DutySpec:
    ruling = duty.ruled_out_by
    if Rule.LIMITS in left_out:
        ruling &= {Limit.UNDER_18}
    if Rule.ADULTS in left_out:
        ruling -= {Limit.UNDER_18}
    return replace(
        duty,
        ruled_out_by=ruling,
        knife_floor=0 if Rule.KNIFE_FLOOR in left_out else duty.knife_floor,
        lift_floor_kg=0.0 if Rule.LIFT_FLOOR in left_out else duty.lift_floor_kg,
        sharp=duty.sharp and Rule.MENTOR not in left_out,
    )


ALWAYS = Window(start=-(10**6), end=10**6)


def can_be_met(problem: RotationProblem) -> bool | None:
    """Whether every demand can be met with every rule kept; None if that is not found out.

    A quick plan is tried first; the solver is asked only where that plan leaves something short.
    """
    board = Board(problem)
    rotation_start.fill(board)
    if not RotationMeasures(problem=problem, placed=board.placed()).demands_not_met():
        return True
    model = RotationModel(problem)
    model.cp.add(ALL_DEMANDS.say(model) == 0)
    solver = CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = EFFORT
    ended = solver.solve(model.cp)
    return None if ended == cp_model.UNKNOWN else ended != cp_model.INFEASIBLE
