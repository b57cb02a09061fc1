"""A judgement as a value: what was compared, with what, and what would help. None is "safe"."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from stations.trade.sources import Source


class Grade(StrEnum):
    """What a published screen says; it certifies nothing."""

    WITHIN = "within"
    ASK_LEAD = "ask_lead"
    NEEDS_AID = "needs_aid"

    @property
    def words(self) -> str:
        """What the screen and the sheet say."""
        return {
            Grade.WITHIN: "within the screen",
            Grade.ASK_LEAD: "ask the lead",
            Grade.NEEDS_AID: "needs an aid",
        }[self]

    @property
    def rank(self) -> int:
        """0 for the mildest; a verdict of several screens takes the highest."""
        return list(Grade).index(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """One screen's answer, with the number that decided it and the remedy.

    >>> from stations.trade.sources import Source, Trust
    >>> Verdict(grade=Grade.NEEDS_AID, rule="Worst person's share", value=41.0, limit=25.0,
    ...         unit="kg", remedy="Use a ramp at 15 degrees",
    ...         source=Source(title="HSE L23", trust=Trust.PUBLISHED)).sentence()
    "Needs an aid: worst person's share is 41 kg against 25 kg. Use a ramp at 15 degrees."
    """

    grade: Grade
    rule: str
    value: float
    limit: float
    unit: str
    source: Source
    remedy: str = ""

    def sentence(self) -> str:
        """The verdict as one or two sentences, in SI units."""
        grade = self.grade.words[:1].upper() + self.grade.words[1:]
        rule = self.rule[:1].lower() + self.rule[1:]
        said = (
            f"{grade}: {rule} is {self.value:.3g} {self.unit} against {self.limit:.3g} {self.unit}."
        )
        return f"{said} {self.remedy}." if self.remedy else said
