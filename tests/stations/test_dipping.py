"""The trough's acts: written once, asked about, refused, taken back; nothing is lost."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from stations import dipping
from stations.dipping import Act, Hand, Start
from stations.errors import DipRefused, ReadingQuestioned
from stations.models import Dip, DipEntry, EntryKind, HairSlip, HogPart, Station
from tests.build import (
    NOW,
    Fields,
    make_animal,
    make_check,
    make_dip,
    make_enrolment,
    make_entry,
    make_thermometer,
    make_trough,
    make_user,
    make_workshop,
)
from workshops.models import Units

pytestmark = pytest.mark.django_db


def act(seconds: float = 0, **fields: Fields) -> Act:
    """A press so many seconds after "in water"."""
    values: dict[str, Fields] = {
        "by": Hand(),
        "client_id": uuid4(),
        "now": NOW + timedelta(seconds=seconds),
    }
    return Act(**(values | fields))


def loaded(dip: Dip) -> Dip:
    return Dip.objects.with_all().get(pk=dip.pk)


def noted(dip: Dip) -> int:
    """Rows of a dip, counted afresh."""
    return DipEntry.objects.filter(dip=dip).count()


@pytest.fixture
def station() -> Station:
    """A trough that is struck hot and let fall, in a course that thinks in Fahrenheit."""
    return make_trough(falling_scald=True).station


@pytest.fixture
def dip(station: Station) -> Dip:
    return loaded(make_dip(station))


def start_of(station: Station, **fields: Fields) -> Start:
    values: dict[str, Fields] = {
        "animal": make_animal(station.workshop),
        "water_kg": 230,
        "strike_read_c": 69.0,
    }
    return Start(**(values | fields))


def test_a_dip_keeps_what_it_started_with(station: Station) -> None:
    """Band, air and the thermometer's last check stay with it when the trough's row changes."""
    thermometer = make_thermometer(station.workshop)
    make_check(thermometer, at=NOW - timedelta(days=9))
    last = make_check(thermometer)
    made = dipping.start(station, start_of(station, thermometer=thermometer), act())
    station.trough.falling_scald = False
    station.trough.save()
    kept = loaded(made)
    assert kept.check_used == last
    assert kept.floor_c == pytest.approx(62.8, abs=0.05)
    assert kept.water_in_at == NOW


def test_the_second_press_of_in_water_finds_the_first(station: Station) -> None:
    """The same press again, and another phone's press for the same hog: one dip."""
    wanted, press = start_of(station), act()
    first = dipping.start(station, wanted, press)
    assert dipping.start(station, wanted, press) == first
    assert dipping.start(station, wanted, act(3)) == first
    assert Dip.objects.count() == 1


def test_two_hogs_are_not_in_one_trough(station: Station, dip: Dip) -> None:
    """The one in the water is named."""
    with pytest.raises(DipRefused, match=f"{dip.animal} is still in this trough"):
        dipping.start(station, start_of(station), act())
    dipping.pull(dip, act(300))
    dipping.start(station, start_of(station), act(900))
    assert Dip.objects.count() == 2


@pytest.mark.parametrize("strike_c", [20.6, 90.0])
def test_a_strange_strike_is_asked_about(station: Station, strike_c: float) -> None:
    """69 typed in Fahrenheit: nothing is written until somebody stands by it."""
    wanted = start_of(station, strike_read_c=strike_c)
    with pytest.raises(ReadingQuestioned, match="no published scald starts"):
        dipping.start(station, wanted, act())
    assert not Dip.objects.exists()
    sure = start_of(station, strike_read_c=strike_c, confirmed=True)
    assert dipping.start(station, sure, act()).strike_read_c == strike_c


def test_a_strike_that_cannot_be_is_refused_even_when_confirmed(station: Station) -> None:
    """Nothing can be computed from water at 10 degrees, or from steam."""
    with pytest.raises(DipRefused, match="68 °F and 203 °F"):
        dipping.start(station, start_of(station, strike_read_c=10.0, confirmed=True), act())


def test_the_same_post_twice_is_one_row(dip: Dip) -> None:
    """Each act of a phone on bad reception."""
    acts = [
        lambda press: dipping.read(dip, 67.4, press),
        lambda press: dipping.pour_hot(dip, press),
        lambda press: dipping.pour_cold(dip, press),
        lambda press: dipping.roll(dip, press),
        lambda press: dipping.test_hair(dip, press, part=HogPart.FLANK, hair=HairSlip.HOLDS),
        lambda press: dipping.pull(dip, press),
    ]
    for number, write in enumerate(acts, start=1):
        press = act(60 + number)
        assert write(press) == write(press)
        assert noted(dip) == number


def test_what_was_written_says_who_when_and_when_it_came(dip: Dip) -> None:
    """A reading kept on the phone for half a minute belongs to the moment it was taken."""
    seat, user = make_enrolment(dip.workshop, given_name="Edda"), make_user(first_name="Maren")
    press = act(90, by=Hand(enrolment=seat), happened_at=NOW + timedelta(seconds=60))
    row = dipping.read(dip, 67.0, press)
    assert (row.at - NOW).total_seconds() == 60
    assert (row.received_at - NOW).total_seconds() == 90
    assert row.writer == "Edda"
    assert dipping.roll(dip, act(95, by=Hand(user=user))).writer == "Maren"


def test_a_phone_whose_clock_runs_ahead_reads_no_future(dip: Dip) -> None:
    """Its entry stands at the moment it came."""
    row = dipping.roll(dip, act(60, happened_at=NOW + timedelta(hours=1)))
    assert row.at == NOW + timedelta(seconds=60)


@pytest.mark.parametrize(
    ("water_c", "question"),
    [
        (798.9, r"1470.0 °F\? Water boils at 21"),
        (-4.0, r"24.8 °F\? Water is ice below 32.0 °F"),
        (85.0, r"185.0 °F\? About 15\d.\d °F was expected"),
        (40.0, r"104.0 °F\? About"),
    ],
)
def test_an_impossible_reading_is_questioned_and_kept_when_confirmed(
    dip: Dip, water_c: float, question: str
) -> None:
    """Not written, not dropped: the number comes back with the question, and yes keeps it."""
    press = act(60)
    with pytest.raises(ReadingQuestioned, match=question) as asked:
        dipping.read(dip, water_c, press)
    assert asked.value.read_c == water_c
    assert noted(dip) == 0
    row = dipping.read(dip, water_c, press, confirmed=True)
    assert row.water_c == water_c
    assert row.confirmed


def test_a_plain_reading_is_not_marked_as_confirmed(dip: Dip) -> None:
    """Even if the phone said yes beforehand."""
    assert not dipping.read(dip, 67.5, act(60), confirmed=True).confirmed


def test_a_wild_reading_does_not_make_the_next_good_one_doubtful(dip: Dip) -> None:
    """Held against what the water should show, not against the last number."""
    dipping.read(dip, 85.0, act(60), confirmed=True)
    assert not dipping.read(loaded(dip), 67.2, act(75)).confirmed


def test_a_bucket_explains_a_rise(station: Station) -> None:
    """Ten buckets poured, and the reading that would be a jump is none."""
    dip = make_dip(station)
    for _ in range(10):
        make_entry(dip, EntryKind.POUR, seconds=50)
    with pytest.raises(ReadingQuestioned):
        dipping.read(loaded(make_dip(make_trough(falling_scald=True).station)), 76.0, act(60))
    assert not dipping.read(loaded(dip), 76.0, act(60)).confirmed


def test_what_comes_late_is_taken_and_what_happened_after_out_is_not(dip: Dip) -> None:
    """A reading of minute four that came at minute six; a roll after the hog was out."""
    dipping.pull(dip, act(300))
    late = dipping.read(dip, 66.0, act(360, happened_at=NOW + timedelta(seconds=240)))
    assert late in loaded(dip).standing()
    with pytest.raises(DipRefused, match="has been out since 08:05:00, so nothing was written"):
        dipping.roll(dip, act(330))
    with pytest.raises(DipRefused, match="was not in the water yet"):
        dipping.roll(dip, act(330, happened_at=NOW - timedelta(seconds=30)))


def test_two_who_press_out_get_one_out(dip: Dip) -> None:
    """The caller and the timer at once."""
    assert dipping.pull(dip, act(300)) == dipping.pull(dip, act(302))
    assert loaded(dip).of_kind(EntryKind.OUT)[0].at == NOW + timedelta(seconds=300)


def test_an_undo_is_a_new_row_and_whoever_is_second_changes_nothing(dip: Dip) -> None:
    """Both phones take the same bucket back; it stays in the record, beside one undo."""
    bucket = dipping.pour_hot(dip, act(60))
    first = dipping.undo(dip, bucket.pk, act(70))
    assert dipping.undo(dip, bucket.pk, act(71)) == first
    assert first.takes_back == bucket
    assert noted(dip) == 2
    assert loaded(dip).standing() == []
    with pytest.raises(DipRefused, match="cannot be taken back"):
        dipping.undo(dip, first.pk, act(80))


def test_an_entry_of_another_dip_is_not_taken_back(dip: Dip) -> None:
    """By number, from another workshop's trough."""
    other = make_entry(make_dip())
    with pytest.raises(DipRefused, match="cannot be taken back"):
        dipping.undo(dip, other.pk, act(70))


def test_out_taken_back_puts_the_hog_in_again(station: Station, dip: Dip) -> None:
    """Unless another hog has gone in since."""
    out = dipping.pull(dip, act(300))
    dipping.undo(dip, out.pk, act(310))
    assert list(Dip.objects.in_water()) == [dip]
    out = dipping.pull(dip, act(320))
    dipping.start(station, start_of(station), act(900))
    with pytest.raises(DipRefused, match="is in the trough now"):
        dipping.undo(dip, out.pk, act(910))


def test_a_dip_started_by_mistake_stands_in_no_list_but_stays(dip: Dip) -> None:
    """The wrong hog was chosen."""
    mistake = dipping.call_off(dip, act(10))
    assert not Dip.objects.standing().exists()
    assert Dip.objects.count() == 1
    dipping.undo(dip, mistake.pk, act(20))
    assert Dip.objects.standing().count() == 1


def test_a_thermometer_is_checked_and_corrected(station: Station) -> None:
    """Once for each press; the first check adds it to the list."""
    workshop, press = station.workshop, act()
    check = dipping.check_thermometer(workshop, "Dial", press, ice_c=0.5, boil_c=100.5)
    assert dipping.check_thermometer(workshop, "Dial", press, ice_c=0.5, boil_c=100.5) == check
    assert check.thermometer.last_check == check
    assert check.as_of(NOW + timedelta(days=2)).age_days == pytest.approx(2)
    assert check.as_of(NOW).offset_c(66.0) == pytest.approx(0.5, abs=0.05)


def test_a_thermometer_too_far_off_is_replaced(db: None) -> None:
    """What it read and what it should have shown, in the farm's units; no row is left."""
    workshop = make_workshop(units=Units.METRIC)
    with pytest.raises(DipRefused, match=r"Dial read 5.0 °C; .* should show 0.0 °C"):
        dipping.check_thermometer(workshop, "Dial", act(), ice_c=5.0, boil_c=None)
    assert not workshop.thermometers.exists()


@pytest.mark.parametrize(
    "wrong",
    [
        {"kind": EntryKind.READING},
        {"kind": EntryKind.POUR, "water_c": 95.0},
        {"kind": EntryKind.HAIR_TEST, "part": "tail", "hair": "slips"},
        {"kind": EntryKind.UNDO},
    ],
)
def test_the_database_keeps_half_an_entry_out(dip: Dip, wrong: dict[str, Fields]) -> None:
    """Whoever writes, and however."""
    with pytest.raises(IntegrityError), transaction.atomic():
        DipEntry.objects.create(dip=dip, client_id=uuid4(), at=NOW, received_at=NOW, **wrong)


def test_an_id_used_for_something_else_is_not_answered_as_done(dip: Dip) -> None:
    """Two buttons with one id would lose the second press without a word."""
    press = act(60)
    dipping.roll(dip, press)
    with pytest.raises(DipRefused, match="was used before"):
        dipping.pour_hot(dip, press)
