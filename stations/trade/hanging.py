"""Hanging a hog: tackle, gambrel, hoist and the anchor above them.

Nobody stands under a hung carcass; it is let down gently, never dropped and stopped.
"""

from __future__ import annotations

from dataclasses import dataclass

from stations.trade.errors import within
from stations.trade.sources import Source, Trust
from stations.trade.verdicts import Grade, Verdict

HOISTS = Source(
    title="USDA Farmers' Bulletin 2265",
    place="the hoist must hold the pig's weight",
    trust=Trust.PUBLISHED,
)
TACKLE_STATICS = Source(title="Statics of a tackle", trust=Trust.COMPUTED)


@dataclass(frozen=True, slots=True, kw_only=True)
class TackleLoads:
    """The pull on a tackle's hauling line, and what its anchor sees."""

    hauling_kg: float
    anchor_kg: float


def tackle(*, load_kg: float, parts: int, sheave_efficiency: float = 1.0) -> TackleLoads:
    """The hauling pull and the anchor's load of a tackle hauled downward from its top block.

    P = W / (e + e^2 + ... + e^N); with e = 1, P = W / N. The anchor sees W + P.

    Args:
        load_kg: W, 0 to 2000 kg.
        parts: N, lines at the moving block, 1 to 8.
        sheave_efficiency: e, what each sheave passes on, 0.5 to 1 (1 is frictionless).

    Returns: both loads, kg.
    Raises: OutOfRange outside those ranges.

    >>> tackle(load_kg=120.0, parts=4)
    TackleLoads(hauling_kg=30.0, anchor_kg=150.0)

    Source: statics (computed).
    """
    within("load", load_kg, low=0.0, high=2000.0, unit="kg", rule="tackle")
    within("parts of tackle", parts, low=1, high=8, unit="parts", rule="tackle")
    within("sheave efficiency", sheave_efficiency, low=0.5, high=1.0, unit="", rule="tackle")
    hauling_kg = load_kg / sum(sheave_efficiency**part for part in range(1, parts + 1))
    return TackleLoads(hauling_kg=hauling_kg, anchor_kg=load_kg + hauling_kg)


def hock_load_kg(*, load_kg: float) -> float:
    """What each hock, and each end of a gambrel, carries.

    W / 2.

    Args:
        load_kg: W, 0 to 600 kg.

    Returns: kg on each end.
    Raises: OutOfRange outside 0 to 600 kg.

    >>> hock_load_kg(load_kg=96.0)
    48.0

    Source: statics (computed).
    """
    return within("load", load_kg, low=0.0, high=600.0, unit="kg", rule="gambrel") / 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HangingPoint:
    """What a hog hangs from. Ratings are None where nobody knows them.

    ``parts`` (1 to 8) and ``sheave_efficiency`` (0.5 to 1) count for a tackle alone.
    """

    hoist_rated_kg: float | None = None
    anchor_rated_kg: float | None = None
    is_tackle: bool = False
    parts: int = 1
    sheave_efficiency: float = 1.0


def screen_hanging(*, point: HangingPoint, load_kg: float) -> tuple[Verdict, Verdict]:
    """Whether the hoist and the anchor above it are rated for the load.

    Hoist: W. Anchor: W on a hoist; on a tackle hauled downward also the pull, without friction
    W (1 + 1/N).

    Args:
        point: the hoist or tackle and its anchor.
        load_kg: W, 0 to 600 kg.

    Returns: the hoist's verdict and the anchor's; an unknown rating asks the lead, with limit 0.
    Raises: OutOfRange outside those ranges.

    >>> [verdict.grade.words for verdict in screen_hanging(
    ...     point=HangingPoint(hoist_rated_kg=500.0), load_kg=120.0)]
    ['within the screen', 'ask the lead']

    Source: USDA Farmers' Bulletin 2265 (published); statics (computed).
    """
    within("load", load_kg, low=0.0, high=600.0, unit="kg", rule="hanging")
    anchor_kg = load_kg
    if point.is_tackle:
        anchor_kg = tackle(
            load_kg=load_kg, parts=point.parts, sheave_efficiency=point.sheave_efficiency
        ).anchor_kg
    return (
        _rated("Load on the hoist", load_kg, point.hoist_rated_kg),
        _rated("Load on the anchor", anchor_kg, point.anchor_rated_kg),
    )


def _rated(rule: str, load_kg: float, rated_kg: float | None) -> Verdict:
    if rated_kg is None:
        grade, remedy = Grade.ASK_LEAD, "Find the rating before anything hangs from it"
    elif load_kg <= rated_kg:
        grade, remedy = Grade.WITHIN, ""
    else:
        grade, remedy = Grade.NEEDS_AID, "Use one rated for the load"
    return Verdict(
        grade=grade,
        rule=rule,
        value=load_kg,
        limit=rated_kg or 0.0,
        unit="kg",
        source=HOISTS,
        remedy=remedy,
    )
