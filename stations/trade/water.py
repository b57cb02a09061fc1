"""Water, steam and moist air from the libraries, looked up once and then read off a fine grid.

CoolProp (IAPWS-95 water, reference-quality air) and PsychroLib (ASHRAE moist air) are asked when a
grid is first needed; after that a property costs about a microsecond, so a curve of a few hundred
steps takes milliseconds. Nothing here is a hand-typed fit.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
import psychrolib  # type: ignore[import-untyped]  # ships no type stubs
from numpy.typing import NDArray

from stations.trade.errors import OutOfRange, within
from stations.trade.measures import kelvin
from stations.trade.sources import Source, Trust

if TYPE_CHECKING:
    from scipy.interpolate import CubicSpline

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
_BOILS_AT_SEA_LEVEL_C = 99.97

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


def _ask(what: str, *state: Any) -> NDArray[np.float64]:
    # CoolProp takes seconds to load, which a command that asks nothing of water need not wait for.
    from CoolProp.CoolProp import PropsSI

    return np.asarray(PropsSI(what, *state), dtype=np.float64)


def _water_at(what: str, temps_k: NDArray[np.float64], **state: float) -> NDArray[np.float64]:
    [(name, value)] = state.items()
    return _ask(what, "T", temps_k, name, value, "Water")


def _through(temps: NDArray[np.float64], values: NDArray[np.float64]) -> CubicSpline:
    from scipy.interpolate import CubicSpline  # slow to load, as above

    return CubicSpline(temps, values)


@cache
def water() -> Water:
    """The water grids, asked of CoolProp once: 0.5 to 101 degC at 1 atm (saturated above 99.97).

    >>> round(water().heat_j_kg_k.at(60.0), 1)
    4185.0

    Source: IAPWS-95 as CoolProp (published).
    """
    coarse = np.linspace(kelvin(celsius=LOWEST_WATER_C), kelvin(celsius=HIGHEST_WATER_C), 202)
    fine_c = np.linspace(LOWEST_WATER_C, HIGHEST_WATER_C, 2011)
    fine = fine_c + 273.15
    cool = coarse <= kelvin(celsius=_BOILS_AT_SEA_LEVEL_C)

    def liquid(what: str) -> CubicSpline:
        under = _water_at(what, coarse[cool], P=STANDARD_PRESSURE_PA)
        over = _water_at(what, coarse[~cool], Q=0)
        return _through(coarse, np.concatenate([under, over]))

    enthalpy = liquid("H")
    latent = _water_at("H", coarse, Q=1) - _water_at("H", coarse, Q=0)
    saturation = np.log(_water_at("P", coarse, Q=0))  # nearly straight, so a spline holds it well

    def grid(values: NDArray[np.float64]) -> Grid:
        return Grid(
            quantity="water",
            low=LOWEST_WATER_C,
            step=float(fine_c[1] - fine_c[0]),
            values=tuple(float(value) for value in values),
        )

    return Water(
        saturation_pa=grid(np.exp(_through(coarse, saturation)(fine))),
        density_kg_m3=grid(liquid("D")(fine)),
        enthalpy_j_kg=grid(enthalpy(fine)),
        heat_j_kg_k=grid(enthalpy.derivative()(fine)),
        latent_j_kg=grid(_through(coarse, latent)(fine)),
    )


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
    pressure = pressure_at_altitude_pa(altitude_m)
    return float(_ask("T", "P", pressure, "Q", 0, "Water")) - 273.15


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
    """The dry-air grids, asked of CoolProp once: -40 to 110 degC at 1 atm.

    >>> round(dry_air().conductivity_w_m_k.at(36.4), 4)
    0.0271

    Source: Lemmon et al. 2000 and 2004, as CoolProp (published).
    """
    temps_c = np.linspace(-40.0, 110.0, 151)

    def grid(what: str) -> Grid:
        found = _ask(what, "T", temps_c + 273.15, "P", STANDARD_PRESSURE_PA, "Air")
        return Grid(quantity="air", low=-40.0, step=1.0, values=tuple(float(v) for v in found))

    return DryAir(
        conductivity_w_m_k=grid("L"),
        viscosity_pa_s=grid("V"),
        density_kg_m3=grid("D"),
        heat_j_kg_k=grid("C"),
    )
