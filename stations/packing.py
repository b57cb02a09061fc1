"""The only writer of packages: wrapped and numbered, missing or found, written by mistake."""

from __future__ import annotations

import uuid
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db import IntegrityError, transaction
from django.db.models import Max

from stations.models import Package, PackageKind, PackageState
from workshops.models import Animal, User, Workshop


class PackingRefusedError(Exception):
    """The package cannot be changed so; the sentence says why and what would do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wrapped:
    """One package as it was typed."""

    kind: PackageKind
    cut: str
    grams: int
    cure: str
    client_id: uuid.UUID


def pack(animal: Animal, wrapped: Wrapped, *, by: User | None, now: datetime) -> Package:
    """Write a package down under the next number of the workshop.

    The second arrival of a press answers with the package of the first. The workshop's row is
    locked, since two tables may pack at once.
    """
    earlier = Package.objects.filter(client_id=wrapped.client_id).first()
    if earlier:
        return earlier
    try:
        with transaction.atomic():
            Workshop.objects.select_for_update().get(pk=animal.workshop_id)
            last = Package.objects.filter(workshop_id=animal.workshop_id).aggregate(n=Max("number"))
            return Package.objects.create(
                workshop_id=animal.workshop_id,
                animal=animal,
                number=(last["n"] or 0) + 1,
                kind=wrapped.kind,
                cut=wrapped.cut or wrapped.kind.label,
                grams=wrapped.grams,
                cure=wrapped.cure,
                packed_at=now,
                packed_by=by,
                client_id=wrapped.client_id,
            )
    except IntegrityError:
        # The same press came in twice at once.
        return Package.objects.get(client_id=wrapped.client_id)


def set_state(package: Package, state: PackageState) -> Package:
    """Mark a package missing, found, or written by mistake; its number is never given again.

    Raises :class:`PackingRefusedError` for one that has been handed over. The old state is part of
    the question, since someone else may hand it over at the same moment.
    """
    changed = (
        Package.objects.filter(pk=package.pk)
        .exclude(state=PackageState.HANDED_OVER)
        .update(state=state)
    )
    if not changed:
        raise PackingRefusedError(
            f"Package {package.number} has been handed over; it stays so. Take the hand-over back "
            "first if that was a mistake."
        )
    package.state = state
    return package


@dataclass(frozen=True, slots=True, kw_only=True)
class PackedHog:
    """What is packed of one hog."""

    animal: Animal
    packages: tuple[Package, ...]

    @property
    def real(self) -> list[Package]:
        """All but those written by mistake."""
        return [one for one in self.packages if one.state != PackageState.MISTAKE]

    @property
    def count(self) -> int:
        """How many packages."""
        return len(self.real)

    @property
    def kg(self) -> float:
        """Their weight together."""
        return sum(one.grams for one in self.real) / 1000

    @property
    def missing(self) -> list[Package]:
        """Those that cannot be found."""
        return [one for one in self.packages if one.state == PackageState.MISSING]

    @property
    def by_kind(self) -> list[tuple[str, int, float]]:
        """Each kind: the word, how many, and kg."""
        number: Counter[str] = Counter()
        grams: Counter[str] = Counter()
        for one in self.real:
            number[one.kind] += 1
            grams[one.kind] += one.grams
        return [
            (kind.label, number[kind], grams[kind] / 1000) for kind in PackageKind if number[kind]
        ]


def packed(animals: Iterable[Animal], packages: Iterable[Package]) -> list[PackedHog]:
    """What is packed, hog by hog."""
    rows = list(packages)
    return [
        PackedHog(animal=animal, packages=tuple(one for one in rows if one.animal_id == animal.pk))
        for animal in animals
    ]
