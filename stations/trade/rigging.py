"""Chains and slings: working loads, angles, and what is not for overhead lifting.

Strength of chain is almost never what fails: the rating for overhead use, the tag, the angle, the
hooks and the anchor (``hanging.py``) are. A cradle in four people's hands is not overhead; hanging
is.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from stations.trade.errors import TradeError, within
from stations.trade.sources import Source, Trust
from stations.trade.verdicts import Grade, Verdict

TIEDOWN_TABLE = Source(
    title="49 CFR 393.108", place="working load limits, chain", trust=Trust.PUBLISHED
)
OVERHEAD = Source(
    title="chain makers' notices and OSHA letter of 18 May 1978",
    place="only alloy chain overhead",
    trust=Trust.PUBLISHED,
)
TAGS = Source(
    title="29 CFR 1910.184(e)", place="permanent tag, yearly inspection", trust=Trust.PUBLISHED
)
ANGLES = Source(title="OSHA sling guidance", place="no angle under 30", trust=Trust.PUBLISHED)
SLING_FACTORS = Source(
    title="Grade 80 sling tables of three chain makers",
    place="legs x single x sin(angle)",
    trust=Trust.PUBLISHED,
)
ALLOY_HEAT_LIMIT_DEGC = 204.0  # 400 degF; scald water and steam are far below, open flame is not
CHAIN_CARE = (
    "No knots, twists, shock loads or unequal legs.",
    "Keep chain out of open flame.",
    "No bolt or rod as a makeshift link.",
)


class ChainGrade(StrEnum):
    """The grade stamped on a chain; a higher number alone does not make it lifting chain."""

    G30 = "30"
    G43 = "43"
    G70 = "70"
    G80 = "80"
    G100 = "100"

    @property
    def is_overhead_rated(self) -> bool:
        """Whether makers rate it for overhead lifting: alloy only."""
        return self in {ChainGrade.G80, ChainGrade.G100}


class ChainSize(StrEnum):
    """Nominal size. The alloy figures under 1/4 in are listed in the trade as 9/32 in (7 mm)."""

    QUARTER = "1/4 in (7 mm)"
    FIVE_SIXTEENTHS = "5/16 in (8 mm)"
    THREE_EIGHTHS = "3/8 in (10 mm)"
    SEVEN_SIXTEENTHS = "7/16 in (11 mm)"
    HALF = "1/2 in (13 mm)"


_GRADES = tuple(ChainGrade)
_ROWS: Mapping[ChainSize, tuple[float | None, ...]] = MappingProxyType(
    {
        ChainSize.QUARTER: (580, 1180, 1430, 1570, 1950),
        ChainSize.FIVE_SIXTEENTHS: (860, 1770, 2130, 2000, 2600),
        ChainSize.THREE_EIGHTHS: (1200, 2450, 2990, 3200, 4000),
        ChainSize.SEVEN_SIXTEENTHS: (1680, 3270, 3970, None, None),
        ChainSize.HALF: (2030, 4170, 5130, 5400, 6800),
    }
)


def working_load_kg(*, size: ChainSize, grade: ChainGrade | None) -> float:
    """Working load limit of one chain in a straight pull; unmarked chain counts as grade 30.

    Args:
        size: nominal size.
        grade: the stamped grade, None when there is no stamp.

    Returns: kg.
    Raises: TradeError where the table prints no figure (7/16 in alloy).

    >>> working_load_kg(size=ChainSize.QUARTER, grade=None)
    580.0

    Source: 49 CFR 393.108 table and paragraph (d) (published).
    """
    row = _ROWS[size]
    limit = row[_GRADES.index(grade or ChainGrade.G30)]
    if limit is None:
        raise TradeError(
            f"No working load is printed for grade {grade} chain of {size}. "
            "Choose 3/8 in or 1/2 in."
        )
    return float(limit)


def sling_factor(*, angle_deg: float) -> float:
    """What is left of a leg's capacity at an angle; its inverse is the tension factor.

    factor = sin(alpha).

    Args:
        angle_deg: alpha, leg above level, 30 to 90 degrees.

    Returns: 0.5 to 1.
    Raises: OutOfRange below 30 degrees: not to be used unless a qualified person says so.

    >>> round(sling_factor(angle_deg=60.0), 3)
    0.866

    Source: sling charts (published); 30 degree floor, OSHA sling guidance (published).
    """
    rule = "sling angle"
    within("sling angle", angle_deg, low=30.0, high=90.0, unit="degrees above level", rule=rule)
    return math.sin(math.radians(angle_deg))


def leg_load_kg(*, load_kg: float, legs: int, angle_deg: float) -> float:
    """The pull on each leg of a sling.

    T = W / (n sin(alpha)), n never more than 3: a fourth leg may hang slack.

    Args:
        load_kg: W, 0 to 5000 kg.
        legs: 1 to 4; a single leg hangs straight, so alpha is then 90.
        angle_deg: alpha, 30 to 90 degrees.

    Returns: kg along the leg.
    Raises: OutOfRange outside those ranges.

    >>> round(leg_load_kg(load_kg=120.0, legs=2, angle_deg=45.0), 1)
    84.9

    Source: statics (computed), as in sling charts (published).
    """
    within("load", load_kg, low=0.0, high=5000.0, unit="kg", rule="sling")
    return load_kg / (_counted(legs, angle_deg) * sling_factor(angle_deg=angle_deg))


def sling_limit_kg(*, single_kg: float, legs: int, angle_deg: float) -> float:
    """What a sling may carry.

    limit = n single sin(alpha), n never more than 3.

    Args:
        single_kg: one leg in a straight pull, 0 to 20000 kg.
        legs: 1 to 4; a single leg hangs straight, so alpha is then 90.
        angle_deg: alpha, 30 to 90 degrees.

    Returns: kg.
    Raises: OutOfRange outside those ranges.

    >>> round(sling_limit_kg(single_kg=1570.0, legs=2, angle_deg=30.0))
    1570

    Source: Grade 80 sling tables of three makers (published), within their rounding of 50 lb.
    """
    within("single leg", single_kg, low=0.0, high=20000.0, unit="kg", rule="sling")
    return _counted(legs, angle_deg) * single_kg * sling_factor(angle_deg=angle_deg)


def _counted(legs: int, angle_deg: float) -> int:
    within("legs", legs, low=1, high=4, unit="legs", rule="sling")
    if legs == 1:
        within("angle of a single leg", angle_deg, low=90, high=90, unit="degrees", rule="sling")
    return min(legs, 3)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """A chain or chain sling as it lies on the bench.

    ``grade`` is None when there is no stamp. ``is_tagged``: a legible tag with size, grade, rated
    capacity and reach, inspected within 12 months. ``legs`` 1 to 4, ``angle_deg`` above level.
    """

    size: ChainSize
    grade: ChainGrade | None = None
    is_tagged: bool = False
    legs: int = 2
    angle_deg: float = 90.0

    @property
    def limit_kg(self) -> float:
        """What it may carry at its angle, kg."""
        single_kg = working_load_kg(size=self.size, grade=self.grade)
        return sling_limit_kg(single_kg=single_kg, legs=self.legs, angle_deg=self.angle_deg)

    @property
    def counts_as(self) -> ChainGrade:
        """The grade it is taken for: the lowest when nothing is stamped."""
        return self.grade or ChainGrade.G30


def chain_warnings(*, chain: Chain) -> tuple[str, ...]:
    """What to say about a chain whatever it carries.

    Args:
        chain: the chain.

    Returns: sentences, the weightiest first; empty for tagged alloy chain.
    Raises: nothing.

    >>> chain_warnings(chain=Chain(size=ChainSize.QUARTER))[0]
    'No grade is stamped: it counts as grade 30, the lowest.'

    Source: 49 CFR 393.108(d), 29 CFR 1910.184(e), chain makers' notices (published).
    """
    said = []
    if chain.grade is None:
        said.append("No grade is stamped: it counts as grade 30, the lowest.")
    if not chain.counts_as.is_overhead_rated:
        said.append(f"Grade {chain.counts_as} is not rated for overhead lifting.")
    if not chain.is_tagged:
        said.append("Lifting chain carries a tag: size, grade, rated capacity, reach.")
    return tuple(said)


def screen_cradle(*, chain: Chain, load_kg: float) -> Verdict:
    """Whether a chain in people's hands, not overhead, is within its working load.

    W against n WLL sin(alpha).

    Args:
        chain: the chain.
        load_kg: W, 0 to 5000 kg.

    Returns: a verdict on its strength alone.
    Raises: OutOfRange or TradeError as :func:`working_load_kg` and :func:`sling_limit_kg`.

    >>> screen_cradle(chain=Chain(size=ChainSize.QUARTER, angle_deg=30.0), load_kg=180.0).grade
    <Grade.WITHIN: 'within'>

    Source: 49 CFR 393.108 (published).
    """
    within("load", load_kg, low=0.0, high=5000.0, unit="kg", rule="chain")
    fits = load_kg <= chain.limit_kg
    return Verdict(
        grade=Grade.WITHIN if fits else Grade.NEEDS_AID,
        rule="Load on the chain",
        value=load_kg,
        limit=chain.limit_kg,
        unit="kg",
        source=TIEDOWN_TABLE,
        remedy="" if fits else "Use heavier chain or a steeper angle",
    )


def screen_overhead(*, chain: Chain, load_kg: float) -> Verdict:
    """Whether a chain may hang a load overhead: alloy, tagged, within its limit.

    Args:
        chain: the chain.
        load_kg: 0 to 5000 kg.

    Returns: a verdict; chain not rated for overhead lifting has a limit of 0.
    Raises: OutOfRange or TradeError as :func:`working_load_kg` and :func:`sling_limit_kg`.

    >>> print(screen_overhead(chain=Chain(size=ChainSize.HALF, grade=ChainGrade.G70),
    ...                       load_kg=120.0).sentence())
    Needs an aid: load overhead on grade 70 chain is 120 kg against 0 kg. Use tagged alloy chain.

    Source: chain makers' notices; OSHA letter of 18 May 1978; 29 CFR 1910.184(e) (published).
    """
    within("load", load_kg, low=0.0, high=5000.0, unit="kg", rule="chain")
    if not chain.counts_as.is_overhead_rated:
        return Verdict(
            grade=Grade.NEEDS_AID,
            rule=f"Load overhead on grade {chain.counts_as} chain",
            value=load_kg,
            limit=0.0,
            unit="kg",
            source=OVERHEAD,
            remedy="Use tagged alloy chain",
        )
    strength = screen_cradle(chain=chain, load_kg=load_kg)
    if strength.grade is Grade.WITHIN and not chain.is_tagged:
        return Verdict(
            grade=Grade.ASK_LEAD,
            rule="Load overhead on untagged chain",
            value=load_kg,
            limit=chain.limit_kg,
            unit="kg",
            source=TAGS,
            remedy="Find a tag that gives its rated capacity",
        )
    return strength
