"""A verdict as sentences in the workshop's units, and as a safety note. The trade speaks SI."""

from __future__ import annotations

from stations.cautions import Caution
from stations.models import Signal
from stations.trade.verdicts import Grade, Verdict
from workshops.quantities import TEMPERATURE, WEIGHT, Quantity

_MEASURES: dict[str, Quantity] = {"kg": WEIGHT, "degC": TEMPERATURE}


def measured(value: float, unit: str, units: str) -> str:
    """A figure of the trade as the workshop reads it: "267 lb", "30 °F", "45 s"."""
    quantity = _MEASURES.get(unit)
    return quantity.shown(value, units) if quantity else f"{value:.3g} {unit}"


def said(verdict: Verdict, units: str) -> str:
    """The verdict as one or two sentences: what was compared with what, and what would help."""
    grade = verdict.grade.words[:1].upper() + verdict.grade.words[1:]
    rule = verdict.rule[:1].lower() + verdict.rule[1:]
    value = measured(verdict.value, verdict.unit, units)
    # A limit of nothing stands for "not rated" or "not known"; the remedy then says which. A
    # temperature may well have nought as its limit.
    if verdict.limit == 0 and verdict.unit == "kg":
        sentence = f"{grade}: {rule} is {value}."
    else:
        limit = measured(verdict.limit, verdict.unit, units)
        sentence = f"{grade}: {rule} is {value} against {limit}."
    return f"{sentence} {verdict.remedy}." if verdict.remedy else sentence


SIGNALS = {
    Grade.WITHIN: Signal.NOTICE,
    Grade.ASK_LEAD: Signal.CAUTION,
    Grade.NEEDS_AID: Signal.WARNING,
}


def caution(verdict: Verdict, units: str) -> Caution:
    """The note for a verdict: beyond a screen is a warning, the lead's to judge a caution."""
    return Caution(
        signal=SIGNALS[verdict.grade],
        text=said(verdict, units),
        source_line=str(verdict.source),
    )
