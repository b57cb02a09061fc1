"""How much nitrite and nitrate may go in, by product; nothing above is planned.

Ingoing, on the green weight of the meat, never on the finished weight. Sodium and potassium salts
share one limit except in bacon. The federal rules are written for plants; the limit for home-cure
preparations is shown beside them.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from stations.trade.errors import within
from stations.trade.findings import Finding, Rule, Sense
from stations.trade.sources import Source, Trust

DRY_RULE = Source(
    title="9 CFR 424.21(c)", place="1 oz nitrite to 100 lb, dry cure", trust=Trust.PUBLISHED
)
MINCED_RULE = Source(
    title="9 CFR 424.21(c)", place="1/4 oz nitrite to 100 lb, chopped", trust=Trust.PUBLISHED
)
PICKLE_RULE = Source(
    title="9 CFR 424.21(c)",
    place="2 lb nitrite to 100 gal at 10 % pump; 200 ppm, FSIS 7620.3 page 12 by quotation",
    trust=Trust.PUBLISHED,
)
BACON_PUMPED = Source(title="9 CFR 424.22(b)(1)", place="pumped bacon", trust=Trust.PUBLISHED)
BACON_IMMERSED = Source(title="9 CFR 424.22(b)(2)", place="immersed bacon", trust=Trust.PUBLISHED)
BACON_DRY = Source(title="9 CFR 424.22(b)(3)", place="dry-cured bacon", trust=Trust.PUBLISHED)
HOME_CURE = Source(
    title="21 CFR 172.170 and 172.175",
    place="home-cure preparations: finished meat",
    trust=Trust.PUBLISHED,
)
KEEP_COLD = Source(
    title="FSIS 7620.3", place="page 12 by quotation: keep refrigerated", trust=Trust.PUBLISHED
)
NITRATE_PICKLE = Source(
    title="9 CFR 424.21(c)",
    place="7 lb nitrate to 100 gal at 10 % pump, pickle at 10 lb/gal",
    trust=Trust.COMPUTED,
)
SKIN_ON = Source(
    title="FSIS 7620.3", place="skin-on belly 0.90, by quotation", trust=Trust.PUBLISHED
)
SKIN_ON_FACTOR = 0.90
HOME_NITRITE_PPM, HOME_NITRATE_PPM = 200.0, 500.0
KEEP_COLD_PPM = 120.0
ASCORBATE_PPM, ASCORBIC_ACID_PPM = 546.875, 468.75  # 7/8 and 3/4 oz to 100 lb, 424.21(c)


class Cured(StrEnum):
    """What is cured and how: the rules go by both."""

    DRY_CUT = "dry_cut"
    DRY_BACON = "dry_bacon"
    PUMPED_CUT = "pumped_cut"
    PUMPED_BACON = "pumped_bacon"
    IMMERSED_CUT = "immersed_cut"
    IMMERSED_BACON = "immersed_bacon"
    MINCED = "minced"

    @property
    def words(self) -> str:
        """What the screen says."""
        return self.value.replace("_", "-").replace("cut", "cured cut").replace("-", " ")

    @property
    def is_bacon(self) -> bool:
        """Whether the bacon rules hold, with their skin-free weight."""
        return self in {Cured.DRY_BACON, Cured.PUMPED_BACON, Cured.IMMERSED_BACON}

    @property
    def note(self) -> str:
        """What else its rule asks for."""
        if self is Cured.PUMPED_BACON:
            return (
                "Exactly 120 ppm, with 550 ppm ascorbate or erythorbate; or 100 ppm; or 40 to 80 "
                "with sugar and a culture (9 CFR 424.22(b)(1))."
            )
        return "Reckoned on skin-free green weight." if self.is_bacon else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CureLimit:
    """Most ppm of sodium nitrite, of potassium nitrite, and of nitrate (0: none allowed)."""

    sodium_ppm: float
    potassium_ppm: float
    nitrate_ppm: float
    source: Source
    nitrate_source: Source


def _limit(
    ppm: float, source: Source, *, potassium: float | None = None, nitrate: float = 0.0
) -> CureLimit:
    return CureLimit(
        sodium_ppm=ppm,
        potassium_ppm=ppm if potassium is None else potassium,
        nitrate_ppm=nitrate,
        source=source,
        nitrate_source=NITRATE_PICKLE if nitrate == 700.0 else source,
    )


CURE_LIMITS = {
    Cured.DRY_CUT: _limit(1e6 / 16 / 100, DRY_RULE, nitrate=3.5e6 / 16 / 100),
    Cured.DRY_BACON: _limit(200.0, BACON_DRY, potassium=246.0),
    Cured.PUMPED_CUT: _limit(200.0, PICKLE_RULE, nitrate=700.0),
    Cured.PUMPED_BACON: _limit(120.0, BACON_PUMPED, potassium=148.0),
    Cured.IMMERSED_CUT: _limit(200.0, PICKLE_RULE, nitrate=700.0),
    Cured.IMMERSED_BACON: _limit(120.0, BACON_IMMERSED, potassium=148.0),
    Cured.MINCED: _limit(0.25e6 / 16 / 100, MINCED_RULE, nitrate=2.75e6 / 16 / 100),
}


def green_weight_kg(product: Cured, weighed_kg: float, *, skin_on: bool = False) -> float:
    """The weight the limit is reckoned on: as weighed, but bellies for bacon without their skin.

    Args:
        product: what is cured.
        weighed_kg: above 0 to 2000 kg.
        skin_on: whether the skin was on when it was weighed.

    Returns: kg.

    Raises: OutOfRange.

    >>> green_weight_kg(Cured.DRY_BACON, 5.0, skin_on=True)
    4.5
    >>> green_weight_kg(Cured.DRY_CUT, 5.0, skin_on=True)
    5.0

    Source: ``SKIN_ON``; bacon rules 9 CFR 424.22(b)(2) and (3).
    """
    within("green weight", weighed_kg, low=0.01, high=2000.0, unit="kg", rule="cure")
    return weighed_kg * (SKIN_ON_FACTOR if skin_on and product.is_bacon else 1.0)


def ingoing_findings(
    product: Cured, *, nitrite_ppm: float, nitrate_ppm: float = 0.0, potassium: bool = False
) -> tuple[Finding, ...]:
    """Ingoing ppm against the product's limits, unrounded; then the home and keep-cold figures.

    The home limit is of the finished meat and of a preparation's directions; ingoing stands in
    for it here. Too little nitrite is never outside, only open.

    Args:
        product: what is cured and how.
        nitrite_ppm, nitrate_ppm: mg to a kg of green meat, 0 to 1e6.
        potassium: whether the nitrite is the potassium salt.

    Returns: nitrite limit, nitrate limit, home nitrite, keep-cold least.

    Raises: OutOfRange.

    >>> [one.standing.value for one in ingoing_findings(Cured.DRY_CUT, nitrite_ppm=400.0)]
    ['within', 'within', 'outside', 'within']

    Source: each finding's own.
    """
    for quantity, got in (("nitrite", nitrite_ppm), ("nitrate", nitrate_ppm)):
        within(quantity, got, low=0.0, high=1e6, unit="ppm", rule="cure")
    limit = CURE_LIMITS[product]
    most = limit.potassium_ppm if potassium else limit.sodium_ppm
    return (
        _most(f"{product.words}: ingoing nitrite", most, limit.source).held_against(nitrite_ppm),
        _most(
            f"{product.words}: ingoing nitrate", limit.nitrate_ppm, limit.nitrate_source
        ).held_against(nitrate_ppm),
        _most("home-cure preparations: nitrite", HOME_NITRITE_PPM, HOME_CURE).held_against(
            nitrite_ppm
        ),
        Rule(
            name="nitrite in what is only kept refrigerated",
            limit=KEEP_COLD_PPM,
            sense=Sense.AT_LEAST,
            unit="ppm",
            source=KEEP_COLD,
            remedy="Treat it as fresh meat, or raise the nitrite inside the limit",
        ).held_against(nitrite_ppm, still_running=True),
    )


def _most(name: str, ppm: float, source: Source) -> Rule:
    if ppm == 0.0:
        remedy = "No nitrate goes into bacon: take a cure without it"
    else:
        remedy = f"Weigh less cure: at most {ppm:g} ppm"
    return Rule(name=name, limit=ppm, sense=Sense.AT_MOST, unit="ppm", source=source, remedy=remedy)
