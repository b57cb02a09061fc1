"""Water, steam and dry air read off fine grids; moist air from PsychroLib (ASHRAE).

The grids in ``data/`` are what CoolProp (IAPWS-95 water, reference-quality air) answers: it takes
seconds to load, which no phone at the trough should wait for. ``test_property_grids.py`` asks it
for every number again, and writes the files anew when run as a module. A property costs about a
microsecond, so a curve of a few hundred steps takes milliseconds. Nothing here is a hand-typed fit.
"""

from __future__ import annotations

import csv
import math
from bisect import bisect_left
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import psychrolib  # type: ignore[import-untyped]  # ships no type stubs

from stations.trade.errors import OutOfRange, within
from stations.trade.sources import Source, Trust

IAPWS_95 = Source(
    title="IAPWS-95 formulation of water and steam", place="as CoolProp", trust=Trust.PUBLISHED
)
ASHRAE_MOIST_AIR = Source(
    title="ASHRAE Handbook of Fundamentals 2017",
    place="ch. 1, as PsychroLib",
    trust=Trust.PUBLISHED,
)
STANDARD_PRESSURE_PA = 101_325.0
LOWEST_WATER_C, HIGHEST_WATER_C = 0.5, 101.0
DATA = Path(__file__).parent / "data"

psychrolib.SetUnitSystem(psychrolib.SI)


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Values at even steps of a temperature, read between them by straight lines.

    >>> Grid(quantity="air", low=0.0, step=10.0, values=(1.0, 2.0, 4.0)).at(15.0)
    3.0
    """

    quantity: str
    low: float
    step: float
    values: tuple[float, ...]

    @property
    def high(self) -> float:
        """The last temperature on the grid."""
        return self.low + self.step * (len(self.values) - 1)

    def at(self, temp_c: float) -> float:
        """The value at a temperature; raises OutOfRange off the grid (NaN too)."""
        place = (temp_c - self.low) / self.step
        if not 0.0 <= place <= len(self.values) - 1:
            raise OutOfRange(
                f"{self.quantity} temperature",
                got=temp_c,
                low=self.low,
                high=self.high,
                unit="degC",
                rule="property grid",
            )
        i = min(int(place), len(self.values) - 2)
        left = self.values[i]
        return left + (place - i) * (self.values[i + 1] - left)


@dataclass(frozen=True, slots=True, kw_only=True)
class Water:
    """The grids of water: saturation pressure, density, enthalpy, specific and latent heat."""

    saturation_pa: Grid
    density_kg_m3: Grid
    enthalpy_j_kg: Grid
    heat_j_kg_k: Grid
    latent_j_kg: Grid


def _grids(name: str) -> dict[str, Grid]:
    """The columns of a file of ``data/``, each over the temperatures of its first column."""
    with (DATA / f"{name}.csv").open(newline="") as file:
        head, *rows = csv.reader(file)
    columns = [[float(word) for word in column] for column in zip(*rows, strict=True)]
    low, high = columns[0][0], columns[0][-1]
    step = (high - low) / (len(rows) - 1)
    return {
        column: Grid(quantity=name, low=low, step=step, values=tuple(values))
        for column, values in zip(head[1:], columns[1:], strict=True)
    }


@cache
def water() -> Water:
    """The water grids: 0.5 to 101 degC at 1 atm (saturated above 99.97), read from the file once.

    >>> round(water().heat_j_kg_k.at(60.0), 1)
    4185.0

    Source: IAPWS-95 as CoolProp (published).
    """
    return Water(**_grids("water"))


def saturation_pressure_pa(water_c: float) -> float:
    """Pressure of water vapour in equilibrium with liquid water, p_sat(T), in Pa.

    ``water_c`` in degC, 0.5 to 101; otherwise raises OutOfRange.

    >>> round(saturation_pressure_pa(60.0))
    19946

    Source: IAPWS-95 as CoolProp (published).
    """
    return water().saturation_pa.at(water_c)


def density_kg_m3(water_c: float) -> float:
    """Density of liquid water in kg/m3 at 0.5 to 101 degC; otherwise raises OutOfRange.

    >>> round(density_kg_m3(62.8), 1)
    981.7

    Source: IAPWS-95 as CoolProp (published).
    """
    return water().density_kg_m3.at(water_c)


def enthalpy_j_kg(water_c: float) -> float:
    """Enthalpy of liquid water above its triple point, h(T), in J/kg.

    ``water_c`` in degC, 0.5 to 101; otherwise raises OutOfRange.

    >>> round((enthalpy_j_kg(62.8) - enthalpy_j_kg(15.0)) / 1000, 1)
    199.9

    Source: IAPWS-95 as CoolProp (published).
    """
    return water().enthalpy_j_kg.at(water_c)


def latent_heat_j_kg(water_c: float) -> float:
    """Heat to turn liquid into vapour at the same temperature, h_fg(T), in J/kg.

    ``water_c`` in degC, 0.5 to 101; otherwise raises OutOfRange.

    >>> round(latent_heat_j_kg(60.0) / 1000, 1)
    2357.7

    Source: IAPWS-95 as CoolProp (published).
    """
    return water().latent_j_kg.at(water_c)


def pressure_at_altitude_pa(altitude_m: float) -> float:
    """Standard air pressure at an altitude, p = 101325 (1 - 2.25577e-5 z)^5.2559, in Pa.

    ``altitude_m`` in m above sea level, -100 to 4000; otherwise raises OutOfRange. Weather moves
    the real pressure by about 3 %, and so the boiling point by about 0.8 K.

    >>> round(pressure_at_altitude_pa(1524.0))
    84307

    Source: ASHRAE Fundamentals 2017, ch. 1 eq. 3, as PsychroLib (published).
    """
    within("altitude", altitude_m, low=-100.0, high=4000.0, unit="m", rule="standard atmosphere")
    return float(psychrolib.GetStandardAtmPressure(altitude_m))


@cache
def boiling_point_c(altitude_m: float) -> float:
    """Where water boils at an altitude in standard weather: p_sat(T) = p(z), in degC.

    ``altitude_m`` in m, -100 to 4000; otherwise raises OutOfRange.

    >>> round(boiling_point_c(1524.0), 1)
    94.9

    Source: ASHRAE standard atmosphere and IAPWS-95 (published).
    """
    pressure, grid = pressure_at_altitude_pa(altitude_m), water().saturation_pa
    above = bisect_left(grid.values, pressure)
    low, high = (math.log(grid.values[i]) for i in (above - 1, above))  # nearly straight in T
    return grid.low + grid.step * (above - 1 + (math.log(pressure) - low) / (high - low))


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """The air over the trough: temperature, humidity, wind at the water, altitude.

    ``temp_c`` -30 to 45 degC, ``humidity`` 0 to 1, ``wind_m_s`` 0 to 10 m/s at the water's surface
    (a screen or a barn makes it far less than the forecast), ``altitude_m`` -100 to 4000 m.

    >>> round(Air(temp_c=10.0, humidity=0.6).vapour_pa, 1)
    736.8
    """

    temp_c: float
    humidity: float
    wind_m_s: float = 0.0
    altitude_m: float = 0.0

    def __post_init__(self) -> None:
        rule = "open vessel"
        within("air temperature", self.temp_c, low=-30.0, high=45.0, unit="degC", rule=rule)
        within("relative humidity", self.humidity, low=0.0, high=1.0, unit="of 1", rule=rule)
        within("wind at the water", self.wind_m_s, low=0.0, high=10.0, unit="m/s", rule=rule)
        pressure_at_altitude_pa(self.altitude_m)

    @property
    def pressure_pa(self) -> float:
        """Standard pressure at this altitude."""
        return pressure_at_altitude_pa(self.altitude_m)

    @property
    def vapour_pa(self) -> float:
        """Partial pressure of water vapour in this air (PsychroLib)."""
        return float(psychrolib.GetVapPresFromRelHum(self.temp_c, self.humidity))

    @property
    def boils_at_c(self) -> float:
        """Boiling point of water here."""
        return boiling_point_c(self.altitude_m)


def humidity_ratio(vapour_pa: float, pressure_pa: float) -> float:
    """Kilograms of vapour to a kilogram of dry air, x = 0.622 p_w / (p - p_w).

    ``vapour_pa`` in Pa from 0 to half of ``pressure_pa``; beyond that x runs away and OutOfRange is
    raised.

    >>> round(humidity_ratio(736.8, 101_325.0), 5)
    0.00456

    Source: ASHRAE Fundamentals 2017, ch. 1 eq. 20, as PsychroLib (published).
    """
    within(
        "vapour pressure",
        vapour_pa,
        low=0.0,
        high=pressure_pa / 2,
        unit="Pa",
        rule="humidity ratio",
    )
    return float(psychrolib.GetHumRatioFromVapPres(vapour_pa, pressure_pa))


@dataclass(frozen=True, slots=True, kw_only=True)
class DryAir:
    """The grids of dry air at one atmosphere: conductivity, viscosity, density, specific heat."""

    conductivity_w_m_k: Grid
    viscosity_pa_s: Grid
    density_kg_m3: Grid
    heat_j_kg_k: Grid


@cache
def dry_air() -> DryAir:
    """The dry-air grids: -40 to 110 degC at 1 atm, read from the file once.

    >>> round(dry_air().conductivity_w_m_k.at(36.4), 4)
    0.0271

    Source: Lemmon et al. 2000 and 2004, as CoolProp (published).
    """
    return DryAir(**_grids("air"))
