"""Rows to the trade's numbers: re-heats for the timetable, burns for the cards."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stations import cautions, heating
from stations.models import Station, Trough
from stations.trade.scald_plan import plan_scald
from tests.build import make_hog, make_station, make_trough, make_workshop
from workshops.models import Animal, Coat, Units

pytestmark = pytest.mark.django_db


def three_hogs(**fields: object) -> tuple[Trough, list[Animal]]:
    """A trough that typed 30 min between hogs, and one hog of each coat."""
    workshop = make_workshop()
    station = make_station(workshop, name="Trough", set_up_min=30)
    trough = make_trough(station, **({"water_kg": 230.0} | fields))
    return trough, [make_hog(workshop, coat=coat) for coat in Coat]


def test_the_minutes_between_two_hogs_are_the_plans_rounded_up() -> None:
    """In the order of the kill they are what the plan of the day says."""
    trough, hogs = three_hogs()
    found = heating.reheat_minutes(trough, hogs)
    vessel = heating.vessel_of(trough)
    assert vessel is not None
    plan = plan_scald(heating.scald_setup(trough, hogs, vessel=vessel))
    for (before, after), part in zip(pairwise(hogs), plan.hogs, strict=False):
        assert part.reheat is not None
        assert found[before.pk, after.pk] == math.ceil(part.reheat.seconds / 60)
    assert len(found) == 6


def test_a_hard_coat_waits_longer_for_its_water_than_an_easy_one() -> None:
    """Different pairs differ."""
    trough, (easy, ordinary, hard) = three_hogs()
    found = heating.reheat_minutes(trough, [easy, ordinary, hard])
    assert found[ordinary.pk, easy.pk] < found[ordinary.pk, hard.pk]


def test_the_timetable_keeps_the_longest_re_heat_and_the_handling() -> None:
    """And says where the minutes come from."""
    trough, hogs = three_hogs()
    longest = max(heating.reheat_minutes(trough, hogs).values())
    set_up = heating.set_up_of(trough.station, hogs)
    assert set_up.minutes == longest + 5
    assert f"re-heats the water in {longest}; 5 more to skim" in set_up.sentence


def test_a_fire_too_weak_leaves_the_typed_minutes_and_says_why() -> None:
    """In the workshop's units."""
    trough, hogs = three_hogs(fire_w=5000.0)
    set_up = heating.set_up_of(trough.station, hogs)
    assert set_up.minutes == 30
    assert "30 min, as typed at the station" in set_up.sentence
    assert "°F" in set_up.sentence
    assert "Make a hotter fire" in set_up.sentence


@pytest.mark.parametrize("fields", [{"method": "pour_over"}, {}])
def test_without_a_vessel_or_with_one_hog_the_typed_minutes_stand(fields: dict[str, str]) -> None:
    """Poured water is not heated between hogs; one hog has no next."""
    trough, hogs = three_hogs(**fields)
    chosen = hogs if fields else hogs[:1]
    assert heating.set_up_of(trough.station, chosen) == heating.SetUp(minutes=30)


def test_a_station_that_holds_two_or_has_no_trough_keeps_what_was_typed() -> None:
    """Of two vessels one is heated while the other works."""
    trough, hogs = three_hogs()
    trough.station.capacity, trough.station.set_up_min = 2, 0
    assert heating.set_up_of(trough.station, hogs).minutes == 0
    assert heating.set_up_of(Station(set_up_min=7), hogs).minutes == 7


def test_the_set_up_costs_no_query_for_a_loaded_station() -> None:
    """The planner asks it of every station."""
    trough, hogs = three_hogs()
    (station,) = trough.station.workshop.stations.select_related("trough")
    with CaptureQueriesContext(connection) as caught:
        heating.set_up_of(station, hogs)
    assert len(caught) == 0


def test_each_coat_has_its_band_and_a_bucket_holds_what_the_row_says() -> None:
    """Also for a scald that is struck hot: the coat sets how long."""
    for falling in (False, True):
        trough, hogs = three_hogs(falling_scald=falling, bucket_kg=12.0, season="spring")
        vessel = heating.vessel_of(trough)
        assert vessel is not None
        setup = heating.scald_setup(trough, hogs, vessel=vessel)
        assert [band.soak_high_s for band in setup.bands] == [360, 450, 540]
        assert setup.bucket.kg == 12.0


def test_the_burn_is_said_of_the_hottest_strike_with_first_aid_and_source() -> None:
    """158 degF is above the table's last row: under a second (list credited to Moritz, 155 F)."""
    trough, hogs = three_hogs(falling_scald=True)
    said = cautions.burn_today(trough, hogs)
    assert "at 158 °F: serious burn in under 1 s. Children and the old burn sooner." in said.text
    assert "20 minutes" in said.text
    assert "US CPSC" in said.source_line
    assert "published" in said.source_line


def test_without_a_plan_the_burn_is_said_of_the_hottest_published_start() -> None:
    """Never less cautious because something could not be worked out."""
    trough, _ = three_hogs(length_m=0.6)
    trough.station.workshop.units = Units.METRIC
    for hogs in ([], heating.hogs_to_scald(trough.station.workshop)):
        assert "71 °C: serious burn in under 1 s" in cautions.burn_today(trough, hogs).text


def test_a_workshop_without_a_trough_pays_one_query_for_the_burns() -> None:
    """Cards ask it of every workshop."""
    workshop = make_workshop()
    with CaptureQueriesContext(connection) as caught:
        assert cautions.burns_today(workshop) == {}
    assert len(caught) == 1
