"""Shows SI in the workshop's chosen units: ``{{ hog.live_kg|weight:workshop.units }}``."""

from __future__ import annotations

from decimal import Decimal

from django import template

from workshops import quantities
from workshops.models import Units

register = template.Library()

Stored = Decimal | float | None
NOT_KNOWN = "–"  # noqa: RUF001  # an en dash, as in print; read by a table's empty cell


@register.filter
def weight(kilograms: Stored, units: str) -> str:
    """kg in; kg or lb out."""
    return NOT_KNOWN if kilograms is None else quantities.WEIGHT.shown(kilograms, units)


@register.filter
def height(centimetres: Stored, units: str) -> str:
    """A person's height: centimetres in; cm, or feet and inches, out."""
    return NOT_KNOWN if centimetres is None else quantities.height_shown(float(centimetres), units)


@register.filter
def temperature(celsius: Stored, units: str) -> str:
    """degC in; degC or degF out."""
    return NOT_KNOWN if celsius is None else quantities.TEMPERATURE.shown(celsius, units)


@register.filter
def volume(litres: Stored, units: str) -> str:
    """Litres in; L or US gallons out."""
    return NOT_KNOWN if litres is None else quantities.VOLUME.shown(litres, units)


@register.filter
def probe(celsius: Stored, units: str) -> str:
    """A probe's reading to a tenth: degC in; degC or degF out."""
    if celsius is None:
        return NOT_KNOWN
    return quantities.TEMPERATURE.shown(celsius, units, decimals=1)


@register.filter
def weight_fine(kilograms: Stored, units: str) -> str:
    """A weight to a tenth: kg in; kg or lb out."""
    if kilograms is None:
        return NOT_KNOWN
    return quantities.WEIGHT.shown(kilograms, units, decimals=1)


@register.filter
def scale_weight(kilograms: Stored, units: str) -> str:
    """A weight off a small scale: kg in; kg to the gram or lb to a hundredth out."""
    if kilograms is None:
        return NOT_KNOWN
    decimals = 2 if units == Units.US else 3
    return quantities.WEIGHT.shown(kilograms, units, decimals=decimals)


@register.filter
def grams(kilograms: float) -> str:
    """Kilograms in; grams out, to a tenth below a hundred."""
    shown = kilograms * 1000
    return f"{shown:,.0f} g" if shown >= 100 else f"{shown:.1f} g"


@register.filter
def ounces(kilograms: float) -> str:
    """Kilograms in; ounces out, to a hundredth."""
    return f"{quantities.WEIGHT.to_us(kilograms) * 16:.2f} oz"


@register.filter
def percent(share: float) -> str:
    """A fraction in; a percentage out."""
    return f"{100 * share:.4g} %"


@register.filter
def mass(kilograms: Stored, units: str) -> str:
    """What a kitchen weighs: kg in; lb and ounces (with grams, as spice is weighed) or kg and g."""
    return NOT_KNOWN if kilograms is None else quantities.mass_shown(float(kilograms), units)
