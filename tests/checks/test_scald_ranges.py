"""The scald bands against the published ranges, which conflict: ranges, never one number."""

import itertools

import pytest

from stations.trade.coats import (
    PUBLISHED_RANGES,
    Coat,
    Season,
    band_for,
    falling_band,
    published_span_c,
)
from stations.trade.measures import celsius
from stations.trade.vessels import Method

EVERY = list(itertools.product(Coat, Season, Method))


@pytest.mark.parametrize(("coat", "season", "method"), EVERY)
def test_every_band_lies_inside_the_union_of_the_published_ranges(coat, season, method):
    """Union without gaps: 56 to 65.6 degC (trial, texts, hard hair), start 68.3 to 71.1."""
    band = band_for(coat=coat, season=season, method=method)
    ranges = [(r.low_c, r.high_c) for r in PUBLISHED_RANGES if r.what[:5] != "start"]
    for temp in (band.floor_c, band.target_c, band.ceiling_c):
        # whole degrees F between 145 and 146 fall in no source's range; allow that one degree
        assert any(low - 0.56 <= temp <= high + 0.56 for low, high in ranges)
    if band.strike_low_c is not None and band.strike_high_c is not None:
        assert band.strike_low_c == pytest.approx(celsius(fahrenheit=155))
        assert band.strike_high_c == pytest.approx(celsius(fahrenheit=160))


@pytest.mark.parametrize(("coat", "season", "method"), EVERY)
def test_every_soak_lies_inside_the_published_times(coat, season, method):
    """2 min (trial grid) to 9 min (autumn hair, Meat Science 1993)."""
    band = band_for(coat=coat, season=season, method=method)
    lows = [r.low_s for r in PUBLISHED_RANGES if r.low_s is not None]
    highs = [r.high_s for r in PUBLISHED_RANGES if r.high_s is not None]
    assert min(lows) <= band.soak_low_s < band.soak_high_s <= max(highs)


def test_the_sources_do_conflict():
    """60 degC for 4 min over-scalded (J. Anim. Sci. 1975); 5.5 to 7.5 min needed (1993)."""
    times = [(r.low_s, r.high_s) for r in PUBLISHED_RANGES if r.low_c <= 60.0 <= r.high_c]
    assert max(low for low, _ in times if low) > min(high for _, high in times if high)


@pytest.mark.parametrize(("coat", "season"), list(itertools.product(Coat, Season)))
def test_a_falling_scald_soaks_each_coat_inside_the_published_times(coat, season):
    """The coat's own time, 2 to 9 min in the sources; the start inside 155 to 160 F (FB 2265)."""
    band = falling_band(coat=coat, season=season)
    assert 120.0 <= band.soak_low_s < band.soak_high_s <= 540.0
    assert band.strike_low_c is not None
    assert band.strike_high_c is not None
    low, high = celsius(fahrenheit=155), celsius(fahrenheit=160)
    assert low <= band.strike_low_c < band.strike_high_c <= high


def test_the_falling_band_is_practice_and_inside_the_span():
    low, high = published_span_c()
    band = falling_band()
    assert low <= band.floor_c < band.ceiling_c <= high + 1e-9
    assert not band.source.trust.may_decide
