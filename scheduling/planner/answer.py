"""What every planner says about its own work: how it ended, and how good each goal is.

Both planners answer in these words, so that a page needs to learn them once. Each planner adds
its own plan to them (``TimetableAnswer``, ``RotationAnswer``).
"""

from dataclasses import dataclass
from enum import StrEnum


class Status(StrEnum):
    """How a planner's work ended."""

    PROVED_BEST = "proved_best"
    WITHIN_BOUND = "within_bound"
    IMPOSSIBLE = "impossible"
    NO_ANSWER_IN_TIME = "no_answer_in_time"

    @property
    def has_plan(self) -> bool:
        """Whether there is a plan to show."""
        return self in {Status.PROVED_BEST, Status.WITHIN_BOUND}


@dataclass(frozen=True, slots=True, kw_only=True)
class Goal:
    """One aim of a plan: the value it reached, and the bound no plan can beat.

    ``bound`` is on the far side of ``value``: at most ``value`` where the aim is to be small
    (``minimise``), at least ``value`` where it is to be large. ``seconds`` is the time spent on
    this goal alone. Goals are solved in order, so a bound holds among the plans that are as good
    on every goal before it. ``scale`` is what a distance is small against where the bound may be
    nothing: a spread of 5 minutes in the 500 of an average attendee is 1 %.

    >>> Goal(name="coverage", value=98, bound=100, seconds=5.0, minimise=False).sentence()
    'Within 2 % of the best possible.'
    """

    name: str
    value: int
    bound: int
    seconds: float
    minimise: bool = True
    scale: int = 0

    def __post_init__(self) -> None:
        beaten = self.value < self.bound if self.minimise else self.value > self.bound
        if beaten:
            raise ValueError(
                f"Goal {self.name}: the value {self.value} is better than its bound {self.bound}."
            )

    @property
    def gap(self) -> float:
        """How far the value may be from the best possible, relative to the bound or the scale."""
        return abs(self.value - self.bound) / max(1, abs(self.bound), self.scale)

    @property
    def proved(self) -> bool:
        """Whether no plan can do better on this goal."""
        return self.value == self.bound

    def sentence(self) -> str:
        """Say how good the value is; the per cent is rounded up, never down.

        >>> Goal(name="waiting", value=30, bound=30, seconds=0.1).sentence()
        'Proved best.'
        >>> Goal(name="waiting", value=1001, bound=1000, seconds=0.1).sentence()
        'Within 1 % of the best possible.'
        >>> Goal(name="waiting", value=12, bound=0, seconds=0.1).sentence()
        'At most 12 from the best possible.'
        """
        if self.proved:
            return "Proved best."
        distance = abs(self.value - self.bound)
        if self.bound == 0:
            return f"At most {distance} from the best possible."
        per_cent = -(-100 * distance // abs(self.bound))
        return f"Within {per_cent} % of the best possible."
