"""The duty log: written once a press, only added to, read by those who may."""

from __future__ import annotations

import csv
from datetime import timedelta
from io import StringIO
from uuid import uuid4

import pytest
from django.db import DatabaseError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from scheduling import logbook
from scheduling.log_lines import Asked, lines
from scheduling.logbook import LogRefusedError, Told
from scheduling.models import AppendOnlyError, LogEntry, LogKind
from stations.dipping import Hand
from tests.build import (
    NOW,
    Fields,
    make_actual,
    make_dip,
    make_entry,
    make_hog,
    make_run_sheet,
    make_stage,
    make_station,
    make_step,
    make_trough,
    make_workshop,
)
from workshops import forgetting
from workshops.models import Enrolment, User, Workshop
from workshops.pulse import counts_of

pytestmark = pytest.mark.django_db
HURT = "Scald on the left forearm; cooled under running water."


def told(**fields: Fields) -> Told:
    values: dict[str, Fields] = {"kind": LogKind.NOTE, "text": "Gambrel slipped.", "at": NOW}
    return Told(**(values | fields))


def written(workshop: Workshop, **fields: Fields) -> LogEntry:
    return logbook.write(workshop, told(**fields), by=Hand(), client_id=uuid4(), now=NOW)


@pytest.fixture
def hurt(workshop: Workshop, attendee: Enrolment) -> LogEntry:
    """Somebody was scalded."""
    return written(
        workshop, kind=LogKind.INJURY, text="Scald at the trough.", detail=HURT, about=attendee
    )


def test_a_second_arrival_of_a_press_changes_nothing(workshop: Workshop) -> None:
    """The answer is the entry of the first; the pages are told once."""
    press = uuid4()
    first = logbook.write(workshop, told(), by=Hand(), client_id=press, now=NOW)
    assert logbook.write(workshop, told(text="x"), by=Hand(), client_id=press, now=NOW) == first
    assert LogEntry.objects.get().text == "Gambrel slipped."
    assert counts_of(workshop.pk) == {"log": 1}


def test_what_is_to_come_and_what_is_of_another_course_is_refused(workshop: Workshop) -> None:
    """In words, and nothing is written."""
    with pytest.raises(LogRefusedError, match="still to come"):
        written(workshop, at=NOW + timedelta(minutes=30))
    with pytest.raises(LogRefusedError, match="not of this course"):
        written(workshop, animal=make_hog(make_workshop()))
    assert not LogEntry.objects.exists()


def test_nothing_in_the_log_is_changed_or_deleted(hurt: LogEntry) -> None:
    """Neither one by one, nor many at once, nor behind the models' back."""
    hurt.text = "Nothing happened."
    for forbidden in (hurt.save, hurt.delete, LogEntry.objects.all().delete):
        with pytest.raises(AppendOnlyError):
            forbidden()
    with pytest.raises(AppendOnlyError):
        LogEntry.objects.update(text="")
    with (
        pytest.raises(DatabaseError, match="append-only"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute("UPDATE scheduling_logentry SET text = 'Nothing happened.'")


def test_a_correction_points_at_the_old_which_stays_and_only_one_does(hurt: LogEntry) -> None:
    """The second who corrects is told to look at the first."""
    new = logbook.correct(
        hurt, "Scald at the kettle.", by=Hand(), client_id=uuid4(), now=NOW, detail=HURT
    )
    assert (new.corrects, new.at, new.is_about_harm) == (hurt, hurt.at, True)
    with pytest.raises(LogRefusedError, match="corrected already"):
        logbook.correct(hurt, "Elsewhere.", by=Hand(), client_id=uuid4(), now=NOW)
    shown = lines(Asked(workshop=hurt.workshop, sees_health=True))
    assert [(line.words, line.withdrawn) for line in shown] == [
        ("Scald at the trough.", True),
        ("Scald at the kettle.", False),
    ]


def test_who_is_forgotten_leaves_no_health_in_the_log(hurt: LogEntry, attendee: Enrolment) -> None:
    """What happened stays; who was hurt how does not."""
    forgetting.forget(attendee.attendee, now=NOW)
    kept = LogEntry.objects.get(pk=hurt.pk)
    assert (kept.text, kept.detail, kept.about) == ("Scald at the trough.", "", None)


def a_day(workshop: Workshop, hogs: int) -> None:
    """Dips with readings, marks, entries: so many hogs' worth."""
    day = workshop.days.all()[0]
    sheet = day.run_sheets.first() or make_run_sheet(day)
    for _ in range(hogs):
        station = make_trough(make_station(workshop)).station
        hog = make_hog(workshop)
        make_entry(make_dip(station, hog))
        make_actual(make_step(sheet, make_stage(station), animal=hog))
        written(workshop, animal=hog, station=station)


def test_the_day_shows_dips_steps_and_entries_in_one_order(workshop: Workshop) -> None:
    """Newest last; of a hog only its own."""
    a_day(workshop, 2)
    day = workshop.days.all()[0]
    found = lines(Asked(workshop=workshop, day=day, sees_health=True))
    assert [line.at for line in found] == sorted(line.at for line in found)
    assert {line.kind for line in found} >= {"in water", "reading", "step", "note"}
    hog = workshop.animals.all()[0]
    assert {line.hog for line in lines(Asked(workshop=workshop, hog=hog, sees_health=True))} == {
        str(hog)
    }


def test_the_page_costs_the_same_queries_whatever_the_numbers(
    lead_client: Client, workshop: Workshop
) -> None:
    """One hog, or six."""
    url = reverse("day-log", args=["winter", 1])
    a_day(workshop, 1)
    lead_client.get(url)
    with CaptureQueriesContext(connection) as few:
        lead_client.get(url)
    a_day(workshop, 5)
    with CaptureQueriesContext(connection) as many:
        lead_client.get(url)
    assert len(few) == len(many)


def test_an_injury_is_written_down_and_the_page_says_what_to_do(
    helper_client: Client, workshop: Workshop, attendee: Enrolment
) -> None:
    """A helper may write it; the emergency number stands there at once."""
    url = reverse("log-add", args=["winter", 1])
    form = {
        "kind": "injury", "text": "Scald.", "detail": HURT, "person": f"a{attendee.pk}",
        "client_id": str(uuid4()),
    }  # fmt: skip
    answer = helper_client.post(url, form, follow=True)
    page = answer.content.decode()
    assert "Emergency: 112" in page
    assert LogEntry.objects.get().about == attendee
    assert helper_client.post(url, form).status_code == 302
    assert LogEntry.objects.count() == 1


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"text": ""}, "Say what happened, in a few words."),
        ({"at": "soon"}, "Type a time of the day such as 09:30."),
        ({"detail": "Cut."}, "This line belongs to an injury."),
    ],
)
def test_what_cannot_be_written_comes_back_with_the_reason_and_what_was_typed(
    lead_client: Client, workshop: Workshop, typed: dict[str, str], words: str
) -> None:
    """Nothing typed is lost."""
    form = {"kind": "near_miss", "text": "Chain slipped.", "client_id": str(uuid4())} | typed
    answer = lead_client.post(reverse("log-add", args=["winter", 1]), form)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert "Chain slipped." in answer.content.decode() or not form["text"]
    assert not LogEntry.objects.exists()


def test_how_someone_was_hurt_is_for_organizer_and_lead(
    lead_client: Client, helper_client: Client, hurt: LogEntry, attendee: Enrolment
) -> None:
    """On no page and in no file that a helper may open."""
    names = {"day-log": [1], "day-log-csv": [1], "course-log-csv": [], "person-log": [attendee.pk]}
    for name, rest in names.items():
        url = reverse(name, args=["winter", *rest])
        assert HURT in lead_client.get(url).content.decode(), name
        page = helper_client.get(url).content.decode()
        assert HURT not in page, name
        assert name == "person-log" or "Organizer and lead see who" in page


def test_the_file_has_a_row_for_each_line_and_runs_nothing(
    lead_client: Client, workshop: Workshop
) -> None:
    """A cell that a spreadsheet would run as a formula is made harmless."""
    written(workshop, text="=1+1")
    text = lead_client.get(reverse("day-log-csv", args=["winter", 1])).content.decode()
    (row,) = csv.DictReader(StringIO(text))
    assert row["kind"] == "note"
    assert not row["what"].startswith("=")


def test_the_lead_corrects_and_both_stand_on_the_page(
    lead_client: Client, helper_client: Client, hurt: LogEntry
) -> None:
    """A helper may not; a second correction of the same entry is refused in words."""
    url = reverse("log-correct", args=["winter", hurt.pk])
    assert helper_client.get(url).status_code == 403
    form = {"text": "Scald at the kettle.", "detail": HURT, "client_id": str(uuid4())}
    page = lead_client.post(url, form, follow=True).content.decode()
    assert "<s>Scald at the trough.</s>" in page
    assert "Scald at the kettle." in page
    again = lead_client.post(url, form | {"client_id": str(uuid4())})
    assert again.status_code == 422
    assert "corrected already" in again.content.decode()


def test_a_person_of_the_staff_is_named_too(lead: User, workshop: Workshop) -> None:
    """The lead's own near miss."""
    member = workshop.staff.get(user=lead)
    entry = written(workshop, kind=LogKind.NEAR_MISS, about_staff=member)
    assert (entry.person, str(entry)) == (member.name, f"near miss at {NOW:%H:%M}")
