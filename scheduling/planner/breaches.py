"""What a re-check of a rotation finds, and the problem by identifier to find it in."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.planner.rotation_problem import (
    DutySpec,
    PersonSpec,
    Placed,
    RotationProblem,
    TimedStep,
)
from scheduling.planner.rule import Rule


@dataclass(frozen=True, slots=True, kw_only=True)
class Breach:
    """One broken rule, with the sentence that says where."""

    rule: Rule
    sentence: str


@dataclass(frozen=True, slots=True)
class Known:
    """The problem by identifier."""

    problem: RotationProblem
    people: dict[str, PersonSpec]
    duties: dict[str, DutySpec]
    steps: dict[str, TimedStep]

    def knows(self, row: Placed) -> bool:
        """Whether person, step and duty are in the problem, and the step has the duty."""
        return (
            row.person in self.people
            and row.step in self.steps
            and row.duty in self.steps[row.step].duties
        )

    def is_past(self, row: Placed) -> bool:
        """Whether the row is at a step that had started when the plan was asked for."""
        return self.problem.is_past(self.steps[row.step])

    def minutes(self, row: Placed) -> int:
        """How long the row lasts."""
        return self.steps[row.step].end - self.steps[row.step].start


def known_by_id(problem: RotationProblem) -> Known:
    """Index a problem."""
    return Known(
        problem,
        {person.id: person for person in problem.people},
        {duty.id: duty for duty in problem.duties},
        {step.id: step for step in problem.steps},
    )
