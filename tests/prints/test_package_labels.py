"""The labels of packages, read back from the PDF: what stands on them and how high its letters."""

from __future__ import annotations

import io
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from scheduling import dividing
from scheduling.printing import can_make_pdf
from tests.build import (
    NOW,
    make_animal,
    make_hog,
    make_household,
    make_local_check,
    make_ownership,
    make_package,
)
from tests.conftest import missing
from workshops.models import Animal, Workshop

pytestmark = pytest.mark.django_db
# 9 CFR 316.16 and 317.16 (verified): letters of NOT FOR SALE at least 3/8 in high; 72 pt an inch.
LEAST_PT = 72 * 3 / 8


@pytest.fixture
def hog(workshop: Workshop) -> Animal:
    """Twelve packages of a hog with two owners, divided and posted."""
    animal = make_animal(workshop, tag="12")
    for name in ("Ash", "Birch"):
        make_ownership(animal, household=make_household(name=name), percent=50)
    for number in range(12):
        make_package(animal, cut=f"Chops {number}", cure="smoked" if number == 3 else "")
    dividing.post(dividing.divide_hog(animal, by=None, now=NOW), by=None, now=NOW)
    return animal


def printed(client: Client, animal: Animal, sheet: str) -> PdfReader:
    if not can_make_pdf():
        missing("the libraries for PDF")
    url = reverse("package-labels", args=[animal.workshop.slug, animal.pk])
    answer = client.get(url, {"sheet": sheet})
    assert answer["Content-Type"] == "application/pdf"
    return PdfReader(io.BytesIO(answer.content))


def capitals_pt(page: Any) -> list[float]:
    """How high the capitals of each line of NOT FOR SALE stand, in points."""
    found: list[float] = []

    def look(text: str, _matrix: Any, text_matrix: Any, font: Any, size: float) -> None:
        if text.strip() in {"NOT FOR", "SALE", "NOT FOR SALE"}:
            descriptor = font["/DescendantFonts"][0]["/FontDescriptor"]
            found.append(abs(text_matrix[3]) * size * descriptor["/CapHeight"] / 1000)

    page.extract_text(visitor_text=look)
    return found


@pytest.mark.parametrize(("sheet", "pages"), [("a4-8", 2), ("a4-10", 2), ("letter-6", 2)])
def test_each_package_has_its_label_and_the_mark_in_letters_of_three_eighths(
    lead_client: Client, hog: Animal, sheet: str, pages: int
) -> None:
    """Cut, number, weight, date, hog, owners and cure on each; as many sheets as it takes."""
    reader = printed(lead_client, hog, sheet)
    assert len(reader.pages) == pages
    text = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    for number, package in enumerate(hog.packages.order_by("number")):
        assert f"Chops {number}" in text
        assert str(package.number) in text
    assert text.count("Ash") + text.count("Birch") == 12
    assert text.count("Hog 12") == 12
    assert text.count("smoked") == 1
    assert text.count("NOT FOR SALE") == 12
    heights = [height for page in reader.pages for height in capitals_pt(page)]
    assert len(heights) >= 12
    assert min(heights) >= LEAST_PT


def test_the_mark_is_left_off_only_on_the_authoritys_word(lead_client: Client, hog: Animal) -> None:
    """A standing check that says so; its being taken back brings the mark back."""
    check = make_local_check(hog.workshop, may_leave_off=True)
    assert "NOT FOR" not in printed(lead_client, hog, "a4-8").pages[0].extract_text()
    check.taken_back_at = timezone.now()
    check.save()
    assert "NOT FOR" in printed(lead_client, hog, "a4-8").pages[0].extract_text()


def test_nothing_packed_is_nothing_to_label(lead_client: Client, workshop: Workshop) -> None:
    """Told on the hog's page."""
    url = reverse("package-labels", args=[workshop.slug, make_hog(workshop, tag="7").pk])
    assert "nothing to label" in lead_client.get(url, follow=True).content.decode()
