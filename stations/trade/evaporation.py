"""How fast hot open water gives heat away by evaporating: four published formulas, one chosen.

All were fitted to pools, ponds and lakes; at scald heat they are outside their range and differ by
a factor of two. ``CARRIER`` is the default because its original terms can be read, because it lies
inside the spread of the others in calm and in wind, and because the factors for still and
disturbed water were measured against it. The rest are carried as a band, and the readings decide.
"""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum

from stations.trade.errors import OutOfRange, within
from stations.trade.measures import MPS_PER_MPH, kelvin
from stations.trade.sources import Source, Trust
from stations.trade.water import Air, humidity_ratio, latent_heat_j_kg, saturation_pressure_pa

W_M2_PER_BTU_H_FT2 = 3.154590745
PA_PER_INHG = 3386.389
_POOL_UNIT = W_M2_PER_BTU_H_FT2 / PA_PER_INHG
_M_S_PER_FT_MIN = 0.00508


class Evaporation(StrEnum):
    """The formula that says how fast open water evaporates."""

    CARRIER = "carrier"
    DOE_POOL = "doe_pool"
    DRYING = "drying"
    RYAN_HARLEMAN = "ryan_harleman"

    @property
    def source(self) -> Source:
        """Where the formula was read."""
        return _SOURCES[self]


_SOURCES = {
    Evaporation.CARRIER: Source(
        title="ASHRAE Transactions 104(1A), 1998, evaporation from swimming pools",
        place="W = (95 + 0.425 v)(pw - pa)/Y",
        trust=Trust.PUBLISHED,
    ),
    Evaporation.DOE_POOL: Source(
        title="US DOE pool study as quoted by engineers' forums",
        place="95 + 37.4 V replaced by 68 + 32 V, V in mile/h",
        trust=Trust.PUBLISHED,
    ),
    Evaporation.DRYING: Source(
        title="Engineering ToolBox, evaporation from water surfaces",
        place="g = (25 + 19 v)(xs - x)",
        trust=Trust.PUBLISHED,
    ),
    # The coefficients were read; that the pressures are in hPa is from memory.
    Evaporation.RYAN_HARLEMAN: Source(
        title="Ryan and Harleman, as in LakeIsodrology",
        place="(2.7 dTv^(1/3) + 3.1 U)(es - ea)",
        trust=Trust.MEMORY,
    ),
}


class Stir(StrEnum):
    """How much the water's surface is disturbed."""

    STILL = "still"
    ORDINARY = "ordinary"
    DISTURBED = "disturbed"

    @property
    def factor(self) -> float:
        """Evaporation against the Carrier formula.

        Source: ASHRAE Transactions 104(1A), 1998, abstract (published): undisturbed 74 %, with
        15 to 20 swimmers to 1,000 ft2 126 %. That a rolled hog is like swimmers is a judgement.
        """
        return {Stir.STILL: 0.74, Stir.ORDINARY: 1.0, Stir.DISTURBED: 1.26}[self]


def carrier_w_m2_pa(wind_m_s: float) -> float:
    """Latent heat per Pa of vapour pressure difference: 0.0885 + 0.0779 V, W/(m2 Pa).

    Exactly 95 + 0.425 v Btu/(h ft2 inHg), v in ft/min, in SI. ``wind_m_s`` 0 to 10 m/s.

    >>> round(carrier_w_m2_pa(2.0), 4)
    0.2444

    Source: ASHRAE Transactions 104(1A), 1998 (published).
    """
    within("wind", wind_m_s, low=0.0, high=10.0, unit="m/s", rule="Carrier evaporation")
    return (95.0 + 0.425 * wind_m_s / _M_S_PER_FT_MIN) * _POOL_UNIT


def _carrier(water_c: float, air: Air) -> float:
    return carrier_w_m2_pa(air.wind_m_s) * (saturation_pressure_pa(water_c) - air.vapour_pa)


def _doe_pool(water_c: float, air: Air) -> float:
    per_pa = (68.0 + 32.0 * air.wind_m_s / MPS_PER_MPH) * _POOL_UNIT
    return per_pa * (saturation_pressure_pa(water_c) - air.vapour_pa)


def _drying(water_c: float, air: Air) -> float:
    xs = humidity_ratio(saturation_pressure_pa(water_c), air.pressure_pa)
    x = humidity_ratio(air.vapour_pa, air.pressure_pa)
    return (25.0 + 19.0 * air.wind_m_s) * (xs - x) / 3600.0 * latent_heat_j_kg(water_c)


def _virtual_k(temp_c: float, vapour_pa: float, pressure_pa: float) -> float:
    return kelvin(celsius=temp_c) / (1.0 - 0.378 * vapour_pa / pressure_pa)


def _ryan_harleman(water_c: float, air: Air) -> float:
    es, ea = saturation_pressure_pa(water_c), air.vapour_pa
    within(
        "vapour pressure", es, low=0.0, high=air.pressure_pa / 2, unit="Pa", rule="Ryan-Harleman"
    )
    rise = _virtual_k(water_c, es, air.pressure_pa) - _virtual_k(air.temp_c, ea, air.pressure_pa)
    return float(2.7 * max(rise, 0.0) ** (1 / 3) + 3.1 * air.wind_m_s) * (es - ea) / 100.0


_FORMULAS: dict[Evaporation, Callable[[float, Air], float]] = {
    Evaporation.CARRIER: _carrier,
    Evaporation.DOE_POOL: _doe_pool,
    Evaporation.DRYING: _drying,
    Evaporation.RYAN_HARLEMAN: _ryan_harleman,
}


def evaporation_w_m2(
    water_c: float, air: Air, *, formula: Evaporation = Evaporation.CARRIER
) -> float:
    """Heat leaving a square metre of open water as vapour, in W/m2; never below zero.

    Carrier: q = (0.0885 + 0.0779 V)(p_w - p_a). ``water_c`` 0.5 degC to the boiling point here;
    DRYING and RYAN_HARLEMAN refuse water whose vapour pressure passes half the air's. Water colder
    than the dew point would gain heat by condensing; that gain is not counted.
    Raises OutOfRange outside.

    >>> round(evaporation_w_m2(62.8, Air(temp_c=10.0, humidity=0.6, wind_m_s=2.0)))
    5362

    Source: the formula's own, see ``Evaporation.source``.
    """
    within(
        "water temperature", water_c, low=0.5, high=air.boils_at_c, unit="degC", rule="open vessel"
    )
    return max(0.0, _FORMULAS[formula](water_c, air))


def evaporation_kg_m2_s(
    water_c: float, air: Air, *, formula: Evaporation = Evaporation.CARRIER
) -> float:
    """Water leaving a square metre as vapour, W = q / h_fg, in kg/(m2 s).

    Arguments, range and refusals as for :func:`evaporation_w_m2`.

    >>> air = Air(temp_c=10.0, humidity=0.6)
    >>> round(3600 * evaporation_kg_m2_s(62.8, air), 2)
    2.97

    Source: the formula's own, see ``Evaporation.source``.
    """
    return evaporation_w_m2(water_c, air, formula=formula) / latent_heat_j_kg(water_c)


def evaporation_band_w_m2(water_c: float, air: Air) -> tuple[float, float]:
    """The least and most that the formulas covering this heat give, in W/m2.

    ``water_c`` 0.5 degC to the boiling point; raises OutOfRange outside.

    >>> low, high = evaporation_band_w_m2(62.8, Air(temp_c=10.0, humidity=0.6, wind_m_s=2.0))
    >>> round(low), round(high)
    (3945, 7190)

    Source: all four formulas above; a value from memory only widens the band.
    """
    found = [evaporation_w_m2(water_c, air)]
    for formula in Evaporation:
        try:
            found.append(evaporation_w_m2(water_c, air, formula=formula))
        except OutOfRange:  # this formula does not reach so hot; the others still bound it
            continue
    return min(found), max(found)
