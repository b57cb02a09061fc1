"""Every hard rule of a division, re-checked without the solver."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from scheduling.planner.shares_problem import (
    Division,
    ShareRule,
    SharesMeasures,
    SharesProblem,
    Wish,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class BrokenShare:
    """A rule that a division breaks, and where."""

    rule: ShareRule
    where: str

    @property
    def sentence(self) -> str:
        """The rule and the place."""
        return f"{self.rule.sentence} Not so: {self.where}."


def check_shares(problem: SharesProblem, division: Division) -> tuple[BrokenShare, ...]:
    """What is wrong with a division; nothing when it may be printed.

    Args:
        problem: packages and owners.
        division: package to owner.

    Returns: broken rules, in the order of :class:`ShareRule`.

    Raises: nothing.

    >>> from scheduling.planner.shares_problem import Owner, Package
    >>> p = SharesProblem(packages=(Package(id="p1", kind="chops", grams=900),),
    ...                   owners=(Owner(id="a", name="Ash"),))
    >>> check_shares(p, {})[0].sentence
    'Every package goes to exactly one owner of record. Not so: p1 is with nobody.'
    """
    return tuple(
        BrokenShare(rule=rule, where=where)
        for rule, found in (
            (ShareRule.ONCE, _once(problem, division)),
            (ShareRule.NEVER, _never(problem, division)),
            (ShareRule.HANDED_OVER, _handed_over(problem, division)),
            (ShareRule.WEIGHT, _weight(problem, division)),
        )
        for where in found
    )


def _once(problem: SharesProblem, division: Division) -> Iterator[str]:
    owners = {owner.id for owner in problem.owners}
    here = {package.id for package in problem.packages}
    for name in here:
        if division.get(name) not in owners:
            yield f"{name} is with {division.get(name, 'nobody')}"
    yield from (f"{name} is not among the packages" for name in division if name not in here)


def _never(problem: SharesProblem, division: Division) -> Iterator[str]:
    for owner in problem.owners:
        for package in problem.packages:
            if division.get(package.id) == owner.id and owner.wish(package.kind) is Wish.NEVER:
                yield f"{owner.name} has {package.id}, {package.kind}"


def _handed_over(problem: SharesProblem, division: Division) -> Iterator[str]:
    for package, owner in problem.handed_over.items():
        if division.get(package) != owner:
            yield f"{package} went to {owner} and stands with {division.get(package)}"


def _weight(problem: SharesProblem, division: Division) -> Iterator[str]:
    measures = SharesMeasures(problem=problem, division=division)
    for owner in problem.owners:
        # in whole parts of a gram, so that no rounding decides
        off = abs(measures.grams_of(owner.id) * problem.parts - problem.grams * owner.parts)
        if off > problem.allowed_g * problem.parts:
            due = problem.due_g(owner.id)
            yield f"{owner.name} has {measures.grams_of(owner.id)} g where {due:.0f} g are due"
