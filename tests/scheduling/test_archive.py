"""A course as one file: opens without the program, is made again elsewhere, refused if damaged."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from scheduling import archiving, bringing_in, course_rows
from scheduling.archiving import DamagedArchive, RefusedArchive
from scheduling.models import Actual, Alarm, Division, RunSheet, SheetStatus
from stations.models import Dip
from tests.build import (
    NOW,
    make_actual,
    make_check,
    make_dip,
    make_duty,
    make_enrolment,
    make_entry,
    make_hog,
    make_household,
    make_link,
    make_override,
    make_ownership,
    make_package,
    make_placement,
    make_run_sheet,
    make_stage,
    make_station,
    make_step,
    make_thermometer,
    make_trough,
    make_user,
    make_workshop,
)
from workshops.models import Animal, CardLink, Enrolment, Household, User, Workshop
from workshops.roles import Role

pytestmark = pytest.mark.django_db

PAPERS = {"record.html": b"<!doctype html><title>Winter course</title>"}


def lived_in(workshop: Workshop, by: User | None = None) -> Animal:
    """A little of everything a course leaves behind, with names that hold the keys of rows."""
    make_hog(make_workshop(name="Elsewhere", slug=f"else-{workshop.slug}"))
    station, hog = make_station(workshop), make_hog(workshop, tag="41")
    duty = make_duty(station)
    stage = make_stage(station, duties=[duty])
    sheet = make_run_sheet(workshop.days.all()[0], SheetStatus.POSTED)
    code = f"hog{hog.pk}:{stage.key}"
    RunSheet.objects.filter(pk=sheet.pk).update(timetable={"why": {code: "It is hog1 at once."}})
    step = make_step(sheet, stage, animal=hog, code=code)
    seat = make_enrolment(workshop, given_name="Ada")
    seat.attendee.allergens.create(allergen="milk")
    make_link(seat)
    make_placement(step, duty, enrolment=seat)
    make_override(step, duty, seat)
    make_actual(step, by=by)
    dip = make_dip(make_trough(station).station, hog, thermometer=make_thermometer(workshop))
    make_entry(dip)
    make_check(dip.thermometer)
    home = make_household(name="Ash")
    make_ownership(hog, home, percent=100)
    make_package(hog)
    answer = {"owners": [{"key": f"h{home.pk}", "says": ["h1 is no key here."]}]}
    Division.objects.create(animal=hog, answer=answer, made_at=NOW)
    Alarm.objects.create(
        workshop=workshop, key=f"rest:a{seat.pk}:{code}", kind="rest", what="Rest.", raised_at=NOW
    )
    return hog


def emptied() -> None:
    """As on another machine."""
    CardLink.objects.all().delete()
    for model in reversed(course_rows.models_in_order()):
        model._base_manager.all()._raw_delete("default")  # logs refuse to be deleted row by row


def file_of(workshop: Workshop) -> bytes:
    """Its archive."""
    return archiving.archive(workshop, documents=PAPERS, now=NOW)


def shape(workshop: Workshop) -> dict[str, int]:
    """How many rows it has of each kind."""
    return {model._meta.label: len(rows) for model, rows in course_rows.rows_of(workshop).items()}


def test_it_opens_without_the_program(workshop: Workshop) -> None:
    """Pages to read, tables for a spreadsheet, JSON, and a manifest with a hash for each."""
    lived_in(workshop)
    with zipfile.ZipFile(io.BytesIO(file_of(workshop))) as packed:
        names = set(packed.namelist())
        assert {"read-me.txt", "record.html", "tables/people.csv", "tables/dips.csv"} <= names
        rows = list(csv.DictReader(io.StringIO(packed.read("tables/hogs.csv").decode("utf-8-sig"))))
        assert [row["tag"] for row in rows] == ["41"]
        manifest = json.loads(packed.read("manifest.json"))
        assert set(manifest["files"]) == names - {"manifest.json"}
        everything = b"".join(packed.read(name) for name in names).decode()
    link = workshop.enrolments.get().link
    assert link.word not in everything
    assert link.digest not in everything


def test_the_same_course_appears_on_another_machine(
    workshop: Workshop, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every row is there; what named a row by its key names the new one."""
    lead = make_user(Role.LEAD, username="maren")
    lived_in(workshop, by=lead)
    file, before = tmp_path / "winter.zip", shape(workshop)
    file.write_bytes(file_of(workshop))
    emptied()
    # Other rows there, so that no key can be the same.
    for _ in range(3):
        lived_in(make_workshop())
    Workshop.objects.filter(slug="winter").delete()
    call_command("bring_course", str(file))
    assert "at /w/winter/" in capsys.readouterr().out
    made = Workshop.objects.get(slug="winter")
    assert shape(made) == before
    hog, seat = made.animals.get(), made.enrolments.get()
    sheet = RunSheet.objects.get(day__workshop=made)
    step = sheet.steps.get()
    assert step.code == f"hog{hog.pk}:{step.stage.key}"
    assert sheet.timetable == {"why": {step.code: "It is hog1 at once."}}
    assert Actual.objects.get(day__workshop=made).code == step.code
    assert Actual.objects.get(day__workshop=made).by == lead
    assert made.alarms.get().key == f"rest:a{seat.pk}:{step.code}"
    home = Household.objects.get(animals__animal=hog)
    (owner,) = Division.objects.get(animal=hog).answer["owners"]
    assert owner == {"key": f"h{home.pk}", "says": ["h1 is no key here."]}
    assert Dip.objects.get(workshop=made).animal == hog
    assert not made.takes_sign_ups


def test_an_archive_of_an_archive_is_the_same(workshop: Workshop) -> None:
    """What came in goes out as it was, but for the keys."""
    lived_in(workshop)
    first = file_of(workshop)
    emptied()
    made = bringing_in.bring_in(archiving.read("winter.zip", first))
    again = file_of(made)
    with zipfile.ZipFile(io.BytesIO(first)) as old, zipfile.ZipFile(io.BytesIO(again)) as new:
        assert old.namelist() == new.namelist()
        for name in ("tables/dips.csv", "tables/people.csv", "tables/dip-entries.csv"):
            assert old.read(name) == new.read(name), name


def cut_short(content: bytes) -> bytes:
    """Half of it."""
    return content[: len(content) // 2]


def repacked(content: bytes, change: Callable[[dict[str, bytes]], None]) -> bytes:
    """The same ZIP with other files in it."""
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        files = {name: packed.read(name) for name in packed.namelist()}
    change(files)
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as packed:
        for name, text in files.items():
            packed.writestr(name, text)
    return made.getvalue()


def heavier(files: dict[str, bytes]) -> None:
    files["rows/workshops.Animal.jsonl"] += b"\n"


def lost(files: dict[str, bytes]) -> None:
    del files["rows/stations.Dip.jsonl"]


def added(files: dict[str, bytes]) -> None:
    files["rows/workshops.User.jsonl"] = b"{}"


def other_name(files: dict[str, bytes]) -> None:
    files["manifest.json"] = files["manifest.json"].replace(b"Winter", b"Summer")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (heavier, "rows/workshops.Animal.jsonl is not as it was written"),
        (lost, "rows/stations.Dip.jsonl cannot be read"),
        (added, "rows/workshops.User.jsonl is not in its manifest"),
        (other_name, "its manifest is not as it was written"),
    ],
)
def test_a_damaged_archive_is_refused_by_name(
    workshop: Workshop, change: Callable[[dict[str, bytes]], None], said: str
) -> None:
    """It says which file is not as it was written, and nothing is brought in."""
    lived_in(workshop)
    with pytest.raises(DamagedArchive, match=rf"winter\.zip is damaged: {said}"):
        archiving.read("winter.zip", repacked(file_of(workshop), change))


def test_any_byte_that_changed_is_found(workshop: Workshop, tmp_path: Path) -> None:
    """Cut short or flipped: refused at the command line, and no row is written."""
    content = file_of(workshop)
    emptied()
    broken = [cut_short(content), b"no archive", b""]
    for place in range(100, len(content), len(content) // 25):
        broken.append(content[:place] + bytes([content[place] ^ 0x10]) + content[place + 1 :])
    for number, one in enumerate(broken):
        file = tmp_path / f"broken-{number}.zip"
        file.write_bytes(one)
        try:
            call_command("bring_course", str(file))
        except CommandError as refusal:
            assert f"broken-{number}.zip is damaged" in str(refusal)  # noqa: PT017  # or no harm
            assert not Workshop.objects.exists()
        else:
            # The byte lay in a ZIP's own notes that nobody reads: what came in is the course.
            assert Workshop.objects.get().name == workshop.name
            emptied()


def test_a_course_that_is_here_is_not_brought_in_again(workshop: Workshop) -> None:
    """Under its own address or another: the sentence says what to do."""
    lived_in(workshop)
    found = archiving.read("winter.zip", file_of(workshop))
    with pytest.raises(RefusedArchive, match="“winter” is taken by “Winter course”"):
        bringing_in.bring_in(found)
    with pytest.raises(RefusedArchive, match="is in this database already"):
        bringing_in.bring_in(found, slug="other")
    assert Workshop.objects.filter(name="Winter course").count() == 1
    assert Enrolment.objects.filter(workshop__name="Winter course").count() == 1


def test_what_this_release_does_not_know_is_refused(workshop: Workshop) -> None:
    """A column of a later release: nothing is dropped in silence."""
    found = archiving.read("winter.zip", file_of(workshop))
    emptied()
    (row,) = found.rows["workshops.Workshop"]
    row["moon"] = "full"
    with pytest.raises(RefusedArchive, match=r"“moon” of workshops\.Workshop is unknown here"):
        bringing_in.bring_in(found)


def test_the_rows_cost_a_fixed_number_of_queries(workshop: Workshop) -> None:
    """However much the course has."""
    lived_in(workshop)
    with CaptureQueriesContext(connection) as few:
        file_of(workshop)
    for number in range(3):
        make_placement(enrolment=make_enrolment(workshop, given_name=f"Bea {number}"))
        make_hog(workshop)
    with CaptureQueriesContext(connection) as many:
        file_of(workshop)
    assert len(few) == len(many)
