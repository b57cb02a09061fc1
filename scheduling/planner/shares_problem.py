"""Packages and their owners of record, as the division of shares is given them.

Grams are whole. An owner's parts are their share (2 of 8 eighths); a wish is how much a kind is
worth to them beside the others, pound for pound. Points turn wishes into one measure for all:
everything there is comes to about ``WHOLE`` points in each owner's own eyes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum, StrEnum

from scheduling.planner.errors import BadProblem

WHOLE = 100_000
STEP = WHOLE // 1000
"""Satisfaction is told apart by the thousandth: of 200 kg, less than half a sausage. Points are
finer than that, so that a division can really reach the bound and be proved best."""
MOST_PACKAGES, MOST_OWNERS = 400, 40


class Wish(IntEnum):
    """How much a kind is worth to an owner, by weight, beside their other kinds."""

    NEVER = -1
    RATHER_NOT = 1
    AS_IT_COMES = 2
    LIKES = 3
    LOVES = 4

    @property
    def words(self) -> str:
        """What the screen says."""
        return self.name.lower().replace("_", " ")


class ShareRule(StrEnum):
    """A hard rule of the division."""

    ONCE = "once"
    NEVER = "never"
    HANDED_OVER = "handed_over"
    WEIGHT = "weight"

    @property
    def sentence(self) -> str:
        """The rule as one sentence.

        >>> ShareRule.ONCE.sentence
        'Every package goes to exactly one owner of record.'
        """
        return {
            ShareRule.ONCE: "Every package goes to exactly one owner of record.",
            ShareRule.NEVER: "Nobody gets a kind they will not take.",
            ShareRule.HANDED_OVER: "What has been handed over stays where it is.",
            ShareRule.WEIGHT: "Each owner's weight is within the allowance of their share.",
        }[self]


@dataclass(frozen=True, slots=True, kw_only=True)
class Package:
    """One wrapped piece: 1 to 100000 g, and its kind ("chops", "lard")."""

    id: str
    kind: str
    grams: int

    def __post_init__(self) -> None:
        if not 1 <= self.grams <= 100_000:
            raise BadProblem(f"Package {self.id} weighs {self.grams} g; 1 to 100000 g.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Owner:
    """An owner of record: parts of the whole (1 to 1000), wishes by kind, what they have already.

    ``points`` gives the worth of each package outright, in place of wishes.
    """

    id: str
    name: str
    parts: int = 1
    wishes: Mapping[str, Wish] = field(default_factory=dict)
    points: Mapping[str, int] | None = None

    def __post_init__(self) -> None:
        if not 1 <= self.parts <= 1000:
            raise BadProblem(f"{self.name} owns {self.parts} parts; 1 to 1000.")
        for package, worth in (self.points or {}).items():
            if worth < 0:
                raise BadProblem(f"{package} is worth {worth} to {self.name}; 0 or more.")

    def wish(self, kind: str) -> Wish:
        """Their wish for a kind; what they said nothing about is as it comes."""
        return self.wishes.get(kind, Wish.AS_IT_COMES)


@dataclass(frozen=True, slots=True, kw_only=True)
class SharesProblem:
    """What is divided, among whom, what is already out of the door, and the weight allowance.

    ``allowance_g`` is how far an owner's weight may lie from their share; None takes the heaviest
    package. ``before`` is a division already shown, from which as little as may be is moved.

    >>> p = SharesProblem(packages=(Package(id="p1", kind="chops", grams=900),),
    ...                   owners=(Owner(id="a", name="Ash"), Owner(id="b", name="Birch", parts=2)))
    >>> p.due_g("b"), p.allowed_g
    (600.0, 900)
    """

    packages: tuple[Package, ...]
    owners: tuple[Owner, ...]
    handed_over: Mapping[str, str] = field(default_factory=dict)
    before: Mapping[str, str] = field(default_factory=dict)
    allowance_g: int | None = None

    def __post_init__(self) -> None:
        for what, ids, most in (
            ("package", [p.id for p in self.packages], MOST_PACKAGES),
            ("owner", [o.id for o in self.owners], MOST_OWNERS),
        ):
            if not 1 <= len(ids) <= most:
                raise BadProblem(f"{len(ids)} {what}s; the division takes 1 to {most}.")
            if len(set(ids)) < len(ids):
                raise BadProblem(f"A {what} is listed twice; each needs its own identifier.")
        owners = {o.id for o in self.owners}
        here = {p.id for p in self.packages}
        for package, owner in self.handed_over.items():
            if package not in here or owner not in owners:
                raise BadProblem(
                    f"{package} handed to {owner} is not in the problem; add both or take it out."
                )
        if self.allowance_g is not None and self.allowance_g < 0:
            raise BadProblem(f"An allowance of {self.allowance_g} g; 0 or more.")
        self._refuse_orphans()

    def _refuse_orphans(self) -> None:
        for package in self.packages:
            if not any(o.wish(package.kind) is not Wish.NEVER for o in self.owners):
                raise BadProblem(
                    f"Nobody takes {package.kind} ({package.id}); ask one owner again or leave it "
                    "out of the division."
                )

    @property
    def grams(self) -> int:
        """All of it."""
        return sum(package.grams for package in self.packages)

    @property
    def parts(self) -> int:
        """All parts together."""
        return sum(owner.parts for owner in self.owners)

    @property
    def allowed_g(self) -> int:
        """How far a weight may lie from its share."""
        if self.allowance_g is not None:
            return self.allowance_g
        return max(package.grams for package in self.packages)

    @property
    def step(self) -> int:
        """The points that one step of satisfaction takes: one, where worth is given outright."""
        return 1 if any(owner.points is not None for owner in self.owners) else STEP

    def due_g(self, owner: str) -> float:
        """An owner's share of the weight."""
        return self.grams * self._owner(owner).parts / self.parts

    def points(self, owner: str) -> dict[str, int]:
        """What each package is worth to an owner, of about ``WHOLE`` for all of it.

        Grams x wish, in their own sum; a kind they never take is worth nothing.
        """
        who = self._owner(owner)
        if who.points is not None:
            return {p.id: who.points.get(p.id, 0) for p in self.packages}
        raw = {p.id: p.grams * max(0, who.wish(p.kind)) for p in self.packages}
        total = max(1, sum(raw.values()))
        return {name: round(WHOLE * worth / total) for name, worth in raw.items()}

    def _owner(self, owner: str) -> Owner:
        return next(one for one in self.owners if one.id == owner)


Division = Mapping[str, str]
"""Package to owner."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SharesMeasures:
    """Everything that can be counted on a division, from the division itself."""

    problem: SharesProblem
    division: Division

    def held(self, owner: str) -> tuple[Package, ...]:
        """An owner's packages."""
        return tuple(p for p in self.problem.packages if self.division.get(p.id) == owner)

    def grams_of(self, owner: str) -> int:
        """An owner's weight."""
        return sum(package.grams for package in self.held(owner))

    def points_of(self, owner: str) -> int:
        """An owner's points, in their own eyes."""
        points = self.problem.points(owner)
        return sum(points[package.id] for package in self.held(owner))

    @property
    def least(self) -> int:
        """The least satisfied owner's :meth:`satisfaction`."""
        return min(self.satisfaction(owner.id) for owner in self.problem.owners)

    def satisfaction(self, owner: str) -> int:
        """Points for each part, reckoned to all the parts, in whole steps, cut.

        1000 (unless worth is given outright): as good, in their own eyes, as their share of
        everything there is.
        """
        parts = next(one.parts for one in self.problem.owners if one.id == owner)
        return self.points_of(owner) * self.problem.parts // (parts * self.problem.step)

    @property
    def total(self) -> int:
        """All owners' points together, in whole steps, cut."""
        return sum(self.points_of(o.id) for o in self.problem.owners) // self.problem.step

    @property
    def moved(self) -> int:
        """Packages that are elsewhere than in the division before."""
        return sum(
            self.problem.before.get(name, owner) != owner for name, owner in self.division.items()
        )
