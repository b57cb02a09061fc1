"""Placing again from now: the past and the locks stay, and as few as can be hear of a change.

A re-plan is the rotation with ``now`` and what was posted; its first goal is then the number of
changes, solved or bounded like any other, and the goals of every rotation follow it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from scheduling.planner.answer import Goal
from scheduling.planner.measuring import Change, ChangeKind
from scheduling.planner.rotation import RotationAnswer, solve
from scheduling.planner.rotation_problem import Placed, RotationProblem

FEW_CHANGES = "changes to the posted plan"


@dataclass(frozen=True, slots=True, kw_only=True)
class Replan:
    """The new plan beside the posted one."""

    answer: RotationAnswer

    @property
    def changes(self) -> tuple[Change, ...]:
        """What differs from the posted plan at the steps to come."""
        return self.answer.measures.changes()

    @property
    def fewest(self) -> Goal:
        """How many changes there are, and the number that no plan can go below."""
        return next(goal for goal in self.answer.goals if goal.name == FEW_CHANGES)

    @property
    def to_tell(self) -> tuple[str, ...]:
        """The people whose day changes, each once, in the order of their first change."""
        return tuple(dict.fromkeys(change.person for change in self._in_time()))

    def sentences(self) -> tuple[str, ...]:
        """The difference, in the order of time: "Ines takes hind-left at Dip 2 from Tomas."."""
        wording = _Wording(self.answer)
        return tuple(wording.sentence(change) for change in self._in_time())

    def _in_time(self) -> list[Change]:
        starts = {step.id: step.start for step in self.answer.problem.steps}
        return sorted(self.changes, key=lambda one: (starts.get(one.step, 0), one.step, one.person))


def replan(
    problem: RotationProblem,
    *,
    now: int,
    seconds: float = 2.0,
    seed: int = 1,
    workers: int = 2,
) -> Replan:
    """Place again from ``now`` on, changing as little of the posted plan as can be.

    Args:
        problem: the rotation as it is now: who is here, what hurts, when the steps are; with what
            was ``posted``.
        now: minutes from the problem's origin; steps that start before it are past.
        seconds, seed, workers: as for :func:`rotation.solve`.

    Returns:
        The new plan, the fewest changes proved or bounded, and the difference in words.

    Raises:
        ValueError: ``seconds`` or ``workers`` is out of range.
    """
    from_now = replace(problem, now=now, keep_posted=True)
    return Replan(answer=solve(from_now, seconds=seconds, seed=seed, workers=workers))


class _Wording:
    """Changes as sentences, each naming who had the place before."""

    def __init__(self, answer: RotationAnswer) -> None:
        problem = answer.problem
        self.people = {person.id: person.name for person in problem.people}
        self.duties = {duty.id: duty for duty in problem.duties}
        self.steps = {step.id: step.name for step in problem.steps}
        self.after = answer.placed
        self.before = problem.posted

    def sentence(self, change: Change) -> str:
        """One change as a sentence."""
        name = self.people.get(change.person, change.person)
        step = self.steps.get(change.step, change.step)
        if change.kind is ChangeKind.LOST:
            return f"{name} is free at {step}; {self._taken_over(change.before)}."
        assert change.after is not None, "gained and moved have a place after"
        gains = f"{name} takes {self._place(change.after)} at {step}"
        had = [one for one in self.before if self._same_place(one, change.after)]
        others = sorted({one.person for one in had} - {change.person})
        giver = f" from {self.people.get(others[0], others[0])}" if len(others) == 1 else ""
        if change.kind is ChangeKind.MOVED and change.before is not None:
            return f"{gains}{giver}, and leaves {self._place(change.before)}."
        return f"{gains}{giver}."

    def _taken_over(self, left: Placed | None) -> str:
        assert left is not None, "who lost a place had one"
        now = sorted({one.person for one in self.after if self._same_place(one, left)})
        place = self._place(left)
        if left.place and len(now) == 1:
            return f"{self.people[now[0]]} has {place}"
        return f"no longer at {place}"

    def _place(self, one: Placed) -> str:
        duty = self.duties[one.duty].name if one.duty in self.duties else one.duty
        return f"{duty} ({one.place})" if one.place else duty

    @staticmethod
    def _same_place(one: Placed, other: Placed) -> bool:
        return (one.step, one.duty, one.place) == (other.step, other.duty, other.place)
