"""What to expect from a hog: carcass by basis, cuts by a published table, and what a scald keeps.

A dressing percentage means nothing without its basis: hot or cold, head on or off, skin on or
off. Every figure here states it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from stations.trade.carcass_tables import (
    BY_PRODUCTS,
    CURING_YIELD_SOURCE,
    CURING_YIELDS,
    CutTable,
    Part,
    range_over_tables,
)
from stations.trade.errors import OutOfRange, within
from stations.trade.sources import PRACTICE, Source, Trust


class Dressed(StrEnum):
    """What is still on the carcass when it is weighed hot."""

    HEAD_AND_SKIN_ON = "head_and_skin_on"
    SKIN_ON = "skin_on"
    UNSTATED = "unstated"
    SKINNED = "skinned"

    @property
    def words(self) -> str:
        """What the screen says."""
        return {
            Dressed.HEAD_AND_SKIN_ON: "head, feet and skin on, leaf lard and kidneys in",
            Dressed.SKIN_ON: "skin on, head off",
            Dressed.UNSTATED: "not stated",
            Dressed.SKINNED: "skinned, head off",
        }[self]


@dataclass(frozen=True, slots=True, kw_only=True)
class Dressing:
    """Low and high share of the live weight, hot."""

    low: float
    high: float
    source: Source


DRESSING = {
    Dressed.HEAD_AND_SKIN_ON: Dressing(
        low=0.75,
        high=0.80,
        source=Source(title="Univ. of Guelph, lab 2.5", trust=Trust.PUBLISHED),
    ),
    Dressed.SKIN_ON: Dressing(
        low=0.70,
        high=0.73,
        source=Source(
            title="Univ. of Kentucky ASC-179", place="table 1, skin-on", trust=Trust.PUBLISHED
        ),
    ),
    Dressed.UNSTATED: Dressing(
        low=0.70,
        high=0.75,
        source=Source(
            title="UW-Extension, How much meat should a hog yield",
            place="skin or head left on raises it",
            trust=Trust.PUBLISHED,
        ),
    ),
    # About five points below skin-on.
    Dressed.SKINNED: Dressing(
        low=0.65, high=0.68, source=Source(title="skinned hogs", trust=Trust.MEMORY)
    ),
}
SHRINK = 0.02
SHRINK_LOW, SHRINK_HIGH = 0.01, 0.03
SHRINK_SOURCE = Source(
    title="hot to cold: 2 % assumed",
    place="published: 1 % (pork boards, with other loss) to 3 % (a farm)",
    trust=Trust.MEMORY,
)
SKIN_POINTS_OF_LIVE = 0.05
SKINNING_SHARE = 0.20
SKIN_POINTS_SOURCE = Source(title="skinned hogs, points of live weight", trust=Trust.MEMORY)


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """A weight with its range, kg, and what it rests on."""

    low_kg: float
    likely_kg: float
    high_kg: float
    basis: str
    source: Source

    def holds(self, kg: float) -> bool:
        """Whether a weight lies in the range, ends included."""
        return self.low_kg <= kg <= self.high_kg


def hot_carcass(live_kg: float, dressed: Dressed) -> Expected:
    """Hot carcass from live weight by what is left on; likely is the middle.

    Args:
        live_kg: 20 to 350 kg.
        dressed: what is on it.

    Returns: kg.

    Raises: OutOfRange.

    >>> round(hot_carcass(113.4, Dressed.SKIN_ON).likely_kg, 1)
    81.1

    Source: ``DRESSING``.
    """
    within("live weight", live_kg, low=20.0, high=350.0, unit="kg", rule="dressing")
    share = DRESSING[dressed]
    return Expected(
        low_kg=live_kg * share.low,
        likely_kg=live_kg * (share.low + share.high) / 2,
        high_kg=live_kg * share.high,
        basis=f"hot, {dressed.words}",
        source=share.source,
    )


def cold_carcass(hot_kg: float) -> Expected:
    """Cold carcass from hot: 2 per cent lost, 1 to 3.

    10 to 300 kg, else OutOfRange.

    >>> round(cold_carcass(100.0).likely_kg, 1)
    98.0

    Source: ``SHRINK_SOURCE``.
    """
    within("hot carcass", hot_kg, low=10.0, high=300.0, unit="kg", rule="shrink")
    return Expected(
        low_kg=hot_kg * (1 - SHRINK_HIGH),
        likely_kg=hot_kg * (1 - SHRINK),
        high_kg=hot_kg * (1 - SHRINK_LOW),
        basis="cold, after one or two days",
        source=SHRINK_SOURCE,
    )


def cut_plan(cold_kg: float, table: CutTable) -> dict[Part, Expected]:
    """A carcass into the parts of one table, in its shares; the likely weights add up to it.

    The range of a part is that of all the tables, widened to hold this one.

    Args:
        cold_kg: 10 to 300 kg, the weight the table's whole stands for.
        table: which.

    Returns: parts in the table's order.

    Raises: OutOfRange.

    >>> from stations.trade.carcass_tables import FARM_CUTS
    >>> plan = cut_plan(80.0, FARM_CUTS)
    >>> round(plan[Part.HAM].likely_kg, 1), round(sum(p.likely_kg for p in plan.values()), 6)
    (15.2, 80.0)

    Source: the table's.
    """
    within("cold carcass", cold_kg, low=10.0, high=300.0, unit="kg", rule="cut plan")
    found = {}
    for part, _ in table.parts:
        low, high = range_over_tables(part)
        share = table.share(part)
        found[part] = Expected(
            low_kg=cold_kg * low,
            likely_kg=cold_kg * share,
            high_kg=cold_kg * high,
            basis=table.basis,
            source=table.source,
        )
    return found


def by_products(live_kg: float) -> dict[str, float]:
    """Offal and by-products of a hog by name, kg, in shares of its live weight.

    20 to 350 kg, else OutOfRange.

    >>> round(by_products(127.0)["liver"], 2)
    1.59

    Source: ``carcass_tables.BY_PRODUCTS_SOURCE``; a plant's figures.
    """
    within("live weight", live_kg, low=20.0, high=350.0, unit="kg", rule="by-products")
    return {name: live_kg * lb / 100 for name, lb in BY_PRODUCTS.items()}


def cured_weight(fresh_kg: float, *, stage: str, dry: bool) -> Expected:
    """What is left of a fresh cut after the cure, the smoke or a year of hanging.

    Args:
        fresh_kg: 0.1 to 50 kg.
        stage: a key of ``CURING_YIELDS``.
        dry: dry cure, else brine.

    Returns: kg.

    Raises: OutOfRange; ValueError for an unknown stage.

    >>> round(cured_weight(10.0, stage="cured and smoked", dry=True).likely_kg, 1)
    9.0

    Source: ``CURING_YIELD_SOURCE``.
    """
    within("fresh cut", fresh_kg, low=0.1, high=50.0, unit="kg", rule="curing yield")
    if stage not in CURING_YIELDS:
        message = f"No yield is known for {stage!r}; choose one of {sorted(CURING_YIELDS)}."
        raise ValueError(message)
    low, high = CURING_YIELDS[stage][0 if dry else 1]
    return Expected(
        low_kg=fresh_kg * low,
        likely_kg=fresh_kg * (low + high) / 2,
        high_kg=fresh_kg * high,
        basis=stage,
        source=CURING_YIELD_SOURCE,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Skinning:
    """What skinning this hog would have thrown away, kg: two reckonings that do not agree."""

    by_points_kg: float
    by_a_fifth_kg: float
    sources: tuple[Source, Source] = (SKIN_POINTS_SOURCE, PRACTICE)

    @property
    def sentence(self) -> str:
        """What the scald kept, as a range."""
        low, high = sorted((self.by_points_kg, self.by_a_fifth_kg))
        return (
            f"The scald kept {low:.0f} to {high:.0f} kg of skin, and fat with it, that skinning "
            "takes off (5 points of live weight, from memory; about a fifth of the carcass, "
            "common practice)."
        )


def skinning_loss(*, live_kg: float, carcass_kg: float) -> Skinning:
    """Skin and the fat that goes with it, 5 points of live weight or about a fifth of the carcass.

    Args:
        live_kg: 20 to 350 kg.
        carcass_kg: scalded, less than live.

    Returns: both.

    Raises: OutOfRange.

    >>> loss = skinning_loss(live_kg=120.0, carcass_kg=87.0)
    >>> round(loss.by_points_kg, 1), round(loss.by_a_fifth_kg, 1)
    (6.0, 17.4)

    Source: common practice for the fifth, from memory for the points; neither is published.
    """
    within("live weight", live_kg, low=20.0, high=350.0, unit="kg", rule="skinning")
    if not 0 < carcass_kg < live_kg:
        raise OutOfRange(
            "carcass", got=carcass_kg, low=0.0, high=live_kg, unit="kg", rule="less than live"
        )
    return Skinning(
        by_points_kg=live_kg * SKIN_POINTS_OF_LIVE, by_a_fifth_kg=carcass_kg * SKINNING_SHARE
    )
