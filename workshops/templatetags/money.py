"""Amounts in templates."""

from __future__ import annotations

from django import template

from workshops.money import said

register = template.Library()


@register.filter
def amount(cents: int, currency: str) -> str:
    """Cents as an amount: ``USD 485.00``."""
    return said(cents, currency)
