"""The trough's pages: who may come in and act, what a refusal says, what a page costs."""

from __future__ import annotations

from datetime import datetime, timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from scheduling.models import SheetStatus
from stations.models import Dip, DipEntry, EntryKind, Station, ThermometerCheck
from tests.build import (
    Fields,
    make_animal,
    make_check,
    make_day,
    make_dip,
    make_duty,
    make_enrolment,
    make_entry,
    make_link,
    make_placement,
    make_run_sheet,
    make_stage,
    make_station,
    make_step,
    make_thermometer,
    make_trough,
    make_workshop,
)
from tests.cast import client_of
from workshops.models import Enrolment, User, Workshop

pytestmark = pytest.mark.django_db

ACTS = ("read", "pour-hot", "pour-cold", "roll", "hair", "out", "mistake")
FRAGMENT = {"X-Fragment": "1"}


@pytest.fixture
def workshop(db: None) -> Workshop:
    """A workshop whose only day is today."""
    made = make_workshop(name="Winter course", slug="winter", days=0)
    make_day(made, date=timezone.now().astimezone(made.zone).date())
    return made


@pytest.fixture
def station(workshop: Workshop) -> Station:
    return make_trough(
        make_station(workshop, letter="T", name="Trough"), falling_scald=True
    ).station


@pytest.fixture
def dip(station: Station) -> Dip:
    """A hog that went in a minute ago."""
    return make_dip(station, water_in_at=timezone.now() - timedelta(minutes=1))


def place(seat: Enrolment, station: Station, **fields: Fields) -> None:
    """A duty at the trough today, as posted."""
    day = station.workshop.days.get()
    sheet = day.run_sheets.first() or make_run_sheet(day, SheetStatus.POSTED)
    duty = make_duty(station, **fields)
    step = make_step(sheet, make_stage(station, duties=[duty]), animal=make_animal(day.workshop))
    make_placement(step, duty, enrolment=seat)


def post(client: Client, url: str, **fields: Fields) -> Fields:
    """One press; the answer as the test client gives it."""
    return client.post(url, {"client_id": uuid4()} | fields)


def staff_url(name: str, *ids: int) -> str:
    return reverse(name, args=["winter", "T", *ids])


def card_url(seat: Enrolment, name: str, *ids: int) -> str:
    return reverse(f"card-{name}", args=[seat.link.word, "T", *ids])


def reading(**fields: Fields) -> dict[str, Fields]:
    return {"water_c": "152.4"} | fields


# --- who may -------------------------------------------------------------------------------------
@pytest.mark.parametrize("act", ACTS)
def test_nobody_and_a_stranger_write_nothing(dip: Dip, stranger: User, act: str) -> None:
    """The one is asked to sign in, the other is told that there is no such page."""
    url = staff_url(f"trough-{act}", dip.pk)
    assert post(Client(), url).status_code == 302
    assert post(client_of(stranger), url).status_code == 404
    assert not DipEntry.objects.exists()


@pytest.mark.parametrize("who", ["lead", "helper"])
def test_lead_and_helper_run_a_dip(
    request: pytest.FixtureRequest, station: Station, who: str
) -> None:
    """From "in water" to "out", with plain forms."""
    user = request.getfixturevalue(who)
    client, hog = client_of(user), make_animal(station.workshop)
    assert client.get(reverse("troughs", args=["winter"]))["Location"] == staff_url("trough")
    page = client.get(staff_url("trough"))
    assert b"In water" in page.content
    start = {"animal": hog.pk, "water_kg": "60", "strike_c": "157", "thermometer": ""}
    assert post(client, staff_url("trough-start"), **start)["Location"] == staff_url("trough")
    made = Dip.objects.get()
    assert made.by_user == user
    assert made.water_kg == pytest.approx(227, abs=0.5)
    acts: list[tuple[str, dict[str, Fields]]] = [
        ("read", reading()),
        ("pour-hot", {}),
        ("roll", {}),
        ("hair", {"part": "back", "hair": "slips"}),
        ("pour-cold", {}),
        ("out", {}),
    ]
    for act, fields in acts:
        answer = post(client, staff_url(f"trough-{act}", made.pk), **fields)
        assert answer["Location"] == staff_url("trough"), act
    kinds = list(made.entries.values_list("kind", flat=True))
    assert kinds == ["reading", "pour", "roll", "hair_test", "pour", "out"]
    assert b"Undo: it is still in" in client.get(staff_url("trough")).content


def test_a_person_placed_there_today_acts_by_their_card(dip: Dip, attendee: Enrolment) -> None:
    """The card has the button, the page opens, the row carries the name."""
    place(attendee, dip.station, name="Thermometer")
    client = Client()
    page = card_url(attendee, "trough")
    assert page in client.get(attendee.link.path).content.decode()
    answer = client.get(page)
    assert answer.status_code == 200
    assert answer["Cache-Control"] == "private, no-cache"
    assert post(client, card_url(attendee, "trough-read", dip.pk), **reading())["Location"] == page
    assert DipEntry.objects.get().writer == "Edda"


def test_who_holds_a_chain_has_no_button(dip: Dip, attendee: Enrolment) -> None:
    """No hand is free for a phone."""
    place(attendee, dip.station, name="Chains", heavy=True)
    assert card_url(attendee, "trough") not in Client().get(attendee.link.path).content.decode()


@pytest.mark.parametrize("way", ["nowhere", "elsewhere", "in a draft", "yesterday"])
def test_a_card_without_a_place_there_today_is_sent_away(
    dip: Dip, attendee: Enrolment, way: str
) -> None:
    """A link alone is not enough; the answer says whom to ask."""
    day = dip.workshop.days.get()
    if way == "elsewhere":
        place(attendee, make_station(dip.workshop, letter="S"), name="Scraper")
    elif way == "in a draft":
        make_run_sheet(day, SheetStatus.DRAFT)
        place(attendee, dip.station, name="Timer")
    elif way == "yesterday":
        place(attendee, dip.station, name="Timer")
        day.date -= timedelta(days=1)
        day.save()
    client = Client()
    assert client.get(card_url(attendee, "trough")).status_code == 403
    for act in ACTS:
        assert post(client, card_url(attendee, f"trough-{act}", dip.pk)).status_code == 403
    assert not DipEntry.objects.exists()


def test_a_link_of_another_workshop_opens_nothing_here(dip: Dip) -> None:
    """Even placed at its own trough, with that trough's own letter."""
    other = make_workshop(days=0)
    make_day(other, date=timezone.now().astimezone(other.zone).date())
    theirs = make_trough(make_station(other, letter="T")).station
    seat = make_enrolment(other)
    make_link(seat)
    place(seat, theirs)
    client = Client()
    assert client.get(card_url(seat, "trough")).status_code == 200
    for act in ACTS:
        assert post(client, card_url(seat, f"trough-{act}", dip.pk)).status_code == 404
    undo = reverse("card-trough-undo", args=[seat.link.word, "T", dip.pk, 1])
    assert post(client, undo).status_code == 404
    assert not DipEntry.objects.exists()


def test_a_station_without_a_trough_has_no_such_page(workshop: Workshop, lead: User) -> None:
    """Nor has a letter that nobody has."""
    make_station(workshop, letter="S")
    for letter in "SX":
        assert client_of(lead).get(reverse("trough", args=["winter", letter])).status_code == 404


# --- what is answered ----------------------------------------------------------------------------
def test_an_impossible_reading_comes_back_with_its_number(dip: Dip, lead: User) -> None:
    """For a plain form the page, for the script the form; the number stands there still."""
    client, url = client_of(lead), staff_url("trough-read", dip.pk)
    press = str(uuid4())
    for headers in ({}, FRAGMENT):
        answer = client.post(url, {"client_id": press, "water_c": "1470"}, headers=headers)
        assert answer.status_code == 422
        text = answer.content.decode()
        assert "1470.0 °F? Water boils at" in text
        assert 'value="1470"' in text
        assert press in text
        assert "Yes, I did read that" in text
    assert not DipEntry.objects.exists()
    fields = {"client_id": press, "water_c": "1470", "confirmed": "on"}
    assert client.post(url, fields, headers=FRAGMENT).status_code == 200
    assert DipEntry.objects.get().confirmed


def test_a_word_instead_of_a_number_is_answered_in_words(dip: Dip, lead: User) -> None:
    """And is still there to be mended."""
    answer = post(client_of(lead), staff_url("trough-read", dip.pk), water_c="hot")
    assert answer.status_code == 422
    text = answer.content.decode()
    assert "Write a number, such as 147 or 147.5." in text
    assert 'value="hot"' in text


def test_a_strange_strike_keeps_all_that_was_typed(station: Station, lead: User) -> None:
    """Nothing is started; the second press says that it was read so."""
    hog = make_animal(station.workshop)
    fields = {"animal": hog.pk, "water_kg": "61", "strike_c": "110", "thermometer": ""}
    client = client_of(lead)
    answer = post(client, staff_url("trough-start"), **fields)
    assert answer.status_code == 422
    text = answer.content.decode()
    assert "where no published scald starts" in text
    assert 'value="110"' in text
    assert 'value="61"' in text
    assert not Dip.objects.exists()
    assert post(client, staff_url("trough-start"), **fields, confirmed="on").status_code == 302
    assert Dip.objects.count() == 1


def test_no_two_buttons_of_a_page_share_an_id(dip: Dip, lead: User) -> None:
    """Else the second press would be taken for the first."""
    make_entry(dip)
    text = client_of(lead).get(staff_url("trough")).content.decode()
    marked = [part.split('"')[0] for part in text.split('name="client_id" value="')[1:]]
    assert len(marked) >= 8
    assert len(set(marked)) == len(marked)


def test_a_refusal_reaches_the_script_and_the_plain_form(dip: Dip, lead: User) -> None:
    """A roll after the hog is out."""
    make_entry(dip, EntryKind.OUT, seconds=30)
    client, url = client_of(lead), staff_url("trough-roll", dip.pk)
    answer = client.post(url, {"client_id": uuid4()}, headers=FRAGMENT)
    assert answer.status_code == 409
    assert "has been out since" in answer.content.decode()
    page = client.post(url, {"client_id": uuid4()}, follow=True)
    assert "has been out since" in page.content.decode()


def test_the_live_parts_end_with_the_dip(dip: Dip, lead: User) -> None:
    """Both phones then load the page anew."""
    client, url = client_of(lead), staff_url("trough-now", dip.pk)
    answer = client.get(url)
    assert b'id="trough-top"' in answer.content
    assert b"<html" not in answer.content
    make_entry(dip, EntryKind.OUT)
    assert client.get(url).status_code == 204


def test_out_is_taken_back_from_the_start_page(dip: Dip, lead: User) -> None:
    """For a quarter of an hour; later the record stays as it is."""
    out = make_entry(dip, EntryKind.OUT)
    client, url = client_of(lead), staff_url("trough-undo", dip.pk, out.pk)
    assert url in client.get(staff_url("trough")).content.decode()
    assert post(client, url).status_code == 302
    assert list(Dip.objects.in_water()) == [dip]


def test_a_thermometer_is_checked_on_the_start_page(station: Station, lead: User) -> None:
    """One number is enough; none, or one too far off, is answered in words."""
    client, url = client_of(lead), staff_url("trough-check")
    empty = post(client, url, name="Dial", ice_c="", boil_c="")
    assert "in ice water, at the boil, or both" in empty.content.decode()
    far = post(client, url, name="Dial", ice_c="50", boil_c="")
    assert "replaced, not corrected" in far.content.decode()
    assert 'value="50"' in far.content.decode()
    assert not ThermometerCheck.objects.exists()
    assert post(client, url, name="Dial", ice_c="32.9", boil_c="").status_code == 302
    make_animal(station.workshop)
    assert "Dial: 0.9 °F high, today" in client.get(staff_url("trough")).content.decode()


def test_the_next_hog_of_the_posted_plan_is_offered_first(station: Station, lead: User) -> None:
    """One that was in comes last; one without a time comes after those with one."""
    workshop = station.workshop
    spare, late, early = (make_animal(workshop) for _ in range(3))
    sheet = make_run_sheet(workshop.days.get(), SheetStatus.POSTED)
    stage = make_stage(station)
    for hog, hour in ((late, 11), (early, 9)):
        start = datetime(2030, 1, 1, hour).time()  # noqa: DTZ001  # a time of day
        make_step(sheet, stage, animal=hog, starts=start)
    client = client_of(lead)

    def offered() -> list[str]:
        return [
            str(words)
            for _, words in client.get(staff_url("trough")).context["form"]["animal"].field.choices
        ]

    assert offered() == [f"{early}, planned 09:00", f"{late}, planned 11:00", str(spare)]
    make_entry(make_dip(station, early), EntryKind.OUT)
    assert offered()[-1] == f"{early}, planned 09:00, has been in"


# --- the record ----------------------------------------------------------------------------------
def test_the_record_of_a_hog_stands_beside_others_and_is_saved(dip: Dip, lead: User) -> None:
    """Its own dips and other hogs'; the CSV has each entry, also one taken back, no formula."""
    thermometer = make_thermometer(dip.workshop, name="=HYPERLINK(1)")
    check = make_check(thermometer, ice_read_c=1.0, boil_read_c=101.0)
    own = make_dip(dip.station, dip.animal, thermometer=thermometer, check_used=check)
    wrong = make_entry(own, water_c=66.0)
    make_entry(own, EntryKind.UNDO, takes_back=wrong)
    make_entry(own, water_c=67.0, seconds=90)
    make_entry(own, EntryKind.OUT, seconds=300)
    make_dip(dip.station, make_animal(dip.workshop, tag="88"))
    client, args = client_of(lead), ["winter", dip.animal.pk]
    text = client.get(reverse("hog-dips", args=args)).content.decode()
    assert "5:00" in text
    assert "Hog 88" in text
    saved = client.get(reverse("hog-dips-csv", args=args))
    assert saved["Content-Type"].startswith("text/csv")
    lines = saved.content.decode().splitlines()
    assert len(lines) == 1 + 4 + 1  # the heads, four entries, and a dip without one
    assert "'=HYPERLINK(1)" in lines[2]
    assert ",66.0,64.98," in lines[2]
    assert lines[2].endswith(",yes,")
    assert ",67.0,65.98," in lines[4]


def test_a_hog_without_a_dip_says_what_will_stand_there(workshop: Workshop, helper: User) -> None:
    """Helpers read the record too."""
    args = ["winter", make_animal(workshop).pk]
    assert b"No dip yet" in client_of(helper).get(reverse("hog-dips", args=args)).content


@pytest.mark.parametrize("name", ["hog-dips", "hog-dips-csv"])
def test_the_record_is_not_for_strangers(dip: Dip, stranger: User, name: str) -> None:
    """Nobody signs in; the lead of another course finds nothing, and sees no dip of this one."""
    url = reverse(name, args=["winter", dip.animal.pk])
    assert Client().get(url).status_code == 302
    assert client_of(stranger).get(url).status_code == 404
    theirs = stranger.staff_memberships.get().workshop
    own = make_dip(make_trough(make_station(theirs)).station)
    text = client_of(stranger).get(reverse("hog-dips", args=[theirs.slug, own.animal.pk]))
    assert b"Beside other" not in text.content


# --- what it costs -------------------------------------------------------------------------------
def cost(client: Client, url: str) -> int:
    client.get(url)
    with CaptureQueriesContext(
        connection,
    ) as asked:
        assert client.get(url).status_code == 200
    return len(asked)


def test_the_dip_costs_the_same_with_two_entries_and_with_forty(dip: Dip, lead: User) -> None:
    """The page, its live parts, and the record."""
    client = client_of(lead)
    urls = [
        staff_url("trough"),
        staff_url("trough-now", dip.pk),
        reverse("hog-dips", args=["winter", dip.animal.pk]),
        reverse("hog-dips-csv", args=["winter", dip.animal.pk]),
    ]
    make_entry(dip, seconds=10)
    make_entry(dip, EntryKind.ROLL, seconds=11)
    few = [cost(client, url) for url in urls]
    for number in range(20):
        make_entry(dip, seconds=12 + number)
        make_entry(dip, EntryKind.HAIR_TEST, seconds=12 + number)
    assert [cost(client, url) for url in urls] == few
    assert max(few) <= 14


def test_the_start_page_and_the_card_cost_the_same_for_one_hog_and_for_six(
    station: Station, lead: User, attendee: Enrolment
) -> None:
    """Hogs, thermometers with checks, earlier dips, places."""
    place(attendee, station)
    client = client_of(lead)
    urls = [staff_url("trough"), card_url(attendee, "trough"), attendee.link.path]
    make_check(make_thermometer(station.workshop))
    make_entry(make_dip(station), EntryKind.OUT)
    few = [cost(client, url) for url in urls]
    for _ in range(5):
        place(attendee, station)
        make_check(make_thermometer(station.workshop))
        make_entry(make_dip(station), EntryKind.OUT)
    assert [cost(client, url) for url in urls] == few
