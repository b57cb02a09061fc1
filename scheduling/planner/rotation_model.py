"""The rotation as a model: one Boolean per candidate placement, one method per hard rule.

Rules about one person and one duty are kept by making no Boolean (``rules.candidates``). Two
rules bend, so that impossible input still has a best draft: a hand may be short, a lock may be
broken. Both are counted, and both counts are the first thing to be made small.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from ortools.sat.python.cp_model import CpModel, IntVar, LinearExpr

from scheduling.planner.measuring import attendees, demands
from scheduling.planner.problem import Placed, RotationProblem
from scheduling.planner.rules import answers, candidates


def total(terms: Iterable[LinearExpr]) -> LinearExpr:
    """The sum of some expressions, an expression even where there are none."""
    return LinearExpr.sum(list(terms))


class RotationModel:
    """Variables and hard rules of one rotation."""

    def __init__(self, problem: RotationProblem) -> None:
        self.problem = problem
        self.cp = CpModel()
        self.duties = {duty.id: duty for duty in problem.duties}
        self.steps = {step.id: step for step in problem.steps}
        self.attendees = [person.id for person in attendees(problem)]
        self.take: dict[Placed, IntVar] = {
            one: self.cp.new_bool_var(f"{one.person} takes {one.duty} {one.place} at {one.step}")
            for one in candidates(problem)
        }
        self.hands_short: dict[tuple[str, str], IntVar] = {}
        self.locks_broken: dict[Placed, IntVar] = {}
        self.covered: dict[tuple[str, str], IntVar] = {}
        self._group()
        self._hands_needed()
        self._named_places()
        self._one_place_at_a_time()
        self._rest_after_heavy()
        self._locks()

    def _group(self) -> None:
        self.by_duty: defaultdict[tuple[str, str], list[Placed]] = defaultdict(list)
        self.by_person: defaultdict[str, list[Placed]] = defaultdict(list)
        self.by_pair: defaultdict[tuple[str, str], list[Placed]] = defaultdict(list)
        self.by_hand: defaultdict[tuple[str, str, str], list[Placed]] = defaultdict(list)
        for one in self.take:
            self.by_duty[one.step, one.duty].append(one)
            self.by_person[one.person].append(one)
            self.by_pair[one.person, one.duty].append(one)
            self.by_hand[one.step, one.duty, one.person].append(one)

    def count(self, candidates: Iterable[Placed]) -> LinearExpr:
        """How many of the candidates are taken."""
        return total(self.take[one] for one in candidates)

    # --- hard rules -------------------------------------------------------------------------

    def _hands_needed(self) -> None:
        """Each duty of a step has at least its least hands, less those short, at most its most."""
        for step, duty in demands(self.problem):
            hands = self.count(self.by_duty[step.id, duty.id])
            short = self.cp.new_int_var(0, duty.needed, f"{duty.id} short at {step.id}")
            self.hands_short[step.id, duty.id] = short
            self.cp.add(hands + short >= duty.needed)
            self.cp.add(hands <= duty.most)

    def _named_places(self) -> None:
        """Where places are named, nobody shares one; with every hand there, each has one."""
        for step, duty in demands(self.problem):
            for place in duty.places:
                there = [one for one in self.by_duty[step.id, duty.id] if one.place == place]
                self.cp.add_at_most_one(self.take[one] for one in there)

    def _one_place_at_a_time(self) -> None:
        """Nobody is in two places at a time."""
        for mine in self.by_person.values():
            self._at_most_one_at_once(mine, rest_min=0)

    def _rest_after_heavy(self) -> None:
        """Nobody holds two heavy duties with less than the rest time between them."""
        for mine in self.by_person.values():
            heavy = [one for one in mine if self.duties[one.duty].heavy]
            self._at_most_one_at_once(heavy, rest_min=self.problem.rest_after_heavy_min)

    def _at_most_one_at_once(self, mine: Sequence[Placed], *, rest_min: int) -> None:
        # Steps, each lengthened by the rest, clash in pairs exactly when some start lies inside
        # them all, so one "at most one" per start says the same as all the pairs, and tighter.
        moments = {self.steps[one.step].start for one in mine}
        said: set[tuple[Placed, ...]] = set()
        for moment in sorted(moments):
            now = tuple(
                one
                for one in mine
                if self.steps[one.step].start <= moment < self.steps[one.step].end + rest_min
            )
            if len(now) > 1 and now not in said:
                said.add(now)
                self.cp.add_at_most_one(self.take[one] for one in now)

    def _locks(self) -> None:
        """What the lead has locked stays as it is, unless that is impossible."""
        for lock in self.problem.locks:
            meant = [
                one for one in self.by_hand[lock.step, lock.duty, lock.person] if answers(one, lock)
            ]
            broken = self.cp.new_bool_var(f"lock of {lock.person} at {lock.step} broken")
            self.locks_broken[lock] = broken
            self.cp.add(self.count(meant) + broken >= 1)
