"""What the pages of shares show: each hog's packages, its division, and each owner's pile."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from scheduling import dividing
from scheduling.dividing import KeptOwner
from scheduling.models import Division, DivisionLine, DivisionStatus
from scheduling.planner.answer import Status
from stations.models import Package, PackageState
from workshops.models import Animal, Household, Job, JobState, Workshop

STATUS_WORDS = {
    Status.PROVED_BEST.value: "Proved best: no division leaves the least satisfied owner better.",
    Status.WITHIN_BOUND.value: "The best found in the time; how near to the best is said below.",
}
GOAL_WORDS = {
    "least satisfied": "least satisfied owner",
    "points together": "all owners together",
    "moved": "moved from the division before",
}


def shares_key(animal: Animal) -> str:
    """One dividing job a hog at a time."""
    return f"shares:{animal.pk}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pile:
    """One owner's packages, with what the planner says of them."""

    owner: KeptOwner
    lines: tuple[DivisionLine, ...]

    @property
    def count(self) -> int:
        """How many packages."""
        return len(self.lines)

    @property
    def kg(self) -> float:
        """Its weight."""
        return self.owner["grams"] / 1000

    @property
    def due_kg(self) -> float:
        """The owner's share of the weight."""
        return self.owner["due_g"] / 1000

    @property
    def kinds(self) -> list[tuple[str, int, float]]:
        """Each kind: the word, how many, kg."""
        return [(kind, count, grams / 1000) for kind, count, grams in self.owner["kinds"]]

    @property
    def is_handed_over(self) -> bool:
        """Whether all of it has been taken."""
        return bool(self.lines) and all(
            line.package.state == PackageState.HANDED_OVER for line in self.lines
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One division on the page."""

    division: Division
    piles: tuple[Pile, ...]
    changed: str

    @property
    def is_posted(self) -> bool:
        """Whether the owners see it."""
        return self.division.status == DivisionStatus.POSTED

    @property
    def status_words(self) -> str:
        """How good it is."""
        return STATUS_WORDS.get(str(self.division.answer.get("status")), "")

    @property
    def goals(self) -> list[tuple[str, str]]:
        """Each aim, and how near it came."""
        kept = cast("list[dict[str, str]]", self.division.answer.get("goals", []))
        return [(GOAL_WORDS.get(goal["name"], goal["name"]), goal["says"]) for goal in kept]


@dataclass(frozen=True, slots=True, kw_only=True)
class HogShares:
    """One hog: what is packed, the draft, what is posted, the job at work."""

    animal: Animal
    count: int
    kg: float
    owners: int
    divisions: tuple[Shown, ...]
    job: Job | None


def hog_shares(workshop: Workshop, animals: list[Animal]) -> list[HogShares]:
    """Every hog, in a fixed number of queries. ``animals`` have their owners prefetched."""
    packages: dict[int, list[Package]] = {}
    for package in Package.objects.to_share().filter(workshop=workshop):
        packages.setdefault(package.animal_id, []).append(package)
    divisions: dict[int, list[Division]] = {}
    live = Division.objects.with_lines().filter(animal__workshop=workshop)
    for division in live.exclude(status=DivisionStatus.PAST):
        divisions.setdefault(division.animal_id, []).append(division)
    jobs = _jobs(workshop, animals)
    return [
        HogShares(
            animal=animal,
            count=len(packages.get(animal.pk, [])),
            kg=sum(one.grams for one in packages.get(animal.pk, [])) / 1000,
            owners=len(animal.owners.all()),
            divisions=tuple(
                shown(division, packages.get(animal.pk, []))
                for division in divisions.get(animal.pk, [])
            ),
            job=jobs.get(shares_key(animal)),
        )
        for animal in animals
    ]


def _jobs(workshop: Workshop, animals: list[Animal]) -> dict[str, Job]:
    newest: dict[str, Job] = {}
    keys = [shares_key(animal) for animal in animals]
    for job in Job.objects.filter(workshop=workshop, key__in=keys):
        newest.setdefault(job.key, job)
    return {key: job for key, job in newest.items() if job.state != JobState.DONE}


def shown(division: Division, here: list[Package]) -> Shown:
    """A division with its piles, and what changed since. Uses prefetched ``lines``."""
    lines = list(division.lines.all())
    owners = cast("list[KeptOwner]", division.answer.get("owners", []))
    return Shown(
        division=division,
        piles=tuple(
            Pile(
                owner=owner,
                lines=tuple(
                    line for line in lines if dividing.key_of(line.household_id) == owner["key"]
                ),
            )
            for owner in owners
        ),
        changed=dividing.difference(
            {line.package_id: line.package.number for line in lines},
            {package.pk: package.number for package in here},
        ),
    )


def piles_of(household: Household, workshop: Workshop) -> list[tuple[Animal, Pile]]:
    """One household's piles of every posted division: a fixed number of queries."""
    posted = Division.objects.with_lines().filter(
        animal__workshop=workshop, status=DivisionStatus.POSTED
    )
    key = dividing.key_of(household.pk)
    return [
        (division.animal, pile)
        for division in posted
        for pile in shown(division, []).piles
        if pile.owner["key"] == key
    ]
