"""The multipliers of the single-person lifting equation, in both printed forms.

Each is 1 where a lift is easiest and falls to 0 where nothing is recommended. ``frequency.py``
has the sixth, a table.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from stations.trade.errors import within
from stations.trade.measures import KG_PER_LB

_RULE = "lifting equation"


class System(StrEnum):
    """The two printed forms of the equation: inches and pounds, or centimetres and kilograms."""

    US = "US"
    METRIC = "metric"

    @property
    def units(self) -> Units:
        """The constants of this form."""
        return _UNITS[self]


@dataclass(frozen=True, slots=True, kw_only=True)
class Units:
    """Constants of one printed form; lengths in ``length``, load constant in kg."""

    length: str
    load_constant_kg: float
    near: float  # nearest H, and D below which travel costs nothing
    far: float  # H beyond which nothing is recommended
    highest: float  # V and D beyond which nothing is recommended
    knuckle: float
    knee_slope: float
    travel: float


_UNITS: Mapping[System, Units] = MappingProxyType(
    {
        System.US: Units(
            length="in",
            load_constant_kg=51.0 * KG_PER_LB,
            near=10.0,
            far=25.0,
            highest=70.0,
            knuckle=30.0,
            knee_slope=0.0075,
            travel=1.8,
        ),
        System.METRIC: Units(
            length="cm",
            load_constant_kg=23.0,
            near=25.0,
            far=63.0,
            highest=175.0,
            knuckle=75.0,
            knee_slope=0.003,
            travel=4.5,
        ),
    }
)


class Coupling(StrEnum):
    """How good the grip is; a wet chain or limb is poor."""

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"


def horizontal_multiplier(*, H: float, system: System) -> float:
    """HM: what reach leaves. 10/H (25/H); nearer than 10 in (25 cm) counts as that, by the
    equation's own rule; beyond 25 in (63 cm) nothing is left.

    Args:
        H: hands ahead of the ankles, 0 to 80 in, 0 to 200 cm.
        system: which form.

    Returns: 0 to 1.
    Raises: OutOfRange outside those ranges.

    >>> horizontal_multiplier(H=7.0, system=System.US)
    1.0

    Source: Waters 2006, table 46.1 (published).
    """
    units = system.units
    within("H", H, low=0.0, high=8.0 * units.near, unit=units.length, rule=_RULE)
    return 0.0 if units.far < H else units.near / max(H, units.near)


def vertical_multiplier(*, V: float, system: System) -> float:
    """VM: what hand height leaves. 1 - 0.0075 |V - 30| (1 - 0.003 |V - 75|); above 70 in (175 cm)
    nothing is left.

    Args:
        V: hands above the floor, 0 to 80 in, 0 to 200 cm.
        system: which form.

    Returns: 0 to 1.
    Raises: OutOfRange outside those ranges.

    >>> round(vertical_multiplier(V=0.0, system=System.US), 3)
    0.775

    Source: Waters 2006, sec. 46.4.2.3 (published).
    """
    units = system.units
    within("V", V, low=0.0, high=8.0 * units.near, unit=units.length, rule=_RULE)
    return 0.0 if units.highest < V else 1.0 - units.knee_slope * abs(V - units.knuckle)


def distance_multiplier(*, D: float, system: System) -> float:
    """DM: what travel leaves. 0.82 + 1.8/D (0.82 + 4.5/D); 1 under 10 in (25 cm); beyond 70 in
    (175 cm) nothing is left.

    Args:
        D: travel of the hands, 0 to 80 in, 0 to 200 cm.
        system: which form.

    Returns: 0 to 1.
    Raises: OutOfRange outside those ranges.

    >>> round(distance_multiplier(D=37.0, system=System.US), 3)
    0.869

    Source: manual's worksheet, table 3 (published).
    """
    units = system.units
    within("D", D, low=0.0, high=8.0 * units.near, unit=units.length, rule=_RULE)
    if units.highest < D:
        return 0.0
    return 1.0 if units.near > D else min(1.0, 0.82 + units.travel / D)


def asymmetry_multiplier(*, A: float) -> float:
    """AM: what twisting leaves. 1 - 0.0032 A; beyond 135 degrees nothing is left.

    Args:
        A: 0 to 180 degrees.

    Returns: 0 to 1.
    Raises: OutOfRange outside 0 to 180.

    >>> round(asymmetry_multiplier(A=90.0), 2)
    0.71

    Source: Waters 2006, table 46.4 (published).
    """
    within("A", A, low=0.0, high=180.0, unit="degrees", rule=_RULE)
    return 0.0 if A > 135.0 else 1.0 - 0.0032 * A


def coupling_multiplier(*, coupling: Coupling, V: float, system: System) -> float:
    """CM: what the grip leaves: good 1, fair 0.95 below 30 in (75 cm) and 1 above, poor 0.9.

    Args:
        coupling: the grip.
        V: hands above the floor, 0 to 80 in, 0 to 200 cm.
        system: which form.

    Returns: 0.9 to 1.
    Raises: OutOfRange outside those ranges.

    >>> coupling_multiplier(coupling=Coupling.FAIR, V=27.0, system=System.US)
    0.95

    Source: manual, as quoted in lecture copies (published).
    """
    units = system.units
    within("V", V, low=0.0, high=8.0 * units.near, unit=units.length, rule=_RULE)
    low = {Coupling.GOOD: 1.0, Coupling.FAIR: 0.95, Coupling.POOR: 0.9}[coupling]
    return 1.0 if coupling is Coupling.FAIR and units.knuckle <= V else low
