"""What stands on each package's label."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from scheduling.models import DivisionLine, DivisionStatus
from stations.models import Package
from workshops import checking
from workshops.models import Animal, Workshop
from workshops.quantities import mass_shown


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelLine:
    """One label. ``mark`` is NOT FOR SALE or empty; ``owner`` is empty until a division is posted.

    The mark's letters are at least 3/8 in high (9 CFR 316.16, 317.16).
    """

    number: int
    cut: str
    kind: str
    grams: int
    weight: str
    packed_on: date
    animal_tag: str
    owner: str
    cure: str
    mark: str


def label_lines(workshop: Workshop, animal: Animal | None = None) -> list[LabelLine]:
    """A label for every package that is not missing, or every one of a hog: four queries."""
    posted = DivisionLine.objects.filter(
        division__animal__workshop=workshop, division__status=DivisionStatus.POSTED
    ).select_related("household")
    owners = {
        line.package_id: line.household.name if line.household else workshop.farm for line in posted
    }
    mark = checking.package_mark(workshop)
    rows = Package.objects.to_share().filter(workshop=workshop).select_related("animal")
    if animal is not None:
        rows = rows.filter(animal=animal)
    return [
        LabelLine(
            number=row.number,
            cut=row.cut,
            kind=row.get_kind_display(),
            grams=row.grams,
            weight=mass_shown(row.kg, workshop.units),
            packed_on=row.packed_at.astimezone(workshop.zone).date(),
            animal_tag=row.animal.tag,
            owner=owners.get(row.pk, ""),
            cure=row.cure,
            mark=mark,
        )
        for row in rows
    ]
