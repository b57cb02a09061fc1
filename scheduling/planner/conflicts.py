"""Why the demands cannot all hold: a smallest clashing set, in words, and what would free it.

The set is found by leaving out: whatever can go while the rest still clashes, goes (a deletion
filter). So each member that stays has been proved necessary: without it, the rest can be met. The
set is smallest in that sense; another with fewer members may exist elsewhere in the course.

Source: deletion filter, J. W. Chinneck, E. W. Dravnieks, Locating minimal infeasible constraint
sets in linear programs, ORSA Journal on Computing 3 (1991), 157-168 (from memory).
"""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass

from scheduling.planner.demanding import (
    IN_QUESTION,
    Demand,
    Kind,
    all_demands,
    can_be_met,
    only,
)
from scheduling.planner.freeing_hands import Remedy, remedies
from scheduling.planner.measuring import RotationMeasures
from scheduling.planner.refusals import Refusal, refusals
from scheduling.planner.rotation_problem import FilledBy, RotationProblem
from scheduling.planner.rule import Rule
from scheduling.planner.rules import day_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """Demands and rules that cannot all hold, each of them necessary to the clash.

    ``proved`` is False where the solver left a question open in the effort given: then a member may
    be one too many. ``remedies`` are changes that were tried and do free it, the cheapest first.
    """

    demands: tuple[Demand, ...]
    rules: tuple[Rule, ...]
    proved: bool
    fact: str
    remedies: tuple[Remedy, ...]

    def sentence(self) -> str:
        """Say what clashes, and what would free it."""
        if not self.remedies:
            return f"{self.fact} Nothing that was tried frees it."
        ways = " Or: ".join(remedy.sentence for remedy in self.remedies)
        return f"{self.fact} This would free it: {ways}"


def explain(measures: RotationMeasures) -> Clash | None:
    """Explain the first demand that a plan leaves unmet.

    Args:
        measures: the best draft of a problem whose demands cannot all be met, from the answer of
            ``rotation.solve``.

    Returns:
        The clash around the first unmet demand; None if the draft meets them all, or if that demand
        can be met with all others of its day (then the draft was only not good enough).
    """
    unmet = refusals(measures)
    for refusal in unmet:
        found = _Filter(measures.problem, refusal).clash()
        if found is not None:
            return found
    return None


class _Filter:
    """One clash, narrowed down around one unmet demand."""

    def __init__(self, problem: RotationProblem, refusal: Refusal) -> None:
        self.problem = problem
        self.refusal = refusal
        self.steps = {step.id: step for step in problem.steps}
        self.proved = True

    def clash(self) -> Clash | None:
        rules = frozenset(IN_QUESTION)
        demands = self._reach(rules)
        if demands is None:
            return None
        demands = self._fewest_demands(demands, rules)
        rules = self._fewest_rules(demands, rules)
        return Clash(
            demands=tuple(demands),
            rules=tuple(rule for rule in Rule if rule in rules),
            proved=self.proved,
            fact=self._fact(demands, rules),
            remedies=remedies(self.problem, demands, self.refusal),
        )

    def _clashes(self, demands: list[Demand], rules: Set[Rule]) -> bool:
        met = can_be_met(only(self.problem, demands, rules))
        if met is None:
            self.proved = False
        return met is False

    def _reach(self, rules: Set[Rule]) -> list[Demand] | None:
        """Demands near the unmet one in time, twice as many each time, until they clash."""
        today = day_of(self.steps[self.refusal.step])
        near = sorted(
            (d for d in all_demands(self.problem) if day_of(self.steps[d.step]) == today),
            key=self._distance,
        )
        reach = 1
        while True:
            if self._clashes(near[:reach], rules):
                return near[:reach]
            if reach >= len(near):
                return None
            reach *= 2

    def _distance(self, demand: Demand) -> tuple[bool, int]:
        mine = (demand.step, demand.duty) == (self.refusal.step, self.refusal.duty)
        is_lock = demand.kind is Kind.LOCK
        unmet = mine and is_lock == (self.refusal.rule is Rule.LOCKS)
        apart = self.steps[demand.step].start - self.steps[self.refusal.step].start
        return not unmet, abs(apart)

    def _fewest_demands(self, demands: list[Demand], rules: Set[Rule]) -> list[Demand]:
        """Leave out, the farthest first, whatever the clash does not need."""
        needed = list(demands)
        for demand in reversed(demands):
            rest = [one for one in needed if one != demand]
            if self._clashes(rest, rules):
                needed = rest
        return sorted(needed, key=lambda one: self.steps[one.step].start)

    def _fewest_rules(self, demands: list[Demand], rules: frozenset[Rule]) -> frozenset[Rule]:
        for rule in IN_QUESTION:
            if self._clashes(demands, rules - {rule}):
                rules -= {rule}
        return rules

    # --- words ------------------------------------------------------------------------------

    def _fact(self, demands: list[Demand], rules: frozenset[Rule]) -> str:
        others = [self._words(one) for one in demands if self._distance(one)[0]]
        said = [self.refusal.fact]
        if others:
            said.append(f"It clashes with {_listed(others)}.")
        if rules:
            kept = " ".join(rule.sentence for rule in Rule if rule in rules)
            said.append(f"What forbids it: {kept}")
        return " ".join(said)

    def _words(self, demand: Demand) -> str:
        step = self.steps[demand.step].name
        names = {duty.id: duty for duty in self.problem.duties}
        if demand.kind is Kind.STAFF:
            return f"the lead or a helper at {step}"
        duty = names[demand.duty]
        if demand.lock is not None:
            people = {person.id: person.name for person in self.problem.people}
            return f"the lock of {people[demand.lock.person]} to {duty.name} at {step}"
        whom = "" if duty.filled_by is FilledBy.ATTENDEES else f" ({duty.filled_by})"
        return f"{duty.needed} for {duty.name}{whom} at {step}"


def _listed(words: list[str]) -> str:
    """
    >>> _listed(["a", "b", "c"])
    'a, b and c'
    """
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
