"""The rotation as a model: one Boolean per candidate placement, one method per hard rule.

Rules about one person and one duty are kept by making no Boolean (``rules.candidates``). Rules
about a person's day are in ``rotation_days.py``, those about a crew in ``rotation_crews.py``. Three
rules bend, so that impossible input still has a best draft: a hand may be short, a station left
without its helper, a lock broken. All are counted, and made few before anything else.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import permutations

from ortools.sat.python.cp_model import CpModel, IntVar, LinearExpr

from scheduling.planner.linear import total
from scheduling.planner.measuring import attendees, demands, locks_to_keep
from scheduling.planner.problem import Placed, RotationProblem
from scheduling.planner.rotation_crews import add_crew_rules
from scheduling.planner.rotation_days import add_day_rules
from scheduling.planner.rules import Between, answers, candidates, past_placements


class RotationModel:
    """Variables and hard rules of one rotation."""

    def __init__(self, problem: RotationProblem) -> None:
        self.problem = problem
        self.cp = CpModel()
        self.duties = {duty.id: duty for duty in problem.duties}
        self.people = {person.id: person for person in problem.people}
        self.steps = {step.id: step for step in problem.steps}
        self.past = frozenset(past_placements(problem))
        self.to_come = [pair for pair in demands(problem) if not problem.is_past(pair[0])]
        self.locks = locks_to_keep(problem)
        self.attendees = [person.id for person in attendees(problem)]
        self.take: dict[Placed, IntVar] = {
            one: self.cp.new_bool_var(f"{one.person} takes {one.duty} {one.place} at {one.step}")
            for one in candidates(problem)
        }
        self.hands_short: dict[tuple[str, str], IntVar] = {}
        self.locks_broken: dict[Placed, IntVar] = {}
        self.unwatched: dict[str, IntVar] = {}
        self.covered: dict[tuple[str, str], IntVar] = {}
        self._group()
        self._past()
        self._hands_needed()
        self._named_places()
        self._one_place_at_a_time()
        self._rest_after_heavy()
        self._walking()
        self._locks()
        add_day_rules(self)
        add_crew_rules(self)

    def _group(self) -> None:
        self.by_duty: defaultdict[tuple[str, str], list[Placed]] = defaultdict(list)
        self.by_stay: defaultdict[tuple[str, str], list[Placed]] = defaultdict(list)
        self.by_person: defaultdict[str, list[Placed]] = defaultdict(list)
        self.by_pair: defaultdict[tuple[str, str], list[Placed]] = defaultdict(list)
        self.by_hand: defaultdict[tuple[str, str, str], list[Placed]] = defaultdict(list)
        for one in self.take:
            self.by_duty[one.step, one.duty].append(one)
            self.by_stay[one.step, one.person].append(one)
            self.by_person[one.person].append(one)
            self.by_pair[one.person, one.duty].append(one)
            self.by_hand[one.step, one.duty, one.person].append(one)

    def count(self, candidates: Iterable[Placed]) -> LinearExpr:
        """How many of the candidates are taken."""
        return total(self.take[one] for one in candidates)

    def minutes(self, one: Placed) -> int:
        """How long a placement lasts."""
        return self.steps[one.step].end - self.steps[one.step].start

    # --- hard rules -------------------------------------------------------------------------

    def _past(self) -> None:
        """What was done stays as it was posted."""
        for one in self.past:
            self.cp.add(self.take[one] == 1)

    def _hands_needed(self) -> None:
        """Each duty of a step has at least its least hands, less those short, at most its most."""
        for step, duty in self.to_come:
            hands = self.count(self.by_duty[step.id, duty.id])
            short = self.cp.new_int_var(0, duty.needed, f"{duty.id} short at {step.id}")
            self.hands_short[step.id, duty.id] = short
            self.cp.add(hands + short >= duty.needed)
            self.cp.add(hands <= duty.most)

    def _named_places(self) -> None:
        """Where places are named, nobody shares one; with every hand there, each has one."""
        for step, duty in self.to_come:
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

    def _walking(self) -> None:
        """Nobody is due at another station before they can have walked there."""
        walks = Between(self.problem).walks
        far = [
            (one, other)
            for one, other in permutations(self.problem.steps, 2)
            if 0 <= other.start - one.end < walks.get((one.station, other.station), 0)
        ]
        for name in self.by_person:
            for one, other in far:
                self._at_most_one([*self.by_stay[one.id, name], *self.by_stay[other.id, name]])

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
                self._at_most_one(now)

    def _at_most_one(self, clashing: Iterable[Placed]) -> None:
        """At most one of them; the past is not judged, and leaves no room beside it."""
        clashing = list(clashing)
        to_come = [self.take[one] for one in clashing if one not in self.past]
        if len(to_come) == len(clashing):
            self.cp.add_at_most_one(to_come)
        else:
            for taken in to_come:
                self.cp.add(taken == 0)

    def _locks(self) -> None:
        """What the lead has locked stays as it is, unless that is impossible."""
        for lock in self.locks:
            meant = [
                one for one in self.by_hand[lock.step, lock.duty, lock.person] if answers(one, lock)
            ]
            broken = self.cp.new_bool_var(f"lock of {lock.person} at {lock.step} broken")
            self.locks_broken[lock] = broken
            self.cp.add(self.count(meant) + broken >= 1)
