"""A division explained to each household, in words and numbers it can check with a scale."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from scheduling.planner.shares_problem import Owner, SharesMeasures, Wish


@dataclass(frozen=True, slots=True, kw_only=True)
class Explained:
    """What one owner gets and how it compares."""

    owner: Owner
    grams: int
    due_g: float
    satisfaction: int
    kinds: tuple[tuple[str, int, int], ...]
    sentences: tuple[str, ...]


def explain(measures: SharesMeasures) -> tuple[Explained, ...]:
    """Weight, kinds, wishes met and comparison with the others, owner by owner.

    An owner would rather have another's pile only as the piles stand, each weighed by the parts
    owned; "one package apart" means that without its dearest package the other pile is no better.

    Args:
        measures: a division that the checker has passed.

    Returns: one for each owner, in the problem's order.

    Raises: nothing.

    >>> from scheduling.planner.shares_problem import Package, SharesProblem
    >>> p = SharesProblem(
    ...     packages=(Package(id="p1", kind="chops", grams=900),
    ...               Package(id="p2", kind="chops", grams=800)),
    ...     owners=(Owner(id="a", name="Ash"), Owner(id="b", name="Birch")))
    >>> for one in explain(SharesMeasures(problem=p, division={"p1": "a", "p2": "b"})):
    ...     print(" ".join(one.sentences))
    Ash owns 1 of 2 parts: 0.85 kg are due, 0.90 kg are here in 1 packages. By Ash's own wishes \
that is 105 % of an even share. Nobody's pile is worth more to Ash.
    Birch owns 1 of 2 parts: 0.85 kg are due, 0.80 kg are here in 1 packages. By Birch's own \
wishes that is 94 % of an even share. Ash's pile is worth more to Birch, by one package at most.
    """
    return tuple(_explained(measures, owner) for owner in measures.problem.owners)


def _explained(measures: SharesMeasures, owner: Owner) -> Explained:
    held = measures.held(owner.id)
    count = Counter(package.kind for package in held)
    weight: Counter[str] = Counter()
    for package in held:
        weight[package.kind] += package.grams
    problem, grams = measures.problem, measures.grams_of(owner.id)
    due = problem.due_g(owner.id)
    best = sum(problem.points(owner.id).values())
    percent = 0
    if best:
        percent = 100 * measures.points_of(owner.id) * problem.parts // (owner.parts * best)
    return Explained(
        owner=owner,
        grams=grams,
        due_g=due,
        satisfaction=measures.satisfaction(owner.id),
        kinds=tuple((kind, count[kind], weight[kind]) for kind in sorted(count)),
        sentences=(
            f"{owner.name} owns {owner.parts} of {problem.parts} parts: {due / 1000:.2f} kg are "
            f"due, {grams / 1000:.2f} kg are here in {len(held)} packages.",
            f"By {owner.name}'s own wishes that is {percent} % of an even share.",
            *_loved_elsewhere(measures, owner, count),
            *_envy(measures, owner),
        ),
    )


def _loved_elsewhere(measures: SharesMeasures, owner: Owner, count: Counter[str]) -> list[str]:
    there = Counter(package.kind for package in measures.problem.packages)
    return [
        f"No {kind} of {there[kind]} went to {owner.name}, who loves it."
        for kind, wish in owner.wishes.items()
        if wish is Wish.LOVES and there[kind] and not count[kind]
    ]


def _envy(measures: SharesMeasures, owner: Owner) -> list[str]:
    points = measures.problem.points(owner.id)
    own = sum(points[package.id] for package in measures.held(owner.id))
    said = []
    for other in measures.problem.owners:
        pile = [points[package.id] for package in measures.held(other.id)]
        if other.id == owner.id or sum(pile) * owner.parts <= own * other.parts:
            continue
        by_one = (sum(pile) - max(pile)) * owner.parts <= own * other.parts
        how = "by one package at most" if by_one else "by more than one package"
        said.append(f"{other.name}'s pile is worth more to {owner.name}, {how}.")
    return said or [f"Nobody's pile is worth more to {owner.name}."]
