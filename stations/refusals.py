"""What the trade rules refuse, said in the workshop's units and with a way out."""

from __future__ import annotations

from dataclasses import dataclass

from stations.trade import measures
from stations.trade.errors import OutOfRange
from stations.trade.fuels import J_PER_BTU
from workshops.models import Units

# Each SI unit of the trade code in US words: factor, offset, sign, decimals.
_US_UNITS: dict[str, tuple[float, float, str, int]] = {
    "degC": (1.8, 32.0, "°F", 0),
    "K": (1.8, 0.0, "°F", 1),
    "kg": (1 / measures.KG_PER_LB, 0.0, "lb", 1),
    "m": (1 / measures.M_PER_IN, 0.0, "in", 1),
    "m2": (measures.M_PER_FT**-2, 0.0, "sq ft", 1),
    "m3": (1 / measures.M3_PER_GAL, 0.0, "gal", 1),
    "L": (1 / measures.L_PER_GAL, 0.0, "gal", 1),
    "W": (3600 / J_PER_BTU, 0.0, "Btu/h", 0),
    "m/s": (1 / measures.MPS_PER_MPH, 0.0, "mph", 1),
    "s": (1 / 60, 0.0, "min", 1),
}
# The same where the workshop is metric but people do not say watts, metres or seconds.
_METRIC_UNITS: dict[str, tuple[float, float, str, int]] = {
    "degC": (1.0, 0.0, "°C", 1),
    "m": (100.0, 0.0, "cm", 0),
    "m3": (1000.0, 0.0, "L", 0),
    "W": (0.001, 0.0, "kW", 1),
    "s": (1 / 60, 0.0, "min", 1),
}
_FIRE_TOO_WEAK = "Make a hotter fire, get more of it into the water, or screen it from the wind."
_VESSEL_TOO_SMALL = "Choose a bigger vessel, or half covered with a roll, or pour over."
# What would satisfy a refusal, by what was refused; a rule of its own comes first.
_WAYS_OUT = {
    "what this fire reaches against these losses": _FIRE_TOO_WEAK,
    "a day of this fire": "Make a hotter fire, or use less water.",
    "fire": _FIRE_TOO_WEAK,
    "wanted temperature": "Use more water, screen it from the wind, or keep the fire on.",
    "water temperature": "The water would boil: use less heat or a cooler target.",
    "hog length": _VESSEL_TOO_SMALL,
    "hog thickness": _VESSEL_TOO_SMALL,
    "water depth": _VESSEL_TOO_SMALL,
    "water left beside the hog": _VESSEL_TOO_SMALL,
    "beside the hog": "Pour in less water, or use a deeper vessel.",
    "live weight": "The rules of the scald go no further; work with smaller hogs or without them.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """A refusal of the trade code, ready to be read."""

    sentence: str
    way_out: str

    def __str__(self) -> str:
        return f"{self.sentence} {self.way_out}".strip()


def refused(refusal: OutOfRange, units: str) -> Refused:
    """What was refused, the limits, the rule and what would satisfy it, in the workshop's units."""
    name = refusal.quantity[:1].upper() + refusal.quantity[1:]
    got, low, high = (
        shown(value, refusal.unit, units) for value in (refusal.got, refusal.low, refusal.high)
    )
    inside = f"at most {high}" if refusal.got > refusal.high else f"at least {low}"
    way_out = _WAYS_OUT.get(refusal.rule) or _WAYS_OUT.get(refusal.quantity, "")
    sentence = f"{name} is {got}; it can be {inside} ({refusal.rule})."
    return Refused(sentence=sentence, way_out=way_out)


def shown(value: float, unit: str, units: str) -> str:
    """A number of the trade code in the workshop's units: "158 °F", "72 in", "4.5 mph"."""
    table = _US_UNITS if units == Units.US else _METRIC_UNITS
    factor, offset, sign, decimals = table.get(unit, (1.0, 0.0, unit, 2))
    number = f"{value * factor + offset:,.{decimals}f}"
    return f"{number} {sign}"
