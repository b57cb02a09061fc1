"""A station's handling settings, a hog and people to what ``stations.trade`` computes with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from stations.models import ChainMark, ChainWire, HandlingSetup, HogCover, Hoist, Lifting
from stations.trade.capacities import Capacity, Lifter, Reach, Zone, starting_capacity
from stations.trade.crews import ChainCrew
from stations.trade.hanging import HangingPoint
from stations.trade.places import FORE_SHARE_SOURCE, Held, Hog, Hoisting, Place, Setup
from stations.trade.rigging import Chain, ChainGrade, ChainSize
from stations.trade.sources import Source, Trust
from stations.trade.statics import SKIN_ON_WET_WOOD, WET_WOOD_ON_WOOD
from workshops.models import Animal

WEIGHED_HERE = Source(title="weighed on this farm", trust=Trust.COMPUTED)
SUBMERGED = {HogCover.WHOLE: 0.9, HogCover.HALF: 0.5}  # practice; the first is trade's own default


def hog_of(animal: Animal, work: Lifting) -> Hog:
    """A hog as it is at this work: whole until it hangs, then its carcass once that is weighed."""
    live_kg = float(animal.live_kg)
    if work is Lifting.HANG and animal.carcass_kg is not None:
        return Hog(live_kg=live_kg, carcass_kg=float(animal.carcass_kg))
    return Hog(live_kg=live_kg)


def setup_of(handling: HandlingSetup) -> Setup:
    """How a hog is held here. Costs a query for the trough unless the station's is joined."""
    trough = getattr(handling.station, "trough", None)
    cover = HogCover(trough.cover) if trough else HogCover.WHOLE
    is_wet_wood = handling.drag_mu <= WET_WOOD_ON_WOOD.mu
    setup = Setup(
        fore_share=handling.fore_share,
        fore_share_source=WEIGHED_HERE if handling.fore_share_weighed else FORE_SHARE_SOURCE,
        chain_angle_deg=handling.chain_angle_deg,
        held=Held(handling.held),
        submerged=SUBMERGED[cover] if handling.submerged is None else handling.submerged,
        drag_mu=handling.drag_mu,
        drag_source=WET_WOOD_ON_WOOD.source if is_wet_wood else SKIN_ON_WET_WOOD.source,
        slope_deg=handling.slope_deg,
        hoisting=Hoisting.TACKLE if handling.hoisting == Hoist.TACKLE else Hoisting.HOIST,
        tackle_parts=handling.tackle_parts,
    )
    return setup if handling.ramp_deg is None else replace(setup, ramp_deg=handling.ramp_deg)


def point_of(handling: HandlingSetup) -> HangingPoint:
    """What a hog hangs from here."""
    return HangingPoint(
        hoist_rated_kg=handling.hoist_rated_kg,
        anchor_rated_kg=handling.anchor_rated_kg,
        is_tackle=handling.hoisting == Hoist.TACKLE,
        parts=handling.tackle_parts,
    )


def chain_of(handling: HandlingSetup) -> Chain | None:
    """The chain used here; None until its thickness is written down."""
    if handling.chain_wire == ChainWire.UNKNOWN:
        return None
    stamped = handling.chain_mark != ChainMark.UNSTAMPED
    return Chain(
        size=ChainSize(handling.chain_wire),
        grade=ChainGrade(handling.chain_mark) if stamped else None,
        is_tagged=handling.chain_tagged,
        legs=handling.chain_legs,
        angle_deg=handling.chain_angle_deg,
    )


def starting_lift() -> Capacity:
    """What a plan counts with for someone who gave no lift: the published starting value.

    Knuckle to elbow, close to the body, as hands on a line are. Each phase is screened again with
    the value of its own posture, which may be less.
    """
    return starting_capacity(zones=(Zone.KNUCKLE_TO_ELBOW,), reach=Reach.CLOSE)


def crew_of(people: Mapping[Place, Lifter]) -> ChainCrew:
    """Four at their places; a place nobody has yet counts as someone who gave no lift."""
    found = {place: people.get(place, Lifter(id=f"nobody {place}")) for place in Place}
    return ChainCrew(
        fore_left=found[Place.FORE_LEFT],
        fore_right=found[Place.FORE_RIGHT],
        hind_left=found[Place.HIND_LEFT],
        hind_right=found[Place.HIND_RIGHT],
    )
