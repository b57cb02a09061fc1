"""What burns under the water: heating values, and how much of the heat gets in."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from stations.trade.errors import within
from stations.trade.measures import KG_PER_LB, M3_PER_GAL
from stations.trade.sources import PRACTICE, Source, Trust

J_PER_BTU = 1055.05585262


class Fuel(StrEnum):
    """What is burnt."""

    PROPANE = "propane"
    WOOD = "wood"


@dataclass(frozen=True, slots=True, kw_only=True)
class FuelFacts:
    """Gross heat of a fuel with its spread (J/kg), and the shares of it that reach the water."""

    heat_j_kg: float
    heat_low_j_kg: float
    heat_high_j_kg: float
    source: Source
    efficiency: float
    efficiency_in_wind: float
    efficiency_low: float
    efficiency_high: float
    efficiency_source: Source


def _j_kg(btu_lb: float) -> float:
    return btu_lb * J_PER_BTU / KG_PER_LB


FUELS = {
    Fuel.PROPANE: FuelFacts(
        heat_j_kg=_j_kg(21_548),
        heat_low_j_kg=_j_kg(21_548),
        heat_high_j_kg=_j_kg(21_638),  # computed by the chemicals library
        source=Source(
            title="commercial propane table",
            place="gross after vaporization, 21,548 Btu/lb",
            trust=Trust.PUBLISHED,
        ),
        # No burner under a trough was found measured; a hob under an open pan is about 0.42.
        efficiency=0.40,
        efficiency_in_wind=0.22,
        efficiency_low=0.15,
        efficiency_high=0.55,
        efficiency_source=PRACTICE,
    ),
    Fuel.WOOD: FuelFacts(
        heat_j_kg=_j_kg(7_000),
        heat_low_j_kg=_j_kg(6_200),
        heat_high_j_kg=_j_kg(7_167),
        source=Source(
            title="daviddarling.info, fuel wood",
            place="20 % moisture, about 7,000 Btu/lb",
            trust=Trust.PUBLISHED,
        ),
        efficiency=0.12,
        efficiency_in_wind=0.08,
        efficiency_low=0.05,
        efficiency_high=0.25,
        efficiency_source=Source(
            title="Low-tech Lab wiki, open fire", place="5 to 25 %", trust=Trust.PUBLISHED
        ),
    ),
}
PROPANE_KG_M3 = 91_502 / 21_548 * KG_PER_LB / M3_PER_GAL  # both from the same table


@dataclass(frozen=True, slots=True, kw_only=True)
class Fire:
    """A burner or fire: what it burns, how hard (W of fuel, gross), the share that gets in.

    ``rated_w`` 100 W to 1 MW; ``efficiency`` 0.02 to 0.9, the user's to change. The sides' loss is
    counted apart, so the share is of heat into the vessel, not of heat left in the water.

    >>> round(Fire(fuel=Fuel.PROPANE, rated_w=30_000.0, efficiency=0.4).useful_w)
    12000
    """

    fuel: Fuel
    rated_w: float
    efficiency: float

    def __post_init__(self) -> None:
        within("fire", self.rated_w, low=100.0, high=1e6, unit="W", rule="fire")
        within("efficiency", self.efficiency, low=0.02, high=0.9, unit="of 1", rule="fire")

    @property
    def useful_w(self) -> float:
        """Heat into the vessel."""
        return self.rated_w * self.efficiency


def fire_of(fuel: Fuel, *, rated_w: float, sheltered: bool = True) -> Fire:
    """A fire with the usual share for its fuel: out of the wind, or in it.

    ``rated_w`` 100 W to 1 MW; otherwise raises OutOfRange.

    >>> fire_of(Fuel.WOOD, rated_w=60_000.0).efficiency
    0.12

    Source: ranges in ``FUELS``; the defaults inside them are a judgement.
    """
    facts = FUELS[fuel]
    share = facts.efficiency if sheltered else facts.efficiency_in_wind
    return Fire(fuel=fuel, rated_w=rated_w, efficiency=share)


def fuel_kg(fuel: Fuel, *, water_heat_j: float, efficiency: float) -> float:
    """Fuel that puts a heat into the water, m = Q / (efficiency x heating value), in kg.

    ``water_heat_j`` 0 to 1e11 J, ``efficiency`` 0.02 to 0.9; otherwise raises OutOfRange.

    >>> from stations.trade.measures import pounds
    >>> round(pounds(kilograms=fuel_kg(Fuel.PROPANE, water_heat_j=75.59e6, efficiency=0.40)), 2)
    8.31

    Source: heating values in ``FUELS`` (published).
    """
    within("heat", water_heat_j, low=0.0, high=1e11, unit="J", rule="fuel")
    within("efficiency", efficiency, low=0.02, high=0.9, unit="of 1", rule="fuel")
    return water_heat_j / (efficiency * FUELS[fuel].heat_j_kg)
