"""What the planner refuses.

PlannerError
└── BadProblem     the input contradicts itself; the sentence says where and what would satisfy it
"""


class PlannerError(Exception):
    """Anything the planner refuses to do."""


class BadProblem(PlannerError):
    """The input contradicts itself."""
