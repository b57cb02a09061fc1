"""People in and out as tables: the dry run, what is refused, and what comes back unchanged."""

from __future__ import annotations

import csv
import io
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from openpyxl import Workbook, load_workbook  # type: ignore[import-untyped]  # ships no types

from tests.build import make_enrolment, make_household, make_workshop
from workshops.models import (
    Allergen,
    Enrolment,
    EnrolmentStatus,
    Limit,
    PeopleImport,
    TradeJob,
    Workshop,
)

pytestmark = pytest.mark.django_db

HEADER = ["given_name", "family_name", "household_name", "email", "height", "lift", "knife"]


@pytest.fixture
def course() -> Workshop:
    return make_workshop(slug="winter", seats=200)


def url_of(course: Workshop, name: str = "bring-in", *more: object) -> str:
    return reverse(name, args=[course.slug, *more])


def as_csv(rows: list[list[str]], encoding: str = "utf-8") -> SimpleUploadedFile:
    made = io.StringIO()
    csv.writer(made).writerows(rows)
    return SimpleUploadedFile("list.csv", made.getvalue().encode(encoding))


def people(number: int) -> list[list[str]]:
    """So many people without a fault."""
    return [
        [f"Ada {i}", "Reed", f"Reed {i}", f"reed{i}@example.org", "67", "55", "kitchen knives"]
        for i in range(number)
    ]


def test_two_hundred_rows_with_twenty_faults_show_all_twenty(
    organizer_client: Client, course: Workshop
) -> None:
    """Row by row, with the rule and what would do; and nothing is written."""
    rows = people(200)
    for i in range(0, 200, 10):
        column, value = [
            (4, "900"), (5, "-5"), (6, "a lot"), (3, "reed at example"), (0, ""),
        ][i // 10 % 5]  # fmt: skip
        rows[i][column] = value
    file = as_csv([HEADER, *rows])
    page = organizer_client.post(url_of(course), {"file": file}, follow=True)
    run = page.context["run"]
    faulty = [row for row in run.rows if row.faults]
    assert (len(run.rows), len(faulty), run.acting) == (200, 20, 180)
    assert [row.number for row in faulty] == list(range(2, 202, 10))
    text = page.content.decode().replace("&#x27;", "'")
    for words in (
        "900 in is out of range; write a number from 40 in to 90 in.",
        "-5 lb is out of range; write a number from 0 lb to 330 lb.",
        "Select a valid choice. a lot is not one of the available choices.",
        "Enter a valid email address.",
        "It is needed; fill it in.",
    ):
        assert text.count(words) == 4
    brought = PeopleImport.objects.get()
    page = organizer_client.post(url_of(course, "bring-in-apply", brought.pk), follow=True)
    assert "20 rows have something wrong" in page.content.decode()
    assert not Enrolment.objects.exists()


def test_a_list_without_faults_is_written_once_and_then_forgotten(
    organizer_client: Client, course: Workshop
) -> None:
    """Applied twice, nothing more happens; the rows of the file are wiped."""
    organizer_client.post(url_of(course), {"file": as_csv([HEADER, *people(3)])})
    brought = PeopleImport.objects.get()
    for _ in range(2):
        organizer_client.post(url_of(course, "bring-in-apply", brought.pk))
    assert Enrolment.objects.count() == 3
    seat = Enrolment.objects.order_by("pk")[0]
    assert (seat.lift_kg, seat.attendee.height_cm) == (Decimal("24.9"), 170)
    assert seat.status == EnrolmentStatus.ENQUIRY
    brought.refresh_from_db()
    assert (brought.rows, brought.written) == ([], 3)


def test_a_change_names_what_changes_and_leaves_absent_columns_alone(
    organizer_client: Client, course: Workshop
) -> None:
    """A file with two columns changes nothing else about a person."""
    home = make_household(name="Reed")
    seat = make_enrolment(course, household=home, given_name="Ada", limits=[Limit.NO_KNIVES])
    rows = [["Given name", "Household name", "Lift"], ["Ada", "Reed", "44"]]
    page = organizer_client.post(url_of(course), {"file": as_csv(rows)}, follow=True)
    (row,) = page.context["run"].rows
    assert (row.does, row.changes) == ("changes", ("Comfortable lift",))
    brought = PeopleImport.objects.get()
    organizer_client.post(url_of(course, "bring-in-apply", brought.pk))
    seat.refresh_from_db()
    assert seat.lift_kg == Decimal("20.0")
    assert seat.status == EnrolmentStatus.CONFIRMED
    assert [limit.limit for limit in seat.limits.all()] == [Limit.NO_KNIVES]


def test_what_goes_out_comes_in_unchanged(organizer_client: Client, course: Workshop) -> None:
    """Lists, formulas, other scripts and all."""
    home = make_household(name="=HYPERLINK(1)", email="a@example.org")
    seat = make_enrolment(
        course, household=home, given_name="שרה 🐖", family_name="-Reed", height_cm=171,
        lift_kg=Decimal("24.7"), limits=[Limit.NO_KNIVES, Limit.SEATED_ONLY], diet="@home",
        health_note="Left knee,\nsometimes.",
    )  # fmt: skip
    seat.attendee.allergens.create(allergen=Allergen.SHELLFISH)
    seat.wishes.create(job=TradeJob.CHAIN, kind="must_try")
    sent = organizer_client.get(url_of(course, "people-csv")).content
    file = SimpleUploadedFile("out.csv", sent)
    page = organizer_client.post(url_of(course), {"file": file}, follow=True)
    (row,) = page.context["run"].rows
    assert (row.faults, row.does) == ((), "stays as it is")


def test_no_cell_that_goes_out_is_run_as_a_formula(
    organizer_client: Client, course: Workshop
) -> None:
    """CSV and XLSX alike; every sheet."""
    for name in ("=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1"):
        make_enrolment(course, given_name=name, household=make_household(name=name))
    out = organizer_client.get(url_of(course, "people-csv")).content.decode("utf-8-sig")
    cells = [cell for row in csv.reader(io.StringIO(out, newline="")) for cell in row]
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]
    answer = organizer_client.get(url_of(course, "everything"))
    book = load_workbook(io.BytesIO(answer.content))
    assert {"people", "hogs", "owners", "ledger", "waivers"} <= set(book.sheetnames)
    for sheet in book.worksheets:
        for line in sheet.iter_rows():
            assert all(cell.data_type != "f" for cell in line)


def test_a_workbook_is_read_like_a_csv(organizer_client: Client, course: Workshop) -> None:
    """Numbers are numbers there; a date is a date."""
    book = Workbook()
    book.active.append(["given_name", "household_name", "height", "lift"])
    book.active.append(["Ada", "Reed", 67, 55.0])
    made = io.BytesIO()
    book.save(made)
    file = SimpleUploadedFile("list.xlsx", made.getvalue())
    page = organizer_client.post(url_of(course), {"file": file}, follow=True)
    (row,) = page.context["run"].rows
    assert (row.faults, row.does) == ((), "new person")


@pytest.mark.parametrize(
    ("file", "said"),
    [
        (as_csv([HEADER, ["Åse", *people(1)[0][1:]]], "latin-1"), "is not written in UTF-8"),
        (SimpleUploadedFile("a.xlsx", b"PK\x03\x04 nonsense"), "The workbook cannot be opened"),
        (SimpleUploadedFile("a.csv", b"given_name\0"), "is no table of text"),
        (as_csv([HEADER]), "no row under its header"),
        (as_csv([["given_name"], ["Ada"]]), "household_name is missing"),
        (as_csv([[*HEADER, "shoe"], [*people(1)[0], "9"]]), "shoe is not known"),
        (as_csv([[*HEADER, "lift"], [*people(1)[0], "9"]]), "lift stands twice"),
        (SimpleUploadedFile("a.csv", b""), "The submitted file is empty."),
        (SimpleUploadedFile("big.csv", b"a" * 50 * 1024 * 1024), "The file has 50.0 MB; the most"),
    ],
    ids=["latin", "broken", "binary", "bare", "missing", "strange", "twice", "empty", "big"],
)
def test_a_file_that_cannot_be_read_is_refused_with_what_would_do(
    organizer_client: Client, course: Workshop, file: SimpleUploadedFile, said: str
) -> None:
    """Nothing is kept of it."""
    file.seek(0)
    page = organizer_client.post(url_of(course), {"file": file}).content.decode()
    assert said in page
    assert not PeopleImport.objects.exists()


def test_more_confirmed_people_than_seats_write_nothing(
    organizer_client: Client, course: Workshop
) -> None:
    """The row that does not fit is named; those before it are not written either."""
    Workshop.objects.update(seats=1)
    rows = [[*row, "confirmed"] for row in people(2)]
    organizer_client.post(url_of(course), {"file": as_csv([[*HEADER, "status"], *rows])})
    brought = PeopleImport.objects.get()
    page = organizer_client.post(url_of(course, "bring-in-apply", brought.pk), follow=True)
    text = page.content.decode()
    assert "Row 3, Ada 1 Reed: All 1 seats" in text
    assert not Enrolment.objects.exists()


def test_the_same_person_twice_in_a_file_is_told(
    organizer_client: Client, course: Workshop
) -> None:
    """With the row of the first."""
    rows = [HEADER, *people(1), *people(1)]
    page = organizer_client.post(url_of(course), {"file": as_csv(rows)}, follow=True)
    assert "The same person stands in row 2; keep one of the two." in page.content.decode()


def test_the_dry_run_costs_the_same_for_five_rows_and_for_fifty(
    organizer_client: Client, course: Workshop
) -> None:
    """No query a row."""
    counts = []
    for number in (5, 50):
        file = as_csv([HEADER, *people(number)])
        organizer_client.post(url_of(course), {"file": file})
        brought = PeopleImport.objects.first()
        assert brought is not None
        with CaptureQueriesContext(connection) as caught:
            organizer_client.get(url_of(course, "bring-in-rows", brought.pk))
        counts.append(len(caught))
    assert counts[0] == counts[1]
