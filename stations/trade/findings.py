"""A food rule held against what was measured: within the limit, open, or outside it.

A finding names a rule and its source; it never says that food may be eaten. Shown values are
rounded away from a pass: 4.44 against "at most 4.4" reads 4.5, never 4.4.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from stations.trade.errors import TradeError
from stations.trade.sources import Source

WHO_DECIDES = "The lead decides, under the local food authority's rules"


class Standing(StrEnum):
    """How a measurement stands to a rule. None of them certifies food."""

    WITHIN = "within"
    OPEN = "open"
    OUTSIDE = "outside"

    @property
    def words(self) -> str:
        """What the screen and the sheet say."""
        return {
            Standing.WITHIN: "within the limit",
            Standing.OPEN: "not yet decided",
            Standing.OUTSIDE: "outside the limit",
        }[self]

    @property
    def rank(self) -> int:
        """0 for the mildest; a record of several rules takes the highest."""
        return list(Standing).index(self)


class Sense(StrEnum):
    """Which way a limit holds."""

    AT_MOST = "at most"
    AT_LEAST = "at least"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One rule, what was measured against it, and what its source or the lead does next.

    >>> from stations.trade.sources import Source, Trust
    >>> found = Finding(standing=Standing.OUTSIDE, rule="Ham centre", value=4.44, limit=4.4,
    ...     sense=Sense.AT_MOST, unit="degC", remedy="Chill on",
    ...     source=Source(title="a text", trust=Trust.PUBLISHED))
    >>> found.sentence()
    'Outside the limit: ham centre is 4.5 degC, at most 4.4 degC. Chill on. [a text (published)]'
    """

    standing: Standing
    rule: str
    value: float
    limit: float
    sense: Sense
    unit: str
    source: Source
    remedy: str = ""

    @property
    def holds(self) -> bool:
        """Whether the bare number keeps the limit, unrounded, whoever may decide on it."""
        if self.sense is Sense.AT_MOST:
            return self.value <= self.limit
        return self.value >= self.limit

    def sentence(self) -> str:
        """The finding in one line, in SI units, its source last."""
        words = self.standing.words
        said = (
            f"{words[:1].upper()}{words[1:]}: {self.rule[:1].lower()}{self.rule[1:]} is "
            f"{shown(self.value, self.sense)} {self.unit}, "
            f"{self.sense.value} {self.limit:.4g} {self.unit}."
        )
        remedy = f" {self.remedy}." if self.remedy else ""
        return f"{said}{remedy} [{self.source}]"


class OutsideRule(TradeError):
    """A plan that would break a limit; it is refused, with the finding that says why."""

    def __init__(self, finding: Finding) -> None:
        self.finding = finding
        super().__init__(finding.sentence())


def shown(value: float, sense: Sense) -> str:
    """A value to one decimal (none from 1000), rounded away from a pass.

    >>> shown(199.96, Sense.AT_MOST), shown(62.79, Sense.AT_LEAST), shown(4.0, Sense.AT_MOST)
    ('200', '62.7', '4')

    Source: none needed; a reading against a least is cut, against a most is raised (judgement).
    """
    scale = 10 if abs(value) < 1000 else 1
    # 1e-9 takes out the dust of binary arithmetic, far below what any thermometer shows.
    if sense is Sense.AT_MOST:
        return f"{math.ceil(value * scale - 1e-9) / scale:g}"
    return f"{math.floor(value * scale + 1e-9) / scale:g}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A limit with its source; ``held_against`` turns a measurement into a finding."""

    name: str
    limit: float
    sense: Sense
    unit: str
    source: Source
    remedy: str

    def held_against(self, value: float, *, still_running: bool = False) -> Finding:
        """The finding for a value; ``still_running`` keeps a broken "at least" open.

        A source that may not decide alone leaves a kept limit open, for the lead. A limit of
        "at most" that is broken stays broken, running or not. Raises nothing.
        """
        kept = value <= self.limit if self.sense is Sense.AT_MOST else value >= self.limit
        if kept and self.source.trust.may_decide:
            may_change = still_running and self.sense is Sense.AT_MOST
            standing = Standing.OPEN if may_change else Standing.WITHIN
        elif kept or (still_running and self.sense is Sense.AT_LEAST):
            standing = Standing.OPEN
        else:
            standing = Standing.OUTSIDE
        return Finding(
            standing=standing,
            rule=self.name,
            value=value,
            limit=self.limit,
            sense=self.sense,
            unit=self.unit,
            source=self.source,
            remedy="" if standing is Standing.WITHIN else self.remedy,
        )


def worst(findings: tuple[Finding, ...]) -> Standing:
    """The standing of several findings together: the highest; open when there are none.

    >>> worst(())
    <Standing.OPEN: 'open'>

    Source: none needed.
    """
    return max((one.standing for one in findings), key=lambda one: one.rank, default=Standing.OPEN)
