"""Curing salts and their strengths, and the guard against a percentage typed for a fraction.

Strength is a fraction: 0.0625, not 6.25. The slip makes a hundredfold overdose, and it is an old
one, so a value that looks like it is refused with the value that was probably meant.
"""

from __future__ import annotations

from dataclasses import dataclass

from stations.trade.errors import TradeError, within
from stations.trade.sources import Source, Trust

CURE_1_SOURCE = Source(
    title="cure no. 1, labels", place="6.25 % sodium nitrite, 93.75 % salt", trust=Trust.PUBLISHED
)
CURE_1_WEAK_SOURCE = Source(
    title="forum.sausagemaking.org, topic 5017",
    place="a British cure no. 1 at 5.88 %",
    trust=Trust.PUBLISHED,
)
CURE_2_SOURCE = Source(
    title="cure no. 2, labels",
    place="nitrite 5.67 to 6.25 %, nitrate 1, 3.63 or 4 %: read the label",
    trust=Trust.PUBLISHED,
)
LEAST_STRENGTH, MOST_STRENGTH = 0.001, 0.10  # a judgement: a guard against slips


class PercentForFraction(TradeError, ValueError):
    """A percentage where a fraction is asked for: a hundredfold slip."""

    def __init__(self, quantity: str, *, got: float) -> None:
        self.quantity = quantity
        self.got = got
        self.meant = got / 100
        name = quantity[:1].upper() + quantity[1:]
        super().__init__(
            f"{name} {got:g} looks like a percentage; a fraction is asked for. "
            f"For {got:g} % enter {self.meant:g}."
        )


def fraction(quantity: str, got: float, *, low: float, high: float, rule: str) -> float:
    """Return a fraction inside its range; refuse a percentage by name, anything else as usual.

    Raises PercentForFraction where a hundredth of the value would fit, else OutOfRange.

    >>> fraction("strength", 0.0625, low=0.001, high=0.10, rule="cure")
    0.0625
    >>> fraction("strength", 6.25, low=0.001, high=0.10, rule="cure")
    Traceback (most recent call last):
    ...
    stations.trade.cures.PercentForFraction: Strength 6.25 looks like a percentage; a fraction is \
asked for. For 6.25 % enter 0.0625.

    Source: Processing Inspectors' Calculations Handbook, FSIS 7620.3, uses fractions throughout.
    """
    if got > high and low <= got / 100 <= high:
        raise PercentForFraction(quantity, got=got)
    return within(quantity, got, low=low, high=high, unit="of 1", rule=rule)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cure:
    """A curing salt or rub: its fractions of sodium nitrite and nitrate by weight.

    Each is 0 or 0.001 to 0.10, never both 0. ``salt`` is the fraction of plain salt in it (all of
    the rest unless given).

    >>> CURE_1.nitrite, CURE_1.salt_share
    (0.0625, 0.9375)
    """

    name: str
    nitrite: float
    nitrate: float = 0.0
    salt: float | None = None
    source: Source

    def __post_init__(self) -> None:
        for quantity, got in (
            (f"nitrite in {self.name}", self.nitrite),
            (f"nitrate in {self.name}", self.nitrate),
        ):
            if got != 0.0:
                fraction(quantity, got, low=LEAST_STRENGTH, high=MOST_STRENGTH, rule="cure")
        total = self.nitrite + self.nitrate
        within("nitrite and nitrate", total, low=LEAST_STRENGTH, high=0.2, unit="of 1", rule="cure")
        if self.salt is not None:
            fraction("salt in it", self.salt, low=0.0, high=1.0 - total, rule="cure")

    @property
    def salt_share(self) -> float:
        """How much of it is plain salt."""
        return 1.0 - self.nitrite - self.nitrate if self.salt is None else self.salt


CURE_1 = Cure(name="cure no. 1", nitrite=0.0625, source=CURE_1_SOURCE)
CURE_1_WEAK = Cure(name="cure no. 1, 5.88 %", nitrite=0.0588, source=CURE_1_WEAK_SOURCE)
CURE_2 = Cure(name="cure no. 2", nitrite=0.0625, nitrate=0.04, source=CURE_2_SOURCE)


def rub_of(
    name: str,
    *,
    salt_kg: float,
    sugar_kg: float = 0.0,
    nitrite_kg: float = 0.0,
    nitrate_kg: float = 0.0,
    source: Source,
) -> Cure:
    """A rub mixed from weights, as the fractions a batch is worked out with.

    Args:
        name: for sentences.
        salt_kg, sugar_kg, nitrite_kg, nitrate_kg: 0 to 1000 kg, salt above 0.
        source: the recipe's.

    Returns: the rub.

    Raises: OutOfRange, also for a rub without nitrite and nitrate.

    >>> rub = rub_of("ham rub", salt_kg=8, sugar_kg=3, nitrite_kg=0.5 / 16, nitrate_kg=2 / 16,
    ...              source=CURE_1_SOURCE)
    >>> round(rub.nitrite, 6), round(rub.salt_share, 4)
    (0.002801, 0.7171)

    Source: arithmetic.
    """
    for quantity, kg in (
        ("sugar", sugar_kg),
        ("nitrite", nitrite_kg),
        ("nitrate", nitrate_kg),
    ):
        within(quantity, kg, low=0.0, high=1000.0, unit="kg", rule="rub")
    within("salt", salt_kg, low=1e-6, high=1000.0, unit="kg", rule="rub")
    total = salt_kg + sugar_kg + nitrite_kg + nitrate_kg
    return Cure(
        name=name,
        nitrite=nitrite_kg / total,
        nitrate=nitrate_kg / total,
        salt=salt_kg / total,
        source=source,
    )
