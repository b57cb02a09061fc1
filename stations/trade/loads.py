"""What each of the four named places holds in each phase of moving a hog.

``places.py`` names the places, the phases and how a hog is held, ``statics.py`` has the equations;
whether anyone should hold what comes out is for ``handling.py``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from stations.trade.hanging import tackle
from stations.trade.places import (
    LEAST_IN_WATER,
    LEAST_SHEAVE_EFFICIENCY,
    Held,
    Hog,
    Hoisting,
    Phase,
    Place,
    Setup,
)
from stations.trade.statics import (
    PARBUCKLE_PURCHASE,
    apparent_kg,
    chain_pull_kg,
    corner_shares,
    drag_pull_kg,
    parbuckle_pull_kg,
)
from stations.trade.water import density_kg_m3


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseLoads:
    """What the places hold in one phase.

    ``total_kg`` is all there is to hold; ``fast_kg`` of it hangs on a post or a hoist; the rest
    is ``carried_kg`` by place (they sum to it). ``pull_kg`` is what each hand feels along its
    chain or line, never less than it carries.
    """

    phase: Phase
    total_kg: float
    fast_kg: float
    carried_kg: Mapping[Place, float]
    pull_kg: Mapping[Place, float]

    @property
    def worst_place(self) -> Place:
        """Who holds most."""
        return max(Place, key=lambda place: self.pull_kg[place])

    @property
    def worst_kg(self) -> float:
        """What the hand with most to hold feels, kg."""
        return self.pull_kg[self.worst_place]

    @property
    def hands(self) -> tuple[Place, ...]:
        """The places that hold anything."""
        return tuple(place for place in Place if self.pull_kg[place] > 0.0)

    @property
    def in_hands_kg(self) -> float:
        """All the hands' pulls together, kg: what the team rule compares."""
        return sum(self.pull_kg.values())


def in_water_kg(*, hog: Hog, setup: Setup) -> float:
    """What a hog still weighs in the trough, never less than a tenth of its weight.

    W = max(0.1 m, m (1 - f rho_w / rho_b)).

    Args:
        hog: the hog.
        setup: how much is under water, how warm, how dense; see :class:`Setup`.

    Returns: kg.
    Raises: OutOfRange as :func:`stations.trade.statics.apparent_kg`.

    >>> round(in_water_kg(hog=Hog(live_kg=120.0), setup=Setup()), 1)
    17.0

    Source: Archimedes' principle (computed); the density of a hog from memory; the floor practice.
    """
    mass_kg = hog.handled_kg
    floating_kg = apparent_kg(
        mass_kg=mass_kg,
        submerged=setup.submerged,
        water_density=density_kg_m3(setup.water_degc),
        body_density=setup.body_kgm3,
    )
    return max(LEAST_IN_WATER * mass_kg, floating_kg)


def _cradled(phase: Phase, weight_kg: float, setup: Setup) -> PhaseLoads:
    """Two chains under the body, both ends in hands."""
    shares = corner_shares(fore_share=setup.fore_share, left_share=setup.left_share)
    return _in_chains(
        phase, weight_kg, dict(zip(Place, shares, strict=True)), setup.chain_angle_deg
    )


def _one_side_fast(phase: Phase, weight_kg: float, setup: Setup) -> PhaseLoads:
    """A chain runs under a round body from a post, so post and hand each have half of it."""
    loose_left = setup.held is Held.RIGHT_FAST
    ends = {True: setup.fore_share, False: 1.0 - setup.fore_share}
    shares = {
        place: ends[place.is_fore] / 2.0 if place.is_left is loose_left else 0.0 for place in Place
    }
    return _in_chains(phase, weight_kg, shares, setup.chain_angle_deg)


def _in_chains(
    phase: Phase, weight_kg: float, shares: Mapping[Place, float], angle_deg: float
) -> PhaseLoads:
    carried = {place: weight_kg * share for place, share in shares.items()}
    return PhaseLoads(
        phase=phase,
        total_kg=weight_kg,
        fast_kg=weight_kg * (1.0 - sum(shares.values())),
        carried_kg=MappingProxyType(carried),
        pull_kg=MappingProxyType(
            {
                place: chain_pull_kg(carried_kg=kg, angle_deg=angle_deg)
                for place, kg in carried.items()
            }
        ),
    )


def _hauled(phase: Phase, pull_kg: float, fore_share: float) -> PhaseLoads:
    """Two hands to a line: what one line pulls, its two haulers share evenly."""
    by_place = MappingProxyType(
        {
            place: pull_kg * (fore_share if place.is_fore else 1.0 - fore_share) / 2.0
            for place in Place
        }
    )
    return PhaseLoads(
        phase=phase, total_kg=pull_kg, fast_kg=0.0, carried_kg=by_place, pull_kg=by_place
    )


def _lowered(phase: Phase, hog: Hog, setup: Setup) -> PhaseLoads:
    if setup.held is Held.BOTH_SIDES:
        return _cradled(phase, hog.handled_kg, setup)
    return _one_side_fast(phase, hog.handled_kg, setup)


def _sloshed(phase: Phase, hog: Hog, setup: Setup) -> PhaseLoads:
    if setup.held is Held.BOTH_SIDES:
        return _cradled(phase, in_water_kg(hog=hog, setup=setup), setup)
    return _one_side_fast(phase, hog.handled_kg, setup)  # no help counted from the water


def _ramped(phase: Phase, hog: Hog, setup: Setup) -> PhaseLoads:
    pull_kg = parbuckle_pull_kg(mass_kg=hog.handled_kg, ramp_deg=setup.ramp_deg)
    return _hauled(phase, setup.ramp_friction * pull_kg, setup.fore_share)


def _dragged(phase: Phase, hog: Hog, setup: Setup) -> PhaseLoads:
    pull_kg = drag_pull_kg(mass_kg=hog.handled_kg, slope_deg=setup.slope_deg, mu=setup.drag_mu)
    return _hauled(phase, pull_kg, 0.5)


def _hung(phase: Phase, hog: Hog, setup: Setup) -> PhaseLoads:
    if setup.hoisting is Hoisting.TACKLE:
        line_kg = tackle(
            load_kg=hog.handled_kg,
            parts=setup.tackle_parts,
            sheave_efficiency=setup.sheave_efficiency,
        ).hauling_kg
        return _hauled(phase, line_kg, 0.5)
    nothing = MappingProxyType(dict.fromkeys(Place, 0.0))
    return PhaseLoads(
        phase=phase,
        total_kg=hog.handled_kg,
        fast_kg=hog.handled_kg,
        carried_kg=nothing,
        pull_kg=nothing,
    )


_BY_PHASE: Mapping[Phase, Callable[[Phase, Hog, Setup], PhaseLoads]] = MappingProxyType(
    {
        Phase.LOWER: _lowered,
        Phase.SLOSH: _sloshed,
        Phase.ROLL: _sloshed,
        Phase.LIFT_OUT: _lowered,
        Phase.RAMP: _ramped,
        Phase.DRAG: _dragged,
        Phase.HANG: _hung,
    }
)


def phase_loads(*, phase: Phase, hog: Hog, setup: Setup) -> PhaseLoads:
    """What each named place holds in one phase.

    Lower and lift out: the whole weight, no help from the water. Slosh and roll: what the water
    leaves, or with one side fast half the weight on two hands. Ramp: 1.25 W sin(theta) / 2. Drag:
    W (sin(theta) + mu cos(theta)). Hang: W / (e + ... + e^N) on the tackle's line, nothing in
    hands on a hoist. Held weights are split by fore and left share, and divided by the sine of
    the chain angle.

    Args:
        phase: the stage.
        hog: the hog, 1 to 500 kg.
        setup: how it is held; see :class:`Setup`.

    Returns: the loads by place; what is carried and what is fast sum to the total.
    Raises: OutOfRange for a figure outside its range.

    >>> loads = phase_loads(phase=Phase.LIFT_OUT, hog=Hog(live_kg=120.0), setup=Setup())
    >>> round(loads.worst_kg, 1), round(sum(loads.carried_kg.values()), 1)
    (33.6, 120.0)

    Source: statics (computed), with a fore share, a body density and a ramp friction from memory.
    """
    return _BY_PHASE[phase](phase, hog, setup)


def without_memory(*, phase: Phase, setup: Setup) -> Setup:
    """The same setup with each figure known only from memory replaced by its hardest case.

    Fore share: one pair holds everything. Body density: no help from the water. Ramp friction:
    the purchase is lost (twice the frictionless pull). Sheaves: half the pull is lost at each. A
    pass must survive this to stand.

    Args:
        phase: the stage; only what matters in it is replaced.
        setup: the setup; figures with a source that may decide are kept.

    Returns: the hardened setup.
    Raises: nothing.

    >>> without_memory(phase=Phase.SLOSH, setup=Setup()).submerged
    0.0

    Source: the rule that a value from memory never decides a pass alone (practice).
    """
    swaps: dict[str, float] = {}
    if not setup.fore_share_source.trust.may_decide:
        swaps["fore_share"] = 1.0 if setup.fore_share >= 0.5 else 0.0
    if phase in {Phase.SLOSH, Phase.ROLL} and not setup.body_source.trust.may_decide:
        swaps["submerged"] = 0.0
    if phase is Phase.RAMP and not setup.ramp_friction_source.trust.may_decide:
        swaps["ramp_friction"] = PARBUCKLE_PURCHASE
    if phase is Phase.HANG and not setup.sheave_source.trust.may_decide:
        swaps["sheave_efficiency"] = LEAST_SHEAVE_EFFICIENCY
    return replace(setup, **swaps)  # type: ignore[arg-type]  # only float fields are swapped
