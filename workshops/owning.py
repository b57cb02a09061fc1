"""A hog and its owners of record, written down in one piece.

Whoever saves says which version they had seen; a newer one is never overwritten unseen.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import transaction

from workshops.models import Animal, AnimalStatus, Basis, Household, Ownership, Workshop


def plain(percent: Decimal) -> str:
    """A share as it is said: 50, not 50.00."""
    return f"{percent.normalize():f}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """One owner's part of a hog. No household means the farm."""

    household: Household | None
    percent: Decimal
    basis: Basis
    since: date

    def __str__(self) -> str:
        return f"{self.household or 'the farm'} {plain(self.percent)} percent"


class TagTaken(Exception):
    """Another hog of the workshop has the tag."""

    def __init__(self, tag: str) -> None:
        super().__init__(
            f"Another hog of this workshop has the tag {tag}; choose one that is free."
        )


class HogChangedMeanwhile(Exception):
    """Someone else saved this hog first. ``version`` is that of what they left."""

    def __init__(self, saved: Animal) -> None:
        self.version = version_of(saved)
        owners = ", ".join(str(share) for share in shares_of(saved)) or "nobody yet"
        super().__init__(
            f"Someone else saved this hog while you were typing. They left: {saved}, "
            f"{AnimalStatus(saved.status).label}, owned by {owners}. Nothing of yours is lost: it "
            "stands below. Save again to replace theirs."
        )


def shares_of(animal: Animal) -> list[Share]:
    """Its owners of record. Uses prefetched ``owners``."""
    return [
        Share(
            household=owner.household,
            percent=owner.percent,
            basis=Basis(owner.basis),
            since=owner.since,
        )
        for owner in animal.owners.all()
    ]


def version_of(animal: Animal) -> str:
    """A short digest of what is written down about a hog and its owners."""
    weights = [animal.live_kg, animal.carcass_kg]
    hog = [animal.tag, animal.order, *weights, animal.coat, animal.colour, animal.status]
    hog.append(animal.record_seen)
    owners = sorted(
        (owner.household_id or 0, owner.percent, owner.basis, owner.since)
        for owner in animal.owners.all()
    )
    return hashlib.sha256(repr((hog, owners)).encode()).hexdigest()[:16]


@transaction.atomic
def write_down(hog: Animal, shares: Sequence[Share], *, seen: str) -> None:
    """Save the hog and make its owners exactly these.

    The workshop's row is locked first: two may give the same tag, or save the same hog, at once.
    """
    workshop = Workshop.objects.select_for_update().get(pk=hog.workshop_id)
    if workshop.animals.filter(tag=hog.tag).exclude(pk=hog.pk).exists():
        raise TagTaken(hog.tag)
    if hog.pk:
        saved = Animal.objects.prefetch_related("owners__household").get(pk=hog.pk)
        if version_of(saved) != seen:
            raise HogChangedMeanwhile(saved)
    hog.save()
    hog.owners.all().delete()
    Ownership.objects.bulk_create(
        Ownership(
            animal=hog,
            household=share.household,
            percent=share.percent,
            basis=share.basis,
            since=share.since,
        )
        for share in shares
    )
