"""Scalding by pouring: no vessel holds the hog, kettles of hot water are poured over its coat."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stations.trade.coats import ScaldBand
from stations.trade.errors import within
from stations.trade.hide import Hog, skin_uptake_j_m2_k
from stations.trade.scald import boiling_bucket
from stations.trade.scald_plan import KETTLE_FILLED, PUBLISHED_START_C
from stations.trade.vessels import Vessel
from stations.trade.water import Air, enthalpy_j_kg


@dataclass(frozen=True, slots=True, kw_only=True)
class PourOver:
    """Poured water for one hog: kg in all, kg boiling and cold to mix it, heat (J), kettlefuls."""

    water_kg: float
    boiling_kg: float
    cold_kg: float
    heat_j: float
    kettlefuls: int
    pour_c: float


def pour_c(band: ScaldBand) -> float:
    """How hot to pour: the middle of the band's published start, else the least published, in degC.

    >>> from stations.trade.coats import falling_band
    >>> round(pour_c(falling_band()))
    70

    Source: the band's own; Farmers' Bulletin 2265 (published).
    """
    low, high = band.strike_low_c, band.strike_high_c
    return (low + high) / 2 if low is not None and high is not None else PUBLISHED_START_C[0]


def plan_pour_over(
    hog: Hog, *, band: ScaldBand, air: Air, kettle: Vessel, tap_c: float = 12.0, useful: float = 0.5
) -> PourOver:
    """Water to scald a hog lying on a table by pouring, half of the skin worked at a time.

    m = (skin uptake over the soak + film warmed) / (useful (h(pour) - h(floor))): the water is
    poured at the band's start and runs off at its floor. ``useful`` 0.1 to 1 is the share of the
    heat that meets skin before it runs off (a judgement: half, under sacking); ``tap_c`` 0.5 to 60
    degC and below the pour; otherwise raises OutOfRange.

    >>> from stations.trade.coats import Coat, Season, band_for
    >>> from stations.trade.vessels import Method, kettle
    >>> easy = band_for(coat=Coat.EASY, season=Season.SPRING, method=Method.POUR_OVER)
    >>> air = Air(temp_c=10.0, humidity=0.6)
    >>> need = plan_pour_over(Hog(live_kg=60.0), band=easy, air=air, kettle=kettle(litres=40.0))
    >>> round(need.water_kg), need.kettlefuls
    (42, 1)

    Source: ``hide`` (computed); pouring temperature Farmers' Bulletin 2265's start (published).
    """
    within("useful share", useful, low=0.1, high=1.0, unit="of 1", rule="pour-over")
    within("cold water", tap_c, low=0.5, high=60.0, unit="degC", rule="pour-over")
    hot_c = pour_c(band)
    soak = (band.soak_low_s + band.soak_high_s) / 2
    skin = hog.skin_m2 * skin_uptake_j_m2_k(soak) * (band.target_c - hog.skin_c)
    film = hog.film_kg * (enthalpy_j_kg(band.floor_c) - enthalpy_j_kg(hog.film_c))
    each = useful * (enthalpy_j_kg(hot_c) - enthalpy_j_kg(band.floor_c))
    water_kg = (skin + film) / each
    boiling, cold = enthalpy_j_kg(boiling_bucket(air).water_c), enthalpy_j_kg(tap_c)
    boiling_kg = water_kg * (enthalpy_j_kg(hot_c) - cold) / (boiling - cold)
    return PourOver(
        water_kg=water_kg,
        boiling_kg=boiling_kg,
        cold_kg=water_kg - boiling_kg,
        heat_j=water_kg * (enthalpy_j_kg(hot_c) - cold),
        kettlefuls=math.ceil(boiling_kg / (KETTLE_FILLED * 1000.0 * kettle.brim_m3)),
        pour_c=hot_c,
    )
