"""Published tables of what a carcass comes apart into; each is used whole, never mixed.

Weights are in lb as printed; the parts of a table add up to its whole, and tests hold that. The
tables differ in what they count as meat (head, feet, back fat), so a range over them is wide, and
that is the truth of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from stations.trade.sources import Source, Trust


class Part(StrEnum):
    """A part of the carcass by its trade name."""

    HAM = "ham"
    LOIN = "loin"
    BELLY = "belly"
    SPARERIBS = "spareribs"
    BUTT = "butt"
    PICNIC = "picnic"
    SHOULDER = "shoulder"
    JOWL = "jowl"
    FEET = "feet"
    HEAD = "head"
    BACK_FAT = "back_fat"
    TRIM = "trim"
    OTHER = "other"

    @property
    def words(self) -> str:
        """What the screen says."""
        return self.value.replace("_", " ")


@dataclass(frozen=True, slots=True, kw_only=True)
class CutTable:
    """A printed breakdown: parts (lb or per cent, as printed), the whole they make, the basis.

    >>> CUTS_AS_COUNTED.total, CUTS_AS_COUNTED.share(Part.HAM)
    (144, 0.19444444444444445)
    """

    name: str
    parts: tuple[tuple[Part, float], ...]
    whole: float
    live: float | None
    basis: str
    source: Source

    @property
    def total(self) -> float:
        """The parts added up."""
        return sum(weight for _, weight in self.parts)

    def share(self, part: Part) -> float:
        """A part over all the parts; 0 where the table does not list it."""
        return sum(weight for name, weight in self.parts if name is part) / self.total


PRIMALS = CutTable(
    name="five primals with their skin, fat and bone",
    parts=(
        (Part.HAM, 45.0),
        (Part.BELLY, 34.9),
        (Part.LOIN, 33.8),
        (Part.PICNIC, 16.6),
        (Part.BUTT, 14.7),
        (Part.OTHER, 39.2),
    ),
    whole=184.2,
    live=250.0,
    basis="carcass 184 lb of 250 live; ribs in the side; jowl, feet, tail, neck in other",
    source=Source(
        title="National Pork Producers Council breakdown",
        place="Univ. of Kentucky sheet, 250 to 184 to 140 lb",
        trust=Trust.PUBLISHED,
    ),
)
CUTS_AS_COUNTED = CutTable(
    name="retail as one brochure counts it",
    parts=(
        (Part.HAM, 28),
        (Part.LOIN, 23),
        (Part.BELLY, 23),
        (Part.SPARERIBS, 6),
        (Part.BUTT, 9),
        (Part.PICNIC, 12),
        (Part.FEET, 3),
        (Part.HEAD, 5),
        (Part.BACK_FAT, 23),
        (Part.TRIM, 9),
        (Part.JOWL, 3),
    ),
    whole=144,
    live=250.0,
    basis="of 180 lb carcass; head, feet and back fat counted as retail",
    source=Source(
        title="hog-weight brochure (publisher not shown)",
        place="250 to 180 to 144 lb",
        trust=Trust.PUBLISHED,
    ),
)
MARKET_PIG = CutTable(
    name="typical market pig",
    parts=(
        (Part.HAM, 54.0),
        (Part.LOIN, 49.0),
        (Part.BELLY, 29.9),
        (Part.BUTT, 22.8),
        (Part.PICNIC, 23.0),
        (Part.OTHER, 34.3),
    ),
    whole=213.0,
    live=282.0,
    basis="carcass 213 lb of 282 live; retail and other of each part together",
    source=Source(
        title="National Pork Board, Typical Market Pig Today, 27 June 2016",
        place="totals; the printed primal weights differ from them",
        trust=Trust.PUBLISHED,
    ),
)
HALF = CutTable(
    name="a half hog, packed",
    parts=(
        (Part.HAM, 12),
        (Part.LOIN, 9),
        (Part.BELLY, 10),
        (Part.SPARERIBS, 2),
        (Part.BUTT, 6),
        (Part.PICNIC, 7),
        (Part.TRIM, 6),
        (Part.BACK_FAT, 15),
        (Part.OTHER, 8),
    ),
    whole=75,
    live=None,
    basis="a 75 lb side of a 215 lb live hog; lard as back fat, bone and waste as other",
    source=Source(title="WSDA processing percentages", place="75 lb half", trust=Trust.PUBLISHED),
)
FARM_CUTS = CutTable(
    name="farm cutting, U.S. No. 2",
    parts=(
        (Part.HAM, 19),
        (Part.BELLY, 18),
        (Part.BACK_FAT, 18),
        (Part.LOIN, 17),
        (Part.SPARERIBS, 3),
        (Part.JOWL, 3),
        (Part.FEET, 5),
        (Part.SHOULDER, 17),
    ),
    whole=100,
    live=None,
    basis="per cent of carcass; shoulder is picnic and butt; tail and neckbones with feet",
    source=Source(
        title="USDA Farmers' Bulletin 2265, 1978", place="table 1", trust=Trust.PUBLISHED
    ),
)
TABLES = (PRIMALS, CUTS_AS_COUNTED, MARKET_PIG, HALF, FARM_CUTS)
# Retail and other lb of the market pig, part by part, as printed.
MARKET_PIG_RETAIL = {
    Part.HAM: (39.0, 15.0),
    Part.LOIN: (43.3, 5.6),
    Part.BELLY: (28.9, 1.1),
    Part.BUTT: (19.7, 3.1),
    Part.PICNIC: (16.5, 6.5),
    Part.OTHER: (13.4, 20.9),
}
BY_PRODUCTS_SOURCE = Source(
    title="USDA Market News NW_LS446, 2019 to 2021",
    place="lb to 100 lb live, 280 lb hog",
    trust=Trust.PUBLISHED,
)
BY_PRODUCTS = {
    "cheek meat": 0.28,
    "chitterlings": 1.26,
    "ears": 0.19,
    "tongue": 0.18,
    "heart": 0.28,
    "kidneys": 0.25,
    "liver": 1.25,
    "spleen": 0.17,
    "snout": 0.28,
    "stomach": 0.43,
    "lungs (never food, 9 CFR 310.16)": 0.95,
    "choice white grease": 0.50,
    "meat and bone meal": 1.57,
    "blood meal": 0.58,
    "lard": 1.72,
    "blood plasma": 2.01,
    "salivary glands": 0.26,
}
CURING_YIELD_SOURCE = Source(
    title="USDA AWI-108, October 1944", place="yields of curing", trust=Trust.PUBLISHED
)
# Low and high share of the fresh weight left: dry cure, brine cure.
CURING_YIELDS = {
    "cured": ((0.95, 0.95), (1.03, 1.03)),
    "cured and smoked": ((0.90, 0.90), (0.96, 0.96)),
    "stored 12 months": ((0.70, 0.75), (0.70, 0.75)),
}


def range_over_tables(part: Part) -> tuple[float, float]:
    """Least and most share of a part over the tables that list it; (0, 0) where none does.

    >>> low, high = range_over_tables(Part.HAM)
    >>> round(low, 2), round(high, 2)
    (0.16, 0.25)

    Source: ``TABLES``; they count differently, so the range is wide.
    """
    shares = [table.share(part) for table in TABLES if table.share(part) > 0]
    return (min(shares), max(shares)) if shares else (0.0, 0.0)


def off_balance(parts: tuple[float, ...], *, whole: float) -> float:
    """How much more (+) or less (-) the parts of a table are than its whole, unrounded.

    >>> off_balance((155.0, 35.0), whole=200.0)
    -10.0

    Source: none needed.
    """
    return sum(parts) - whole
