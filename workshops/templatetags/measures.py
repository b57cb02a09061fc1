"""Shows SI in the workshop's chosen units: ``{{ hog.live_kg|weight:workshop.units }}``."""

from __future__ import annotations

from decimal import Decimal

from django import template

from workshops import quantities

register = template.Library()

Stored = Decimal | float | None
NOT_KNOWN = "–"  # noqa: RUF001  # an en dash, as in print; read by a table's empty cell


@register.filter
def weight(kilograms: Stored, units: str) -> str:
    """kg in; kg or lb out."""
    return NOT_KNOWN if kilograms is None else quantities.WEIGHT.shown(kilograms, units)


@register.filter
def length(centimetres: Stored, units: str) -> str:
    """Centimetres in; cm or inches out."""
    return NOT_KNOWN if centimetres is None else quantities.LENGTH.shown(centimetres, units)


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
