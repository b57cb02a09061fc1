"""Weights followed down: live, hot, cold, cuts, packages; what is missing is shown, not spread.

At each stage: what went in, what was weighed out, what was named as set aside, and the rest,
unexplained. A stage that gives more than went in says so: a scale, a basis or an entry is wrong.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from stations.trade.errors import within
from stations.trade.findings import Standing
from stations.trade.sources import PRACTICE, Source
from stations.trade.yields import DRESSING, SHRINK_HIGH, SHRINK_SOURCE, Dressed

SCALE_SHARE = 0.005
"""Two weighings that agree within half a per cent agree (common practice, no source)."""
CUTTING_LOSS_SHARE = 0.02
"""Drip, sawdust and scraps at the table, of what was cut (common practice, no source)."""


class Stage(StrEnum):
    """Where weight may go."""

    DRESSING = "live to hot"
    CHILLING = "hot to cold"
    CUTTING = "cold to cuts"
    PACKING = "cuts to packages"


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """What was weighed of one hog, kg; None where it was not. ``aside`` is named and weighed too:
    offal and blood at dressing, bones, lard and scraps at cutting and packing.

    Each 0 to 400 kg, else OutOfRange.
    """

    live_kg: float | None = None
    hot_kg: float | None = None
    cold_kg: float | None = None
    cuts_kg: Mapping[str, float] = field(default_factory=dict)
    packages_kg: Mapping[str, float] = field(default_factory=dict)
    aside_kg: Mapping[Stage, Mapping[str, float]] = field(default_factory=dict)
    dressed: Dressed = Dressed.SKIN_ON

    def __post_init__(self) -> None:
        asides = [one for stage in self.aside_kg.values() for one in stage.items()]
        named = [
            ("live weight", self.live_kg),
            ("hot carcass", self.hot_kg),
            ("cold carcass", self.cold_kg),
            *self.cuts_kg.items(),
            *self.packages_kg.items(),
            *asides,
        ]
        for quantity, kg in named:
            if kg is not None:
                within(quantity, kg, low=0.0, high=400.0, unit="kg", rule="weigh-in")


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One stage: in, out, set aside, and the rest; the rest against what is usual."""

    stage: Stage
    in_kg: float
    out_kg: float
    aside_kg: float
    usual_low_kg: float
    usual_high_kg: float
    source: Source

    @property
    def unexplained_kg(self) -> float:
        """In less out less aside: a loss is positive."""
        return self.in_kg - self.out_kg - self.aside_kg

    @property
    def standing(self) -> Standing:
        """Within what is usual, above or below it (open), or more out than in (outside)."""
        if self.unexplained_kg < -SCALE_SHARE * self.in_kg:
            return Standing.OUTSIDE
        slack = SCALE_SHARE * self.in_kg
        usual = self.usual_low_kg - slack <= self.unexplained_kg <= self.usual_high_kg + slack
        return Standing.WITHIN if usual else Standing.OPEN

    @property
    def sentence(self) -> str:
        """The stage in words, kg to a tenth."""
        said = (
            f"{self.stage.value}: {self.in_kg:.1f} kg in, {self.out_kg:.1f} out, "
            f"{self.aside_kg:.1f} set aside, {self.unexplained_kg:.1f} unexplained"
        )
        match self.standing:
            case Standing.WITHIN:
                return f"{said}; usual is {self.usual_low_kg:.1f} to {self.usual_high_kg:.1f}."
            case Standing.OUTSIDE:
                return f"{said}: more came out than went in. Check the scale and the entries."
            case Standing.OPEN:
                return (
                    f"{said}; usual is {self.usual_low_kg:.1f} to {self.usual_high_kg:.1f}. "
                    "Look for a part not weighed, or a different basis."
                )


def reconcile(weights: Weights) -> tuple[Step, ...]:
    """Every stage whose two ends were weighed, in order.

    in = out + aside + unexplained, exactly. Usual: at dressing by the basis, at chilling 0 to 3
    per cent, at cutting and packing 0 to 2 per cent.

    Args:
        weights: what was weighed.

    Returns: stages; those without both weights are left out.

    Raises: nothing.

    >>> hog = Weights(live_kg=120.0, hot_kg=86.0, cold_kg=84.5, cuts_kg={"ham": 40.0, "rest": 36.0},
    ...               aside_kg={Stage.CUTTING: {"bones": 8.0}})
    >>> for step in reconcile(hog):
    ...     print(step.sentence)
    live to hot: 120.0 kg in, 86.0 out, 0.0 set aside, 34.0 unexplained; usual is 32.4 to 36.0.
    hot to cold: 86.0 kg in, 84.5 out, 0.0 set aside, 1.5 unexplained; usual is 0.0 to 2.6.
    cold to cuts: 84.5 kg in, 76.0 out, 8.0 set aside, 0.5 unexplained; usual is 0.0 to 1.7.

    Source: ``yields``; cutting loss common practice.
    """
    cuts = sum(weights.cuts_kg.values()) if weights.cuts_kg else None
    packed = sum(weights.packages_kg.values()) if weights.packages_kg else None
    chain = (
        (Stage.DRESSING, weights.live_kg, weights.hot_kg),
        (Stage.CHILLING, weights.hot_kg, weights.cold_kg),
        (Stage.CUTTING, weights.cold_kg, cuts),
        (Stage.PACKING, cuts, packed),
    )
    return tuple(
        _step(weights, stage, in_kg, out_kg)
        for stage, in_kg, out_kg in chain
        if in_kg is not None and out_kg is not None
    )


def _step(weights: Weights, stage: Stage, in_kg: float, out_kg: float) -> Step:
    aside = sum(weights.aside_kg.get(stage, {}).values())
    low, high, source = _usual(weights, stage, in_kg)
    named = aside if stage is Stage.DRESSING else 0.0  # offal weighed is offal explained
    return Step(
        stage=stage,
        in_kg=in_kg,
        out_kg=out_kg,
        aside_kg=aside,
        usual_low_kg=max(0.0, low - named),
        usual_high_kg=max(0.0, high - named),
        source=source,
    )


def _usual(weights: Weights, stage: Stage, in_kg: float) -> tuple[float, float, Source]:
    match stage:
        case Stage.DRESSING:
            share = DRESSING[weights.dressed]
            return in_kg * (1 - share.high), in_kg * (1 - share.low), share.source
        case Stage.CHILLING:
            return 0.0, in_kg * SHRINK_HIGH, SHRINK_SOURCE
        case Stage.CUTTING | Stage.PACKING:
            return 0.0, in_kg * CUTTING_LOSS_SHARE, PRACTICE
