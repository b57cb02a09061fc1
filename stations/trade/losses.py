"""What an open vessel gives away: vapour, convection, radiation, sides, with or without a lid."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from stations.trade.errors import OutOfRange, within
from stations.trade.evaporation import Evaporation, Stir, carrier_w_m2_pa, evaporation_w_m2
from stations.trade.measures import kelvin
from stations.trade.vessels import Vessel
from stations.trade.water import (
    STANDARD_PRESSURE_PA,
    Air,
    dry_air,
    enthalpy_j_kg,
    latent_heat_j_kg,
    water,
)

STEFAN_BOLTZMANN = 5.670374419e-8
WATER_EMISSIVITY = 0.95
VAPOUR_TO_AIR = 0.621945
GRAVITY = 9.80665
_STEP_C = 0.5


def natural_convection_w_m2_k(surface_c: float, air: Air, *, plate_m: float) -> float:
    """Still-air heat transfer above a hot level surface, h = Nu k / L, in W/(m2 K).

    Nu = 0.54 Ra^(1/4) to Ra = 1e7, then 0.15 Ra^(1/3), L = area/perimeter, properties at the mean
    temperature. ``surface_c`` 0 to 105 degC, ``plate_m`` 0.005 to 2 m; otherwise raises OutOfRange.
    A surface no warmer than the air starts no draught: 0.

    >>> air = Air(temp_c=10.0, humidity=0.6)
    >>> round(natural_convection_w_m2_k(62.8, air, plate_m=0.2685), 1)
    6.6

    Source: McAdams, Heat Transmission, 3rd ed. (published).
    """
    within("surface temperature", surface_c, low=0.0, high=105.0, unit="degC", rule="convection")
    within("plate length", plate_m, low=0.005, high=2.0, unit="m", rule="convection")
    rise = surface_c - air.temp_c
    if rise <= 0.0:
        return 0.0
    film, dry = (surface_c + air.temp_c) / 2, dry_air()
    k, mu, cp = (
        dry.conductivity_w_m_k.at(film),
        dry.viscosity_pa_s.at(film),
        dry.heat_j_kg_k.at(film),
    )
    nu = mu / (dry.density_kg_m3.at(film) * air.pressure_pa / STANDARD_PRESSURE_PA)
    Gr = GRAVITY / kelvin(celsius=film) * rise * plate_m**3 / nu**2
    Ra = Gr * cp * mu / k
    Nu = 0.54 * Ra**0.25 if Ra <= 1e7 else 0.15 * Ra ** (1 / 3)
    return float(Nu * k / plate_m)


def wind_convection_w_m2_k(surface_c: float, air: Air) -> float:
    """Heat transfer that goes with the Carrier evaporation, by Bowen's ratio, in W/(m2 K).

    h = (0.0885 + 0.0779 V) x cp p / (0.622 h_fg): vapour and heat ride the same air.
    ``surface_c`` 0.5 to 101 degC; otherwise raises OutOfRange.

    >>> air = Air(temp_c=10.0, humidity=0.6, wind_m_s=2.0)
    >>> round(wind_convection_w_m2_k(62.8, air), 1)
    17.0

    Source: psychrometric constant from CoolProp and PsychroLib (computed); FAO-56 prints
    0.665e-3 p for it at everyday temperatures (from memory).
    """
    heat = dry_air().heat_j_kg_k.at(air.temp_c)
    gamma = heat * air.pressure_pa / (VAPOUR_TO_AIR * latent_heat_j_kg(surface_c))
    return carrier_w_m2_pa(air.wind_m_s) * gamma


def radiation_w_m2(
    surface_c: float, *, surroundings_c: float, emissivity: float = WATER_EMISSIVITY
) -> float:
    """Heat radiated to the surroundings, q = e s (T1^4 - T2^4), in W/m2.

    Temperatures -60 to 200 degC, ``emissivity`` 0 to 1; otherwise raises OutOfRange. A clear night
    sky is colder than the air and takes more.

    >>> round(radiation_w_m2(62.8, surroundings_c=10.0), 2)
    339.91

    Source: Stefan-Boltzmann law, CODATA constant (published).
    """
    for temp in (surface_c, surroundings_c):
        within("temperature", temp, low=-60.0, high=200.0, unit="degC", rule="radiation")
    within("emissivity", emissivity, low=0.0, high=1.0, unit="of 1", rule="radiation")
    hot, cold = kelvin(celsius=surface_c), kelvin(celsius=surroundings_c)
    return float(emissivity * STEFAN_BOLTZMANN * (hot**4 - cold**4))


def convection_w_m2(surface_c: float, air: Air, *, plate_m: float) -> float:
    """Sensible heat leaving a level surface: the stronger of still-air and wind transfer, in W/m2.

    Negative when the air is warmer. Ranges and refusals of the two functions above.

    >>> round(convection_w_m2(62.8, Air(temp_c=10.0, humidity=0.6), plate_m=0.2685))
    348

    Source: McAdams, and Bowen's ratio with Carrier (published, computed).
    """
    natural = natural_convection_w_m2_k(surface_c, air, plate_m=plate_m)
    return max(natural, wind_convection_w_m2_k(surface_c, air)) * (surface_c - air.temp_c)


def dry_surface_w_m2(
    surface_c: float, air: Air, *, plate_m: float, resistance_m2_k_w: float = 0.0
) -> float:
    """Heat through a dry wall or lid at the water's heat behind it, in W/m2.

    q = (T - Ta)/(R + 1/h), h of convection and radiation together at the water's temperature (a
    little too much when R is large, so a lid is never flattered). ``resistance_m2_k_w`` 0 to 5;
    otherwise raises OutOfRange.

    >>> air = Air(temp_c=10.0, humidity=0.6)
    >>> round(dry_surface_w_m2(62.8, air, plate_m=0.2685, resistance_m2_k_w=0.15))
    233

    Source: resistances in series (computed).
    """
    within("resistance", resistance_m2_k_w, low=0.0, high=5.0, unit="m2 K/W", rule="wall or lid")
    bare = convection_w_m2(surface_c, air, plate_m=plate_m)
    bare += radiation_w_m2(surface_c, surroundings_c=air.temp_c)
    rise = surface_c - air.temp_c
    if abs(rise) < 1e-9:
        return 0.0
    return rise / (resistance_m2_k_w + rise / bare)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lid:
    """A lid: the share of the surface it covers, 0 to 1, and its resistance, 0 to 5 m2 K/W.

    Vapour under it condenses and drips back. A board of 18 mm at 0.12 W/m K is 0.15 (from memory);
    that it covers nine tenths is a judgement, the gaps being open water.
    """

    covers: float = 0.9
    resistance_m2_k_w: float = 0.15

    def __post_init__(self) -> None:
        within("covered share", self.covers, low=0.0, high=1.0, unit="of 1", rule="lid")
        within("resistance", self.resistance_m2_k_w, low=0.0, high=5.0, unit="m2 K/W", rule="lid")


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposure:
    """How the water lies open: the air, a lid or none, its stir, the formula, a fitted factor.

    ``factor`` 0.1 to 5 multiplies evaporation: 1 until readings say otherwise.
    """

    air: Air
    lid: Lid | None = None
    stir: Stir = Stir.ORDINARY
    formula: Evaporation = Evaporation.CARRIER
    factor: float = 1.0

    def __post_init__(self) -> None:
        within("evaporation factor", self.factor, low=0.1, high=5.0, unit="of 1", rule="exposure")


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """Losses and water properties at one temperature: W, kg/s, W, J/kg, J/(kg K), J/kg."""

    dry_w: float
    vapour_kg_s: float
    latent_w: float
    enthalpy_j_kg: float
    heat_j_kg_k: float

    @property
    def total_w(self) -> float:
        """Everything that cools the water."""
        return self.dry_w + self.latent_w


@dataclass(frozen=True, slots=True, kw_only=True)
class LossCurve:
    """Losses of one vessel in one exposure, on a grid of water temperatures.

    A row is (dry W, vapour kg/s, latent W, enthalpy J/kg, specific heat J/kg K).
    """

    low: float
    step: float
    rows: tuple[tuple[float, float, float, float, float], ...]

    @property
    def high(self) -> float:
        """The hottest water the curve covers: the boiling point, or the formula's limit."""
        return self.low + self.step * (len(self.rows) - 1)

    def row(self, water_c: float) -> tuple[float, float, float, float, float]:
        """The row at a temperature; raises OutOfRange off the grid."""
        place = (water_c - self.low) / self.step
        if not 0.0 <= place <= len(self.rows) - 1:
            raise OutOfRange(
                "water temperature",
                got=water_c,
                low=self.low,
                high=self.high,
                unit="degC",
                rule="open vessel",
            )
        i = min(int(place), len(self.rows) - 2)
        f = place - i
        a, b = self.rows[i], self.rows[i + 1]
        g = 1.0 - f
        return (
            g * a[0] + f * b[0],
            g * a[1] + f * b[1],
            g * a[2] + f * b[2],
            g * a[3] + f * b[3],
            g * a[4] + f * b[4],
        )

    def at(self, water_c: float) -> Loss:
        """The losses at a temperature, by name; raises OutOfRange off the grid."""
        dry, vapour, latent, enthalpy, heat = self.row(water_c)
        return Loss(
            dry_w=dry,
            vapour_kg_s=vapour,
            latent_w=latent,
            enthalpy_j_kg=enthalpy,
            heat_j_kg_k=heat,
        )


def losses_at(vessel: Vessel, exposure: Exposure, water_c: float) -> Loss:
    """Heat and vapour leaving a vessel at one water temperature.

    Open share: evaporation x stir x factor, convection, radiation. Lidded share and sides: dry.
    ``water_c`` 0.5 degC to boiling; otherwise raises OutOfRange.

    >>> from stations.trade.vessels import open_trough
    >>> air = Air(temp_c=10.0, humidity=0.6, wind_m_s=2.0)
    >>> trough = open_trough(length_m=1.83, width_m=0.76, depth_m=0.6)
    >>> round(losses_at(trough, Exposure(air=air), 62.8).total_w / 1000, 1)
    11.7

    Source: the functions above.
    """
    air, plate = exposure.air, vessel.plate_m
    latent = latent_heat_j_kg(water_c)
    shut = exposure.lid.covers if exposure.lid else 0.0
    bare_m2, shut_m2 = vessel.surface_m2 * (1 - shut), vessel.surface_m2 * shut
    vapour = evaporation_w_m2(water_c, air, formula=exposure.formula)
    vapour_w = vapour * bare_m2 * exposure.stir.factor * exposure.factor
    dry = bare_m2 * convection_w_m2(water_c, air, plate_m=plate)
    dry += bare_m2 * radiation_w_m2(water_c, surroundings_c=air.temp_c)
    if exposure.lid:
        over = exposure.lid.resistance_m2_k_w
        dry += shut_m2 * dry_surface_w_m2(water_c, air, plate_m=plate, resistance_m2_k_w=over)
    side = vessel.wall.resistance_m2_k_w
    dry += vessel.side_m2 * dry_surface_w_m2(water_c, air, plate_m=plate, resistance_m2_k_w=side)
    return Loss(
        dry_w=dry,
        vapour_kg_s=vapour_w / latent,
        latent_w=vapour_w,
        enthalpy_j_kg=enthalpy_j_kg(water_c),
        heat_j_kg_k=water().heat_j_kg_k.at(water_c),
    )


@lru_cache(maxsize=256)
def loss_curve(vessel: Vessel, exposure: Exposure) -> LossCurve:
    """The losses on a half-degree grid up to boiling, or as far as the formula reaches; cached.

    Raises OutOfRange only through values the vessel or the exposure already refused.

    >>> from stations.trade.vessels import FARM_VAT
    >>> curve = loss_curve(FARM_VAT, Exposure(air=Air(temp_c=10.0, humidity=0.6)))
    >>> curve.at(60.0).total_w < curve.at(70.0).total_w
    True

    Source: :func:`losses_at`.
    """
    boils = exposure.air.boils_at_c
    steps = int((boils - _STEP_C) / _STEP_C)
    spacing = (boils - _STEP_C) / steps
    rows: list[tuple[float, float, float, float, float]] = []
    for i in range(steps + 1):
        temp = min(_STEP_C + i * spacing, boils)
        try:
            loss = losses_at(vessel, exposure, temp)
        except OutOfRange:  # the formula's own limit: the curve ends here and says so when asked
            break
        rows.append(
            (loss.dry_w, loss.vapour_kg_s, loss.latent_w, loss.enthalpy_j_kg, loss.heat_j_kg_k)
        )
    return LossCurve(low=_STEP_C, step=spacing, rows=tuple(rows))
