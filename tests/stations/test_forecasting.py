"""What the trough's page says of a dip: the figure, the next action, the alarm, the curve."""

from __future__ import annotations

from datetime import timedelta

import pytest

from stations.forecasting import TroughView, watch
from stations.models import Dip, EntryKind, Station
from stations.prompting import Tone
from tests.build import (
    NOW,
    Fields,
    make_animal,
    make_check,
    make_dip,
    make_entry,
    make_thermometer,
    make_trough,
    make_workshop,
)
from workshops.models import Coat, Units

pytestmark = pytest.mark.django_db


@pytest.fixture
def station() -> Station:
    """A trough that is struck hot and let fall: floor 145 F, ceiling 160 F."""
    return make_trough(falling_scald=True).station


def seen(dip: Dip, seconds: float) -> TroughView:
    return watch(Dip.objects.with_all().get(pk=dip.pk), now=NOW + timedelta(seconds=seconds))


Note = tuple[EntryKind, float, dict[str, Fields]]


def dip_with(station: Station, *notes: Note) -> Dip:
    dip = make_dip(station)
    for kind, seconds, fields in notes:
        make_entry(dip, kind, seconds=seconds, **fields)
    return dip


def test_before_any_reading_the_strike_is_shown_and_the_model_runs_on(station: Station) -> None:
    """69 degC is 156.2 F; the water is guessed cooler already, with a band."""
    view = seen(make_dip(station), 30)
    assert (view.figure.number, view.figure.unit) == ("156.2", "°F")
    assert view.figure.what == "strike, read before the hog went in"
    assert view.clock == "0:30"
    assert "nine times in ten between" in view.estimate
    assert view.action.sentence == "Hold. Next: roll at 1:00."
    assert view.curve is not None


def test_the_big_figure_is_the_last_reading_with_its_age(station: Station) -> None:
    """From whichever phone it came, in whatever order."""
    dip = dip_with(
        station,
        (EntryKind.READING, 90, {"water_c": 67.0}),
        (EntryKind.READING, 60, {"water_c": 67.4}),
    )
    view = seen(dip, 130)
    assert (view.figure.number, view.figure.age) == ("152.6", "40 s ago")
    assert not view.figure.stale
    assert seen(dip, 240).figure.stale


def test_the_thermometer_s_own_error_is_taken_off_and_its_check_has_an_age(
    station: Station,
) -> None:
    """One degree C high at both ends is 1.8 F taken off; checked three days before."""
    thermometer = make_thermometer(station.workshop, name="Dial")
    check = make_check(
        thermometer, ice_read_c=1.0, boil_read_c=101.0, at=NOW - timedelta(days=3, hours=1)
    )
    dip = make_dip(station, thermometer=thermometer, check_used=check)
    make_entry(dip, seconds=60, water_c=67.0)
    view = seen(dip, 70)
    assert view.figure.number == "150.8"
    assert view.thermometer == "Dial: reads 1.8 °F high, taken off, checked 3 days ago."


def test_an_unchecked_thermometer_says_so(station: Station) -> None:
    """By name, and where none was named."""
    dip = make_dip(station, thermometer=make_thermometer(station.workshop, name="Dial"))
    assert seen(dip, 5).thermometer == "Dial: never checked, so the band is wide."
    assert "taken as unchecked" in seen(make_dip(station), 5).thermometer


def test_a_wild_reading_stays_in_the_list_and_out_of_the_figure(station: Station) -> None:
    """A confirmed 1470 F, and a confirmed 185 F: both kept, neither believed."""
    dip = dip_with(
        station,
        (EntryKind.READING, 30, {"water_c": 67.6}),
        (EntryKind.READING, 60, {"water_c": 798.9, "confirmed": True}),
        (EntryKind.READING, 70, {"water_c": 85.0, "confirmed": True}),
    )
    view = seen(dip, 80)
    assert view.figure.number == "153.7"
    remarks = [line.remark for line in view.noted]
    assert remarks == ["not counted yet: it fits no other reading"] * 2 + [""]
    assert view.alarm is None


@pytest.mark.parametrize(
    ("water_c", "way", "symbol", "words"),
    [
        (61.5, "below", "▼", "Below the floor: about 142.7 °F, floor 145.0 °F"),
        (73.0, "above", "▲", "Above the ceiling: about 163.4 °F, ceiling 160.0 °F"),
    ],
)
def test_the_alarm_says_which_way_and_how_far(
    station: Station, water_c: float, way: str, symbol: str, words: str
) -> None:
    """A symbol and words; two readings that agree are believed."""
    both = {"water_c": water_c}
    dip = dip_with(station, (EntryKind.READING, 300, both), (EntryKind.READING, 310, both))
    alarm = seen(dip, 310).alarm
    assert alarm is not None
    assert (alarm.way, alarm.symbol) == (way, symbol)
    assert alarm.sentence.split("about")[0] == words.split("about")[0]


def test_below_the_floor_it_says_how_many_buckets(station: Station) -> None:
    """The count that keeps it above for ten minutes, and that the hog is still in."""
    both = {"water_c": 62.4}
    dip = dip_with(
        station,
        (EntryKind.READING, 100, both),
        (EntryKind.READING, 110, both),
        (EntryKind.ROLL, 60, {}),
    )
    view = seen(dip, 112)
    assert view.action.sentence.startswith("Add ")
    assert view.action.sentence.endswith("hot buckets: the water is below the floor.")
    assert "would keep it above 145.0 °F for 10 min" in view.buckets


def test_the_hair_is_tested_at_two_minutes_and_again(station: Station) -> None:
    """The cue changes with each test, so that the phone sounds again."""
    roll: Note = (EntryKind.ROLL, 110, {})
    first = seen(dip_with(station, roll), 121).action
    assert first.sentence.startswith("Test hair: ")
    held = (EntryKind.HAIR_TEST, 125, {"part": "flank", "hair": "holds"})
    later: Note = (EntryKind.ROLL, 170, {})
    dip = dip_with(station, roll, held, later)
    assert seen(dip, 180).action.sentence == "Hold. Next: test hair at 3:20."
    again = seen(dip, 201).action
    assert again.sentence.startswith("Test hair: ")
    assert again.cue != first.cue


def test_hair_that_slips_on_the_flank_pulls_the_hog(station: Station) -> None:
    """On the back it decides nothing; set anywhere it pulls at once."""
    back = (EntryKind.HAIR_TEST, 125, {"part": "back", "hair": "slips"})
    assert seen(dip_with(station, back), 126).action.tone is not Tone.PULL
    flank = (EntryKind.HAIR_TEST, 130, {"part": "flank", "hair": "slips"})
    pull = seen(dip_with(station, back, flank), 131).action
    assert (pull.sentence, pull.tone) == ("Pull the hog: the hair slips.", Tone.PULL)
    assert "The lead decides" in pull.why
    hard = (EntryKind.HAIR_TEST, 130, {"part": "head", "hair": "set"})
    assert "the hair is setting" in seen(dip_with(station, hard), 131).action.sentence


def test_a_slow_scald_has_its_own_floor_and_ceiling(station: Station) -> None:
    """From the coat's published band, with its source on the page."""
    trough = make_trough(season="spring")
    hog = make_animal(trough.station.workshop, coat=Coat.EASY)
    view = seen(make_dip(trough.station, hog), 10)
    assert "Farmers' Bulletin 2265" in view.basis


def test_how_long_the_water_takes_to_burn_is_on_the_page(station: Station) -> None:
    """At about 152 F: under two seconds, with what to do first."""
    view = seen(dip_with(station, (EntryKind.READING, 60, {"water_c": 67.0})), 61)
    assert view.burn.startswith("Serious burn in about 1 s.")
    assert "cool running water" in view.first_aid


def test_metric_farms_read_metric(db: None) -> None:
    """Figures, floor and the estimate."""
    station = make_trough(
        make_workshop(units=Units.METRIC).stations.create(name="T", letter="T"), falling_scald=True
    ).station
    view = seen(make_dip(station), 1)
    assert (view.figure.number, view.figure.unit) == ("69.0", "°C")
    assert view.curve is not None
    assert view.curve.floor_words == "floor 62.8 °C"


def test_pouring_over_has_a_clock_and_prompts_and_no_forecast(db: None) -> None:
    """There is no bath; the page says so instead of guessing."""
    view = seen(make_dip(make_trough(method="pour_over").station), 125)
    assert view.curve is None
    assert "no bath to forecast" in view.estimate
    assert view.action.sentence


def test_what_the_rules_do_not_cover_is_said_in_words(station: Station) -> None:
    """A hog heavier than the skin formula covers still has its page."""
    view = seen(make_dip(station, make_animal(station.workshop, live_kg=420)), 20)
    assert view.estimate.startswith("No forecast: Live weight 420 kg is outside")


def test_a_forgotten_dip_asks_for_out(station: Station) -> None:
    """After an hour there is nothing to forecast."""
    view = seen(make_dip(station), 4000)
    assert view.action.sentence == "Over an hour in the water. Is the hog out? Press Out."
    assert view.clock == "66:40"


def test_the_curve_holds_its_points_inside_the_drawing(station: Station) -> None:
    """Floor below ceiling, now between the past and the forecast."""
    dip = dip_with(station, *[(EntryKind.READING, 60 * n, {"water_c": 68.0 - n}) for n in (1, 2)])
    curve = seen(dip, 150).curve
    assert curve is not None
    points = [tuple(map(float, point.split(","))) for point in curve.band.split(" ")]
    frame = curve.scale.frame
    assert all(frame["left"] <= x <= frame["right"] for x, _ in points)
    assert all(frame["top"] <= y <= frame["bottom"] for _, y in points)
    assert curve.ceiling_y < curve.floor_y
    assert len(curve.dots) == 2
    assert "in 10 min; floor 145.0 °F." in curve.sentence
