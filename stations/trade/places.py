"""The four named places, the phases of moving a hog, and how it is held in them.

The four stand at the ends of two chains: the fore chain behind the shoulders, the hind chain
before the hams. Left and right are the hog's own.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from stations.trade.errors import TradeError, within
from stations.trade.sources import Source, Trust
from stations.trade.statics import SKIN_ON_WET_WOOD

FORE_SHARE = 0.56
FORE_SHARE_SOURCE = Source(
    title="the fore share of a hog's weight, 55 to 58 %", trust=Trust.MEMORY
)  # Sun et al. 2011 (published) gives the direction, more on the front legs, but no figure.
BODY_KGM3 = 1030.0
BODY_SOURCE = Source(title="the density of a whole hog, 1020 to 1050 kg/m3", trust=Trust.MEMORY)
RAMP_FRICTION = 1.25
RAMP_FRICTION_SOURCE = Source(title="a quarter more pull for friction", trust=Trust.MEMORY)
SHEAVE_EFFICIENCY = 0.9
LEAST_SHEAVE_EFFICIENCY = 0.5
SHEAVE_SOURCE = Source(title="nine tenths of a pull past each sheave", trust=Trust.MEMORY)
LEAST_IN_WATER = 0.1  # of the weight: a hog never quite floats as far as planning goes (practice)
GUTTED_SHARE = 0.80
GUTTED_SOURCE = Source(
    title="J. Anim. Sci. Technol. 64(2):353",
    place="Table 2; 0.80 lies above every dressing share in it",
    trust=Trust.COMPUTED,
)


class Place(StrEnum):
    """Where one of the four stands, seen from the hog."""

    FORE_LEFT = "fore-left"
    FORE_RIGHT = "fore-right"
    HIND_LEFT = "hind-left"
    HIND_RIGHT = "hind-right"

    @property
    def is_fore(self) -> bool:
        """Whether this place is on the fore chain."""
        return self in {Place.FORE_LEFT, Place.FORE_RIGHT}

    @property
    def is_left(self) -> bool:
        """Whether this place is on the hog's left."""
        return self in {Place.FORE_LEFT, Place.HIND_LEFT}


class Phase(StrEnum):
    """One stage of moving a hog by hand."""

    LOWER = "lower"
    SLOSH = "slosh"
    ROLL = "roll"
    LIFT_OUT = "lift_out"
    RAMP = "ramp"
    DRAG = "drag"
    HANG = "hang"

    @property
    def words(self) -> str:
        """What the screen and the sheet say."""
        return {
            Phase.LOWER: "lower into the water",
            Phase.SLOSH: "slosh",
            Phase.ROLL: "roll",
            Phase.LIFT_OUT: "lift straight out",
            Phase.RAMP: "roll up the ramp in the chains",
            Phase.DRAG: "drag",
            Phase.HANG: "hang",
        }[self]

    @property
    def is_haul(self) -> bool:
        """Whether the hands pull on a line rather than hold a weight up."""
        return self in {Phase.RAMP, Phase.DRAG, Phase.HANG}


class Held(StrEnum):
    """Which ends of the chains are in hands; an end made fast to a post cannot be let go."""

    BOTH_SIDES = "both_sides"
    LEFT_FAST = "left_fast"
    RIGHT_FAST = "right_fast"


class Hoisting(StrEnum):
    """How a hog is hung."""

    HOIST = "hoist"
    TACKLE = "tackle"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hog:
    """What is to be moved. Until it is gutted the whole live weight counts; then the recorded
    carcass, or 0.80 of the live weight while no carcass weight is recorded.

    >>> Hog(live_kg=120.0).handled_kg, Hog(live_kg=120.0, gutted=True).handled_kg
    (120.0, 96.0)
    """

    live_kg: float | None = None
    carcass_kg: float | None = None
    gutted: bool = False

    def __post_init__(self) -> None:
        if self.live_kg is None and self.carcass_kg is None:
            raise TradeError("A hog needs a live or a carcass weight. Weigh it or tape it.")
        if self.live_kg is not None:
            within("live weight", self.live_kg, low=1.0, high=500.0, unit="kg", rule="a hog")
        if self.carcass_kg is not None:
            top = 500.0 if self.live_kg is None else self.live_kg
            within("carcass weight", self.carcass_kg, low=1.0, high=top, unit="kg", rule="a hog")

    @property
    def handled_kg(self) -> float:
        """The weight on the hands now, kg."""
        if self.carcass_kg is not None:
            return self.carcass_kg
        live_kg = self.live_kg or 0.0
        return GUTTED_SHARE * live_kg if self.gutted else live_kg


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """How a hog is held and moved; every figure may be changed for the case in hand.

    ``fore_share`` and ``left_share`` (0 to 1), the latter 0.5 when the grip is centred;
    ``chain_angle_deg`` above level (30 to 90); in the water the ``submerged`` part of the volume
    (0 to 1), ``water_degc`` (0.5 to 100) and ``body_kgm3`` (900 to 1150); ``ramp_deg`` (1 to 60)
    and ``ramp_friction``, how many times the frictionless pull is needed (1 to 2); ``drag_mu``
    (0.01 to 1.5) and ``slope_deg`` (0 to 45) for dragging; ``tackle_parts`` (1 to 8) and
    ``sheave_efficiency`` (0.5 to 1). A source that may decide tells that a figure was measured.
    """

    fore_share: float = FORE_SHARE
    fore_share_source: Source = FORE_SHARE_SOURCE
    left_share: float = 0.5
    chain_angle_deg: float = 90.0
    held: Held = Held.BOTH_SIDES
    submerged: float = 0.9
    water_degc: float = 62.0
    body_kgm3: float = BODY_KGM3
    body_source: Source = BODY_SOURCE
    ramp_deg: float = 30.0
    ramp_friction: float = RAMP_FRICTION
    ramp_friction_source: Source = RAMP_FRICTION_SOURCE
    drag_mu: float = SKIN_ON_WET_WOOD.mu
    drag_source: Source = SKIN_ON_WET_WOOD.source
    slope_deg: float = 0.0
    hoisting: Hoisting = Hoisting.TACKLE
    tackle_parts: int = 4
    sheave_efficiency: float = SHEAVE_EFFICIENCY
    sheave_source: Source = SHEAVE_SOURCE

    def __post_init__(self) -> None:
        rule = "how the hog is held"
        within("fore share", self.fore_share, low=0.0, high=1.0, unit="of the load", rule=rule)
        within("left share", self.left_share, low=0.0, high=1.0, unit="of the load", rule=rule)
        within("chain angle", self.chain_angle_deg, low=30, high=90, unit="degrees", rule=rule)
        within("submerged part", self.submerged, low=0, high=1, unit="of the volume", rule=rule)
        within("water temperature", self.water_degc, low=0.5, high=100, unit="degC", rule=rule)
        within("body density", self.body_kgm3, low=900, high=1150, unit="kg/m3", rule=rule)
        within("ramp", self.ramp_deg, low=1.0, high=60.0, unit="degrees", rule=rule)
        within("ramp friction factor", self.ramp_friction, low=1, high=2, unit="times", rule=rule)
        within("friction", self.drag_mu, low=0.01, high=1.5, unit="", rule=rule)
        within("slope", self.slope_deg, low=0.0, high=45.0, unit="degrees", rule=rule)
        within("parts of tackle", self.tackle_parts, low=1, high=8, unit="parts", rule=rule)
        within(
            "sheave efficiency",
            self.sheave_efficiency,
            low=LEAST_SHEAVE_EFFICIENCY,
            high=1,
            unit="",
            rule=rule,
        )
