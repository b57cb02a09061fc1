"""When the feed goes: 12 to 24 h before each kill, in one stretch for one pen."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stations.trade.errors import OutOfRange
from stations.trade.feed import LEAST_H, MOST_H, feed_off

TEN = datetime(2027, 1, 15, 10, tzinfo=UTC)


def test_the_factsheet_s_own_example() -> None:
    """OMAFRA factsheet 05-065: off at 7 pm, killed at 10 am the next day, is 15 h."""
    assert feed_off(first_kill=TEN, last_kill=TEN).suggested == datetime(
        2027, 1, 14, 19, tzinfo=UTC
    )


@given(st.integers(0, (MOST_H - LEAST_H) * 60))
def test_every_hog_is_within_the_stretch(apart_min: int) -> None:
    """From the earliest to the latest time, first and last hog have gone 12 to 24 h without."""
    last = TEN + timedelta(minutes=apart_min)
    off = feed_off(first_kill=TEN, last_kill=last)
    assert off.earliest <= off.suggested <= off.latest
    for taken in (off.earliest, off.suggested, off.latest):
        for kill in (TEN, last):
            assert timedelta(hours=LEAST_H) <= kill - taken <= timedelta(hours=MOST_H)


def test_kills_too_far_apart_need_two_pens() -> None:
    """13 h between the first and the last."""
    with pytest.raises(OutOfRange, match=r"13 h is outside 0 to 12 h .*pen the later hogs apart"):
        feed_off(first_kill=TEN, last_kill=TEN + timedelta(hours=13))
