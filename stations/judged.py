"""A finding of the trade rules as a page says it: in the workshop's units, its source last."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from stations.trade import findings, measures
from stations.trade.findings import Finding, Standing
from workshops.models import Units


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One rule against what was measured, ready to be read. None of them certifies food."""

    standing: Standing
    rule: str
    value: str
    limit: str
    remedy: str
    source: str

    @property
    def words(self) -> str:
        """Within the limit, not yet decided, outside the limit."""
        said = self.standing.words
        return said[:1].upper() + said[1:]

    @property
    def sentence(self) -> str:
        """In one line, without its source."""
        said = f"{self.words}: {self.rule} is {self.value}, {self.limit}."
        return f"{said} {self.remedy}." if self.remedy else said


def judged(finding: Finding, units: str) -> Judged:
    """One finding. Degrees are turned into the workshop's before they are cut, never after."""
    value, limit, sign = finding.value, finding.limit, finding.unit
    if sign == "degC":
        sign = "°F" if units == Units.US else "°C"
        if units == Units.US:
            value, limit = (measures.fahrenheit(celsius=each) for each in (value, limit))
    shown = findings.shown(value, finding.sense)
    rule = finding.rule
    return Judged(
        standing=finding.standing,
        rule=rule[:1].lower() + rule[1:],
        value=f"{shown} {sign}",
        limit=f"{finding.sense.value} {limit:.4g} {sign}",
        remedy=finding.remedy,
        source=str(finding.source),
    )


def all_judged(found: Iterable[Finding], units: str) -> tuple[Judged, ...]:
    """Several, in their order."""
    return tuple(judged(one, units) for one in found)


def worst(lines: Iterable[Judged]) -> Standing:
    """The standing of several together: the highest; open when there are none."""
    return max((one.standing for one in lines), key=lambda one: one.rank, default=Standing.OPEN)
