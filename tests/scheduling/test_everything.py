"""Everything about one course as one workbook."""

from __future__ import annotations

import io

import pytest
from django.apps import apps
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from openpyxl import load_workbook  # type: ignore[import-untyped]  # ships no types

from scheduling.models import Posting, SheetStatus
from scheduling.views.everything import CHAPTERS
from tests.build import (
    NOW,
    make_actual,
    make_check,
    make_dip,
    make_duty,
    make_enrolment,
    make_entry,
    make_hog,
    make_link,
    make_override,
    make_placement,
    make_run_sheet,
    make_stage,
    make_station,
    make_step,
    make_thermometer,
    make_trough,
    make_workshop,
)
from workshops import workbook
from workshops.models import Workshop

pytestmark = pytest.mark.django_db

# Told in the table of people, or no part of any course.
ELSEWHERE = {"Household", "Attendee", "AttendeeAllergen", "Attempt", "User"}


def lived_in(workshop: Workshop, number: int) -> None:
    """A little of everything that a day leaves behind."""
    station, hog = make_station(workshop), make_hog(workshop, tag=f"hog {number}")
    trough = make_trough(station)
    duty = make_duty(station, name=f"Buckets {number}")
    stage = make_stage(station, duties=[duty])
    sheet = make_run_sheet(workshop.days.all()[number], SheetStatus.POSTED)
    step = make_step(sheet, stage, animal=hog)
    seat = make_enrolment(workshop, given_name=f"Ada {number}")
    make_link(seat)
    make_placement(step, duty, enrolment=seat)
    make_override(step, duty, seat)
    make_actual(step)
    Posting.objects.create(run_sheet=sheet, posted_at=NOW)
    dip = make_dip(trough.station, hog, thermometer=make_thermometer(workshop))
    make_entry(dip)
    make_check(dip.thermometer)


def test_every_kind_of_row_is_in_it_or_is_left_out_by_name() -> None:
    """A model that is added later comes along, unless it belongs to no course."""
    models = [one for chapter in CHAPTERS for one in apps.get_app_config(chapter).get_models()]
    kept = [one for chapter in CHAPTERS for one in workbook.kept(chapter)]
    missed = set(models) - set(kept) - workbook.MODELS_LEFT_OUT
    assert {model.__name__ for model in missed} <= ELSEWHERE
    titles = [workbook.title(model) for model in kept]
    assert len(titles) == len(set(titles))


def test_the_workbook_holds_every_chapters_rows_of_this_course_alone(
    organizer_client: Client, workshop: Workshop
) -> None:
    """Dips, readings, checks, run sheets, placements, postings, overrides; no private link."""
    lived_in(workshop, 0)
    lived_in(make_workshop(), 1)
    url = reverse("everything", args=[workshop.slug])
    organizer_client.get(url)
    with CaptureQueriesContext(connection) as few:
        content = organizer_client.get(url).content
    book = load_workbook(io.BytesIO(content))
    for name in (
        "people", "hogs", "dips", "dip entries", "thermometer checks", "run sheets", "steps",
        "placements", "postings", "overrides", "actuals", "stations", "duties",
    ):  # fmt: skip
        assert book[name].max_row >= 2, name
    cells = " ".join(
        str(cell) for sheet in book for row in sheet.iter_rows(values_only=True) for cell in row
    )
    assert "Buckets 0" in cells
    assert "Buckets 1" not in cells
    assert "Ada 1" not in cells
    link = workshop.enrolments.get().link
    assert not {link.word, link.seed, link.digest} & set(cells.split())
    for number in (1, 2):
        lived_in(workshop, number)
    with CaptureQueriesContext(connection) as many:
        organizer_client.get(url)
    assert len(few) == len(many)
