"""Labels for a hog's packages, on common label sheets: what it is, whose, and NOT FOR SALE.

Letters of NOT FOR SALE are at least 3/8 in high (9 CFR 316.16 and 317.16, verified): the style
sheet's size follows from the face's capitals, and a test measures them in the PDF.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import TextChoices
from django.template.loader import render_to_string

from scheduling import printing
from scheduling.labelling import LabelLine, label_lines
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
class Labels:
    """The labels of one hog's packages, sheet by sheet."""

    animal: Animal
    sheet: LabelSheet
    pages: tuple[tuple[LabelLine, ...], ...]


def labels_of(animal: Animal, sheet: LabelSheet) -> Labels:
    """A label for each package that is not missing, by number: a fixed number of queries."""
    every, size = label_lines(animal.workshop, animal), sheet.on_a_page
    pages = tuple(tuple(every[start : start + size]) for start in range(0, len(every), size))
    return Labels(animal=animal, sheet=sheet, pages=pages)


def html(labels: Labels) -> str:
    """The sheets as one page."""
    return render_to_string("print/package_labels.html", {"labels": labels})


def pdf(labels: Labels) -> bytes:
    """The sheets as PDF. Raises :class:`printing.NoPdfError` where the libraries are missing."""
    return printing.pdf_of(html(labels))
