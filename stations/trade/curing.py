"""Dry, equilibrium and minced cures: what to weigh for a wanted nitrite and salt.

All are one sum: ppm = cure x strength x 1e6 / green weight. In an equilibrium cure all of it goes
in; a rub in excess is judged as if all of it did. A plan above a limit is not made at all.
"""

from __future__ import annotations

from dataclasses import dataclass

from stations.trade.cure_limits import Cured, green_weight_kg, ingoing_findings
from stations.trade.cures import Cure, fraction
from stations.trade.errors import OutOfRange, within
from stations.trade.findings import Finding, OutsideRule, Standing
from stations.trade.sources import Source, Trust

HANDBOOK_DRY = Source(
    title="FSIS 7620.3, Processing Inspectors' Calculations Handbook, 1995",
    place="page 15, by quotation",
    trust=Trust.PUBLISHED,
)
_DRY = {Cured.DRY_CUT, Cured.DRY_BACON, Cured.MINCED}


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """What lies on the scale: product, weight as weighed (0.01 to 2000 kg), skin, cure.

    >>> from stations.trade.cures import CURE_1
    >>> Batch(product=Cured.DRY_BACON, weighed_kg=10.0, skin_on=True, cure=CURE_1).green_kg
    9.0
    """

    product: Cured
    weighed_kg: float
    cure: Cure
    skin_on: bool = False
    potassium: bool = False

    def __post_init__(self) -> None:
        within("green weight", self.weighed_kg, low=0.01, high=2000.0, unit="kg", rule="cure")

    @property
    def green_kg(self) -> float:
        """The weight the nitrite is reckoned on."""
        return green_weight_kg(self.product, self.weighed_kg, skin_on=self.skin_on)

    def findings(self, *, nitrite_ppm: float, nitrate_ppm: float) -> tuple[Finding, ...]:
        """Ingoing amounts against the rules of this product."""
        return ingoing_findings(
            self.product,
            nitrite_ppm=nitrite_ppm,
            nitrate_ppm=nitrate_ppm,
            potassium=self.potassium,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class CurePlan:
    """What to weigh, in kg, and what goes in by it; ``findings`` as ``ingoing_findings``."""

    batch: Batch
    cure_kg: float
    salt_kg: float
    sugar_kg: float
    nitrite_ppm: float
    nitrate_ppm: float
    findings: tuple[Finding, ...]

    @property
    def salt_share(self) -> float:
        """All the salt, the cure's own with it, over the green weight."""
        cure_salt = self.cure_kg * self.batch.cure.salt_share
        return (self.salt_kg + cure_salt) / self.batch.green_kg


def ingoing_ppm(substance_kg: float, *, green_kg: float) -> float:
    """Parts per million on the green weight: substance x 1e6 / green weight.

    Args:
        substance_kg: nitrite or nitrate itself, 0 to 100 kg.
        green_kg: 0.01 to 2000 kg.

    Returns: ppm, mg/kg.

    Raises: OutOfRange.

    >>> round(ingoing_ppm(0.012, green_kg=120.0))
    100

    Source: ``HANDBOOK_DRY``.
    """
    within("substance", substance_kg, low=0.0, high=100.0, unit="kg", rule="cure")
    within("green weight", green_kg, low=0.01, high=2000.0, unit="kg", rule="cure")
    # Below a millionth of a ppm lies only the dust of binary arithmetic.
    return round(substance_kg * 1e6 / green_kg, 6)


def cure_kg_for(cure: Cure, *, nitrite_ppm: float, green_kg: float) -> float:
    """Cure to weigh for a wanted ingoing nitrite: ppm x green weight / (strength x 1e6).

    Args:
        cure: with nitrite in it.
        nitrite_ppm: 0 to 1000.
        green_kg: 0.01 to 2000 kg.

    Returns: kg.

    Raises: OutOfRange, also for a cure without nitrite.

    >>> from stations.trade.cures import CURE_1
    >>> round(1000 * cure_kg_for(CURE_1, nitrite_ppm=156.0, green_kg=1.0), 3)
    2.496

    Source: ``HANDBOOK_DRY``, turned round.
    """
    within("nitrite", nitrite_ppm, low=0.0, high=1000.0, unit="ppm", rule="cure")
    within("green weight", green_kg, low=0.01, high=2000.0, unit="kg", rule="cure")
    within(f"nitrite in {cure.name}", cure.nitrite, low=1e-6, high=1.0, unit="of 1", rule="cure")
    return nitrite_ppm * green_kg / (cure.nitrite * 1e6)


def plan_dry(batch: Batch, *, nitrite_ppm: float, salt: float, sugar: float = 0.0) -> CurePlan:
    """Cure, salt and sugar for a dry, equilibrium or minced batch.

    Salt counts the cure's own; nitrite and nitrate are held against the product's limits first.

    Args:
        batch: dry-cured cut or bacon, or minced.
        nitrite_ppm: wanted ingoing, 0 to 1000.
        salt: all the salt as a fraction of the green weight, 0.005 to 0.12.
        sugar: fraction of the green weight, 0 to 0.10.

    Returns: the plan.

    Raises: OutsideRule above a limit, with rule and source; PercentForFraction or OutOfRange for
        a share out of range, a pickled product, or less salt than the cure brings.

    >>> from stations.trade.cures import CURE_1
    >>> belly = Batch(product=Cured.DRY_BACON, weighed_kg=5.0, skin_on=True, cure=CURE_1)
    >>> plan = plan_dry(belly, nitrite_ppm=156.0, salt=0.025)
    >>> round(1000 * plan.cure_kg, 2), round(1000 * plan.salt_kg, 1)
    (11.23, 102.0)

    Source: ``HANDBOOK_DRY``.
    """
    if batch.product not in _DRY:
        message = f"{batch.product.words} is cured in a pickle; plan the pickle instead."
        raise ValueError(message)
    fraction("salt", salt, low=0.005, high=0.12, rule="of the green weight")
    fraction("sugar", sugar, low=0.0, high=0.10, rule="of the green weight")
    cure_kg = cure_kg_for(batch.cure, nitrite_ppm=nitrite_ppm, green_kg=batch.green_kg)
    plan = judged_dry(batch, cure_kg=cure_kg)
    refuse_outside(plan.findings)
    brought = cure_kg * batch.cure.salt_share
    wanted = salt * batch.green_kg
    if brought > wanted:
        raise OutOfRange(
            "salt",
            got=salt,
            low=brought / batch.green_kg,
            high=0.12,
            unit="of 1",
            rule="the cure alone brings that much",
        )
    return CurePlan(
        batch=batch,
        cure_kg=cure_kg,
        salt_kg=wanted - brought,
        sugar_kg=sugar * batch.green_kg,
        nitrite_ppm=plan.nitrite_ppm,
        nitrate_ppm=plan.nitrate_ppm,
        findings=plan.findings,
    )


def judged_dry(batch: Batch, *, cure_kg: float, salt_kg: float = 0.0) -> CurePlan:
    """What went in by what was weighed: recorded and judged, not refused.

    Args:
        batch: dry-cured or minced.
        cure_kg: 0 to 1000 kg of cure or rub.
        salt_kg: plain salt beside it, 0 to 1000 kg.

    Returns: the plan as weighed.

    Raises: OutOfRange.

    >>> from stations.trade.cures import CURE_1
    >>> heavy = judged_dry(
    ...     Batch(product=Cured.MINCED, weighed_kg=10.0, cure=CURE_1), cure_kg=0.25)
    >>> round(heavy.nitrite_ppm, 1), heavy.findings[0].standing.value
    (1562.5, 'outside')

    Source: ``HANDBOOK_DRY``.
    """
    within("cure", cure_kg, low=0.0, high=1000.0, unit="kg", rule="cure")
    within("salt", salt_kg, low=0.0, high=1000.0, unit="kg", rule="cure")
    nitrite = ingoing_ppm(cure_kg * batch.cure.nitrite, green_kg=batch.green_kg)
    nitrate = ingoing_ppm(cure_kg * batch.cure.nitrate, green_kg=batch.green_kg)
    return CurePlan(
        batch=batch,
        cure_kg=cure_kg,
        salt_kg=salt_kg,
        sugar_kg=0.0,
        nitrite_ppm=nitrite,
        nitrate_ppm=nitrate,
        findings=batch.findings(nitrite_ppm=nitrite, nitrate_ppm=nitrate),
    )


def refuse_outside(findings: tuple[Finding, ...]) -> None:
    """Raise OutsideRule for the first of the product's own limits that is broken.

    The home and keep-cold figures that follow are shown, not enforced.

    >>> refuse_outside(())

    Source: the finding's own.
    """
    for one in findings[:2]:
        if one.standing is Standing.OUTSIDE:
            raise OutsideRule(one)
