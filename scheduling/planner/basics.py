"""What both halves of the planner's input share: a stretch of time, and checks of identifiers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from scheduling.planner.errors import BadProblem

MINUTES_PER_DAY = 24 * 60


def unique(kind: str, ids: Iterable[str]) -> None:
    """Refuse an identifier that is listed twice."""
    twice = sorted(name for name, count in Counter(ids).items() if count > 1)
    if twice:
        raise BadProblem(f"{kind} {twice[0]!r} is listed twice; each needs its own identifier.")


def known(kind: str, name: str, names: Iterable[str], user: str) -> None:
    """Refuse a name that the problem does not list."""
    if name not in names:
        raise BadProblem(f"{user} names {kind} {name!r}, which is not in the problem; add it.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """A stretch of time, ``start`` <= t <= ``end``, in minutes."""

    start: int
    end: int

    def __post_init__(self) -> None:
        if self.start > self.end:
            raise BadProblem(f"A window starts at {self.start} after its end at {self.end}.")
