"""What the burn card says, and what it refuses to say."""

import pytest

from stations.trade.burns import FIRST_AID, FIRST_AID_SOURCE, seconds_to_burn
from stations.trade.errors import OutOfRange
from stations.trade.measures import celsius


@pytest.mark.parametrize("water_c", [20.0, 43.9, 102.0, float("nan")])
def test_outside_the_table_there_is_no_answer(water_c):
    with pytest.raises(OutOfRange, match="burn table"):
        seconds_to_burn(water_c)


def test_cooler_than_the_first_row_is_said_to_be_or_more():
    found = seconds_to_burn(46.0)
    assert found.open_above
    assert found.seconds == 300.0
    assert found.sentence().startswith("Serious burn possible in 5 min or more.")


def test_hotter_than_the_last_row_is_said_to_be_under():
    found = seconds_to_burn(95.0)
    assert found.open_below
    assert found.sentence().startswith("Serious burn in under 1 s.")


@pytest.mark.parametrize(
    ("fahrenheit", "words"),
    [(125.0, "about 90 s"), (122.0, "about 3 min"), (145.0, "about 3 s"), (143.0, "about 3 s")],
)
def test_times_are_rounded_down(fahrenheit, words):
    assert words in seconds_to_burn(celsius(fahrenheit=fahrenheit)).sentence()


def test_children_are_named_and_first_aid_has_a_source():
    assert "Children" in seconds_to_burn(60.0).sentence()
    assert "20 minutes" in FIRST_AID
    assert FIRST_AID_SOURCE.trust.may_decide
