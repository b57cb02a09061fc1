"""Forces on a body that is carried, floated, rolled or dragged: plain equilibrium, no judgement.

Masses stand for forces throughout: "30 kg" at a hand is the weight of 30 kg, 294 N. Angles are in
degrees. What a person may be asked to hold is decided in ``teams.py`` and ``handling.py``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from stations.trade.errors import TradeError, within
from stations.trade.sources import Source, Trust

STANDARD_GRAVITY_MPS2 = 9.80665

EQUILIBRIUM = Source(
    title="Statics of a rigid body", place="forces and moments balance", trust=Trust.COMPUTED
)
BUOYANCY = Source(title="Archimedes' principle", trust=Trust.COMPUTED)
CAPSTAN = Source(title="Capstan equation", place="T2/T1 = exp(mu beta)", trust=Trust.COMPUTED)
PARBUCKLE = Source(
    title="Practical Boat Owner glossary", place="Parbuckle, 2:1 purchase", trust=Trust.PUBLISHED
)

PARBUCKLE_PURCHASE = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FrictionFigure:
    """A coefficient of sliding friction with the surfaces it is for."""

    surfaces: str
    mu: float
    source: Source


_FRICTION_TABLE = Source(
    title="mech.subwiki.org", place="Table of friction coefficients", trust=Trust.PUBLISHED
)
WET_WOOD_ON_WOOD = FrictionFigure(surfaces="wet wood on wood", mu=0.2, source=_FRICTION_TABLE)
SKIN_ON_WET_WOOD = FrictionFigure(  # no published figure was found; 0.2 is the hopeful end
    surfaces="carcass skin on wet wood",
    mu=0.5,
    source=Source(title="planning value", trust=Trust.MEMORY),
)


def two_supports(*, load_kg: float, first_m: float, second_m: float, centre_m: float) -> float:
    """What the first of two supports carries; the second carries the rest.

    R1 = W (x2 - xc) / (x2 - x1).

    Args:
        load_kg: the whole load, 0 to 2000 kg.
        first_m, second_m: where the supports stand along the body, m, second beyond first.
        centre_m: the centre of mass, m, between the supports.

    Returns: kg on the first support.
    Raises: OutOfRange for a load outside its range or a centre not between the supports;
        TradeError when the supports are not in order.

    >>> round(two_supports(load_kg=120.0, first_m=0.0, second_m=1.0, centre_m=0.44), 1)
    67.2

    Source: statics, moments about the second support (computed).
    """
    rule = "two supports"
    within("load", load_kg, low=0.0, high=2000.0, unit="kg", rule=rule)
    if not first_m < second_m:
        raise TradeError(
            f"The second support, at {second_m:g} m, must lie beyond the first, at {first_m:g} m."
        )
    within("centre of mass", centre_m, low=first_m, high=second_m, unit="m", rule=rule)
    return load_kg * (second_m - centre_m) / (second_m - first_m)


def corner_shares(*, fore_share: float, left_share: float) -> tuple[float, float, float, float]:
    """Each corner's share of a load on four hands, in the order fore-left, fore-right, hind-left,
    hind-right; they sum to 1.

    s = (fore or hind share) (left or right share); with ex = 2 fore - 1 and ey = 2 left - 1 this
    is 1/4 (1 +/- ex)(1 +/- ey). Exact for two cradles, each split by its own moment. A stiff body
    on four hands is statically indeterminate: see :func:`slack_corner_shares`.

    Args:
        fore_share: part of the load forward of the middle, 0 to 1.
        left_share: part of the load left of the middle, 0 to 1.

    Returns: four shares.
    Raises: OutOfRange for a share outside 0 to 1.

    >>> [round(share, 2) for share in corner_shares(fore_share=0.6, left_share=0.55)]
    [0.33, 0.27, 0.22, 0.18]

    Source: statics (computed).
    """
    for name, share in (("fore share", fore_share), ("left share", left_share)):
        within(name, share, low=0.0, high=1.0, unit="of the load", rule="four corners")
    hind, right = 1.0 - fore_share, 1.0 - left_share
    return (fore_share * left_share, fore_share * right, hind * left_share, hind * right)


def slack_corner_shares(*, fore_share: float, left_share: float) -> float:
    """The largest share one hand of a stiff load takes when any one corner goes slack.

    With one corner slack its neighbours at each end take a whole end and a whole side:
    max(fore, hind, left, right).

    Args:
        fore_share: part of the load forward of the middle, 0 to 1.
        left_share: part of the load left of the middle, 0 to 1.

    Returns: the share of the worst hand, 0.5 to 1.
    Raises: OutOfRange for a share outside 0 to 1.

    >>> slack_corner_shares(fore_share=0.56, left_share=0.5)
    0.56

    Source: statics, three supports at the corners of a rectangle (computed).
    """
    corner_shares(fore_share=fore_share, left_share=left_share)
    return max(fore_share, 1.0 - fore_share, left_share, 1.0 - left_share)


def low_end_share(*, slope_deg: float, rise_m: float, apart_m: float) -> float:
    """The lower of two carriers' share on a slope.

    low = 1/2 + (h / L) tan(theta). A body that hangs below the grips has h < 0, and then the
    upper carrier has more. Printed notes still warn the lower end.

    Args:
        slope_deg: slope, 0 to 45 degrees.
        rise_m: h, centre of mass above the line of the grips, -1 to 1 m.
        apart_m: L, distance between the carriers, 0.3 to 5 m.

    Returns: share at the low end, 0 to 1.
    Raises: OutOfRange outside those ranges, or when the load would tip past a carrier.

    >>> round(low_end_share(slope_deg=15.0, rise_m=0.15, apart_m=1.0), 3)
    0.54

    Source: statics (computed); agrees with Am. J. Phys. 64(6):799, 1996 (published abstract).
    """
    rule = "two carriers on a slope"
    within("slope", slope_deg, low=0.0, high=45.0, unit="degrees", rule=rule)
    within("centre of mass above the grips", rise_m, low=-1.0, high=1.0, unit="m", rule=rule)
    within("distance between carriers", apart_m, low=0.3, high=5.0, unit="m", rule=rule)
    share = 0.5 + rise_m / apart_m * math.tan(math.radians(slope_deg))
    return within("low end's share", share, low=0.0, high=1.0, unit="of the load", rule=rule)


def apparent_kg(
    *, mass_kg: float, submerged: float, water_density: float, body_density: float
) -> float:
    """What a partly submerged body still weighs in the hands; a body that floats weighs nothing.

    m_app = max(0, m (1 - f rho_w / rho_b)).

    Args:
        mass_kg: m, 0 to 600 kg.
        submerged: f, part of the volume under water, 0 to 1.
        water_density: rho_w, 950 to 1005 kg/m3.
        body_density: rho_b, 900 to 1150 kg/m3.

    Returns: kg, never negative.
    Raises: OutOfRange outside those ranges.

    >>> round(apparent_kg(mass_kg=120.0, submerged=1.0, water_density=982.16,
    ...                   body_density=1030.0), 2)
    5.57

    Source: Archimedes' principle (computed). No density of a whole pig was found published.
    """
    rule = "buoyancy"
    within("mass", mass_kg, low=0.0, high=600.0, unit="kg", rule=rule)
    within("submerged part", submerged, low=0.0, high=1.0, unit="of the volume", rule=rule)
    within("water density", water_density, low=950.0, high=1005.0, unit="kg/m3", rule=rule)
    within("body density", body_density, low=900.0, high=1150.0, unit="kg/m3", rule=rule)
    return max(0.0, mass_kg * (1.0 - submerged * water_density / body_density))


def chain_pull_kg(*, carried_kg: float, angle_deg: float) -> float:
    """The pull along a chain that carries a given weight straight up.

    T = W / sin(alpha).

    Args:
        carried_kg: the upright part, 0 to 2000 kg.
        angle_deg: alpha, the chain above level, 30 to 90 degrees; flatter is not to be used.

    Returns: kg along the chain.
    Raises: OutOfRange outside those ranges.

    >>> round(chain_pull_kg(carried_kg=30.0, angle_deg=45.0), 1)
    42.4

    Source: statics (computed); the 30 degree floor from OSHA sling guidance (published).
    """
    rule = "chain angle"
    within("load", carried_kg, low=0.0, high=2000.0, unit="kg", rule=rule)
    within("chain angle", angle_deg, low=30.0, high=90.0, unit="degrees above level", rule=rule)
    return carried_kg / math.sin(math.radians(angle_deg))


def parbuckle_pull_kg(*, mass_kg: float, ramp_deg: float) -> float:
    """The whole pull that rolls a body up a ramp in chains made fast at the top, no friction.

    F = W sin(theta) / 2; each of two chains has half of it and travels twice the ramp.

    Args:
        mass_kg: W, 0 to 600 kg.
        ramp_deg: theta, 0 to 90 degrees (90 is straight up).

    Returns: kg of pull, all chains together.
    Raises: OutOfRange outside those ranges.

    >>> round(parbuckle_pull_kg(mass_kg=120.0, ramp_deg=30.0), 2)
    30.0

    Source: a parbuckle is a 2:1 purchase, Practical Boat Owner glossary (published); the rest
        computed.
    """
    rule = "parbuckle"
    within("mass", mass_kg, low=0.0, high=600.0, unit="kg", rule=rule)
    within("ramp", ramp_deg, low=0.0, high=90.0, unit="degrees", rule=rule)
    return mass_kg * math.sin(math.radians(ramp_deg)) / PARBUCKLE_PURCHASE


def drag_pull_kg(*, mass_kg: float, slope_deg: float, mu: float) -> float:
    """The pull that keeps a body sliding up a slope (level is 0 degrees).

    F = W (sin(theta) + mu cos(theta)).

    Args:
        mass_kg: W, 0 to 600 kg.
        slope_deg: theta, 0 to 45 degrees.
        mu: friction of the surfaces, 0 to 1.5.

    Returns: kg of pull.
    Raises: OutOfRange outside those ranges.

    >>> round(drag_pull_kg(mass_kg=120.0, slope_deg=10.0, mu=0.2), 1)
    44.5

    Source: statics (computed).
    """
    rule = "drag"
    within("mass", mass_kg, low=0.0, high=600.0, unit="kg", rule=rule)
    within("slope", slope_deg, low=0.0, high=45.0, unit="degrees", rule=rule)
    within("friction", mu, low=0.0, high=1.5, unit="", rule=rule)
    angle = math.radians(slope_deg)
    return mass_kg * (math.sin(angle) + mu * math.cos(angle))


def footing_pull_kg(*, body_kg: float, mu: float) -> float:
    """The most a person can pull level before their own feet slide.

    F = mu m.

    Args:
        body_kg: the person, 30 to 200 kg.
        mu: friction of sole and floor, 0 to 1.5.

    Returns: kg of pull.
    Raises: OutOfRange outside those ranges.

    >>> footing_pull_kg(body_kg=80.0, mu=0.2)
    16.0

    Source: statics (computed).
    """
    within("body", body_kg, low=30.0, high=200.0, unit="kg", rule="footing")
    within("friction", mu, low=0.0, high=1.5, unit="", rule="footing")
    return mu * body_kg


def capstan_ratio(*, mu: float, wrap_deg: float) -> float:
    """How much the pull grows along a chain dragged round a surface; the chain's two ends may
    also differ by up to this when it grips.

    T2 / T1 = exp(mu beta).

    Args:
        mu: friction of chain and surface, 0 to 1.5.
        wrap_deg: beta, the turn round the surface, 0 to 1080 degrees.

    Returns: the ratio, 1 or more.
    Raises: OutOfRange outside those ranges.

    >>> round(capstan_ratio(mu=0.3, wrap_deg=180.0), 3)
    2.566

    Source: capstan equation (computed).
    """
    within("friction", mu, low=0.0, high=1.5, unit="", rule="capstan")
    within("wrap", wrap_deg, low=0.0, high=1080.0, unit="degrees", rule="capstan")
    return math.exp(mu * math.radians(wrap_deg))


def newtons(*, kilograms: float) -> float:
    """The weight of a mass.

    F = 9.80665 m.

    Args:
        kilograms: m, any.

    Returns: N.
    Raises: nothing.

    >>> round(newtons(kilograms=24.0), 1)
    235.4

    Source: standard gravity, 3rd CGPM 1901 (published).
    """
    return kilograms * STANDARD_GRAVITY_MPS2
