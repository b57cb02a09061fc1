"""Labels for a hog's packages, on common label sheets: what it is, whose, and NOT FOR SALE.

Letters of NOT FOR SALE are at least 3/8 in high (9 CFR 316.16 and 317.16, verified): the style
sheet's size follows from the face's capitals, and a test measures them in the PDF.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.db.models import TextChoices
from django.template.loader import render_to_string

from scheduling import printing
from scheduling.models import Division, DivisionLine, DivisionStatus
from stations.models import Package
from workshops import checking
from workshops.models import Animal


class LabelSheet(TextChoices):
    """Label sheets by their paper, count and size. Sizes: common practice, no source."""

    A4_8 = "a4-8", "A4, 8 labels of 99.1 x 67.7 mm"
    A4_10 = "a4-10", "A4, 10 labels of 99.1 x 57 mm"
    LETTER_6 = "letter-6", "US letter, 6 labels of 101.6 x 84.7 mm (4 x 3 1/3 in)"

    @property
    def on_a_page(self) -> int:
        """Labels on a sheet."""
        return int(self.value.rpartition("-")[2])


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """One package's label."""

    package: Package
    hog: str
    packed_on: date
    owner: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Labels:
    """The labels of one hog, sheet by sheet; ``mark`` stands on each."""

    animal: Animal
    sheet: LabelSheet
    mark: str
    pages: tuple[tuple[Label, ...], ...]


def labels_of(animal: Animal, sheet: LabelSheet) -> Labels:
    """A label for each package that is not a mistake, by number: a fixed number of queries."""
    packages = animal.packages.real().order_by("number")
    owner_of = _owners(animal)
    zone = animal.workshop.zone
    every = [
        Label(
            package=one,
            hog=str(animal),
            packed_on=one.packed_at.astimezone(zone).date(),
            owner=owner_of.get(one.pk, ""),
        )
        for one in packages
    ]
    pages = tuple(
        tuple(every[start : start + sheet.on_a_page]) for start in range(0, len(every), sheet.on_a_page)
    )
    mark = checking.package_mark(animal.workshop)
    return Labels(animal=animal, sheet=sheet, mark=mark, pages=pages)


def _owners(animal: Animal) -> dict[int, str]:
    """Whose each package is by the posted division; before that, everybody's on each of them."""
    posted = Division.objects.filter(animal=animal, status=DivisionStatus.POSTED).first()
    if posted is not None:
        lines = DivisionLine.objects.filter(division=posted).select_related("household")
        return {
            line.package_id: line.household.name if line.household else "The farm" for line in lines
        }
    rows = animal.owners.select_related("household")
    names = ", ".join(row.household.name if row.household else "The farm" for row in rows)
    return dict.fromkeys(animal.packages.values_list("pk", flat=True), names)


def html(labels: Labels) -> str:
    """The sheets as one page."""
    return render_to_string("print/package_labels.html", {"labels": labels})


def pdf(labels: Labels) -> bytes:
    """The sheets as PDF. Raises :class:`printing.NoPdfError` where the libraries are missing."""
    return printing.pdf_of(html(labels))
