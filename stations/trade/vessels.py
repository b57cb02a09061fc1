"""What the water is held in: trough, tipped barrel, kettles; and how much water a hog needs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import assert_never

from stations.trade.errors import OutOfRange, within
from stations.trade.hide import Hog
from stations.trade.measures import M_PER_FT
from stations.trade.sources import Source, Trust
from stations.trade.water import density_kg_m3

MARGIN_M = 0.05
"""Water wanted above a covered hog, and below the brim: a hand's breadth (common practice)."""


class Method(StrEnum):
    """How the hog and the hot water are brought together."""

    OPEN_TROUGH = "open_trough"
    TIPPED_BARREL = "tipped_barrel"
    POUR_OVER = "pour_over"


class Wall(StrEnum):
    """What the vessel is made of."""

    SHEET_STEEL = "sheet_steel"
    WOOD = "wood"

    @property
    def heat_j_kg_k(self) -> float:
        """Specific heat, J/kg K (from memory; a wall is one or two hundredths of the whole)."""
        return {Wall.SHEET_STEEL: 490.0, Wall.WOOD: 1700.0}[self]

    @property
    def resistance_m2_k_w(self) -> float:
        """Thermal resistance: bare sheet none; 38 mm plank at 0.12 W/m K (from memory)."""
        return {Wall.SHEET_STEEL: 0.0, Wall.WOOD: 0.32}[self]


class Cover(StrEnum):
    """How much of the hog lies under water at once."""

    WHOLE = "whole"
    HALF = "half"

    @property
    def share(self) -> float:
        """Share of the skin under water at any moment."""
        return {Cover.WHOLE: 1.0, Cover.HALF: 0.5}[self]


@dataclass(frozen=True, slots=True, kw_only=True)
class Vessel:
    """An open vessel of water: its shape, its wall, what it can hold.

    ``surface_m2`` 0.02 to 10 m2 open to the air, ``perimeter_m`` of that surface, ``side_m2`` of
    wetted side, ``wall_kg`` 0 to 2000 kg, ``brim_m3`` 0.005 to 10 m3, ``length_m`` and ``depth_m``
    the room inside.
    """

    name: str
    method: Method
    wall: Wall
    surface_m2: float
    perimeter_m: float
    side_m2: float
    wall_kg: float
    brim_m3: float
    length_m: float
    depth_m: float

    def __post_init__(self) -> None:
        rule = self.name
        within("open surface", self.surface_m2, low=0.02, high=10.0, unit="m2", rule=rule)
        within("perimeter", self.perimeter_m, low=0.2, high=30.0, unit="m", rule=rule)
        within("wetted side", self.side_m2, low=0.0, high=30.0, unit="m2", rule=rule)
        within("wall mass", self.wall_kg, low=0.0, high=2000.0, unit="kg", rule=rule)
        within("brim volume", self.brim_m3, low=0.005, high=10.0, unit="m3", rule=rule)

    @property
    def wall_j_k(self) -> float:
        """Heat the wall takes for each kelvin."""
        return self.wall_kg * self.wall.heat_j_kg_k

    @property
    def plate_m(self) -> float:
        """Length scale of the surface, area over perimeter."""
        return self.surface_m2 / self.perimeter_m


def open_trough(
    *,
    length_m: float,
    width_m: float,
    depth_m: float,
    wall: Wall = Wall.SHEET_STEEL,
    wall_kg: float = 40.0,
    name: str = "open trough",
) -> Vessel:
    """A box open at the top; its sides count as wet to two thirds of their height.

    Lengths in m: 0.5 to 4, 0.3 to 2, 0.2 to 1.5; ``wall_kg`` 0 to 2000. Raises OutOfRange.

    >>> from stations.trade.measures import gallons
    >>> trough = open_trough(length_m=1.6764, width_m=0.762, depth_m=0.6858)
    >>> round(gallons(litres=1000 * trough.brim_m3))
    231

    Source: geometry (computed).
    """
    within("trough length", length_m, low=0.5, high=4.0, unit="m", rule=name)
    within("trough width", width_m, low=0.3, high=2.0, unit="m", rule=name)
    within("trough depth", depth_m, low=0.2, high=1.5, unit="m", rule=name)
    perimeter = 2 * (length_m + width_m)
    return Vessel(
        name=name,
        method=Method.OPEN_TROUGH,
        wall=wall,
        surface_m2=length_m * width_m,
        perimeter_m=perimeter,
        side_m2=perimeter * depth_m * 2 / 3,
        wall_kg=wall_kg,
        brim_m3=length_m * width_m * depth_m,
        length_m=length_m,
        depth_m=depth_m,
    )


def tipped_barrel(
    *,
    diameter_m: float = 0.572,
    height_m: float = 0.876,
    tilt_deg: float = 45.0,
    wall_kg: float = 20.0,
    name: str = "tipped barrel",
) -> Vessel:
    """A barrel leant at the table: V = pi r^2 (h - r tan tilt), surface pi r^2 / cos tilt.

    ``diameter_m`` 0.3 to 1.5, ``height_m`` 0.5 to 2, ``tilt_deg`` 0 to 60 from upright and not so
    far that the water's edge meets the bottom; otherwise raises OutOfRange. The standard drum's
    0.572 by 0.876 m is from memory.

    >>> round(1000 * tipped_barrel().brim_m3)
    152

    Source: geometry (computed); 45 degrees from a farm newspaper, file 6322, Univ. of the Fraser
    Valley archive (published).
    """
    within("barrel diameter", diameter_m, low=0.3, high=1.5, unit="m", rule=name)
    within("barrel height", height_m, low=0.5, high=2.0, unit="m", rule=name)
    steepest = min(60.0, math.degrees(math.atan(height_m / diameter_m)))
    within("barrel tilt", tilt_deg, low=0.0, high=steepest, unit="deg", rule=name)
    r, tilt = diameter_m / 2, math.radians(tilt_deg)
    half_long = r / math.cos(tilt)
    brim = math.pi * r**2 * (height_m - r * math.tan(tilt))
    return Vessel(
        name=name,
        method=Method.TIPPED_BARREL,
        wall=Wall.SHEET_STEEL,
        surface_m2=math.pi * r * half_long,
        perimeter_m=math.pi * math.sqrt(2 * (r**2 + half_long**2)),
        side_m2=2 * brim / r,
        wall_kg=wall_kg,
        brim_m3=brim,
        length_m=height_m,
        depth_m=diameter_m,
    )


def kettle(
    *, litres: float = 40.0, wall_kg: float = 4.0, method: Method = Method.POUR_OVER
) -> Vessel:
    """A round pot as deep as it is wide, for boiling the buckets or for pouring over.

    ``litres`` 5 to 200; otherwise raises OutOfRange.

    >>> round(kettle(litres=40.0).surface_m2, 3)
    0.108

    Source: geometry (computed).
    """
    within("kettle volume", litres, low=5.0, high=200.0, unit="L", rule="kettle")
    across = (4 * litres / 1000 / math.pi) ** (1 / 3)
    return Vessel(
        name=f"{litres:g} L kettle",
        method=method,
        wall=Wall.SHEET_STEEL,
        surface_m2=math.pi * across**2 / 4,
        perimeter_m=math.pi * across,
        side_m2=math.pi * across**2,
        wall_kg=wall_kg,
        brim_m3=litres / 1000,
        length_m=across,
        depth_m=across,
    )


FARM_VAT = open_trough(
    length_m=5.5 * M_PER_FT, width_m=2.5 * M_PER_FT, depth_m=2.25 * M_PER_FT, name="farm vat"
)
PLANK_TROUGH = open_trough(
    length_m=6.0 * M_PER_FT,
    width_m=3.0 * M_PER_FT,
    depth_m=2.5 * M_PER_FT,
    wall=Wall.WOOD,
    wall_kg=120.0,
    name="plank trough",
)
VESSEL_SOURCES = {
    FARM_VAT.name: Source(
        title="farm newspaper, Univ. of the Fraser Valley archive, file 6322",
        place="vat 5.5 x 2.5 x 2.25 ft",
        trust=Trust.PUBLISHED,
    ),
    PLANK_TROUGH.name: Source(
        title="Fulton, Home Pork Making, 1900",
        place="ch. III-IV, 6 x 3 x 2.5 ft",
        trust=Trust.PUBLISHED,
    ),
}


def water_needed_kg(vessel: Vessel, hog: Hog, *, cover: Cover, water_c: float = 65.0) -> float:
    """Water that covers the hog, or half covers it with a roll, in kg.

    m = rho (surface x depth - hog under water), depth the lying hog's thickness and a hand's
    breadth, or half of that thickness. A barrel is filled so that half a hog brings it to a hand's
    breadth under the brim. ``water_c`` 0.5 to 101 degC.
    Raises OutOfRange if the hog does not fit the vessel, or for kettles, which cover nothing.

    >>> from stations.trade.measures import gallons
    >>> trough = open_trough(length_m=1.83, width_m=0.76, depth_m=0.6)
    >>> need = [water_needed_kg(trough, Hog(live_kg=125.0), cover=cover) for cover in Cover]
    >>> [round(gallons(litres=kg)) for kg in need]
    [103, 42]

    Source: geometry (computed) on a body length from memory: a plan to be checked at the fill.
    """
    match vessel.method:
        case Method.POUR_OVER:
            raise OutOfRange(
                "cover", got=cover.share, low=0.0, high=0.0, unit="of the hog", rule="pour-over"
            )
        case Method.TIPPED_BARREL:
            under = 0.5
            room = vessel.brim_m3 - MARGIN_M * vessel.surface_m2
        case Method.OPEN_TROUGH:
            under = cover.share
            wide, rule = vessel.surface_m2 / vessel.length_m, vessel.name
            within("hog length", hog.length_m, low=0.0, high=vessel.length_m, unit="m", rule=rule)
            within("hog thickness", hog.thickness_m, low=0.0, high=wide, unit="m", rule=rule)
            deep = hog.thickness_m * under + (MARGIN_M if cover is Cover.WHOLE else 0.0)
            brim = vessel.depth_m - MARGIN_M
            within("water depth", deep, low=0.0, high=brim, unit="m", rule=vessel.name)
            room = vessel.surface_m2 * deep
        case unknown:
            assert_never(unknown)
    left = within(
        "water left beside the hog",
        room - under * hog.volume_m3,
        low=0.02,
        high=vessel.brim_m3,
        unit="m3",
        rule=vessel.name,
    )
    return left * density_kg_m3(water_c)
