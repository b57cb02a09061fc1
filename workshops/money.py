"""Amounts: whole cents in rows, decimals on screen."""

from __future__ import annotations

from decimal import Decimal

CENTS = Decimal("0.01")


def said(cents: int, currency: str) -> str:
    """An amount as it is read.

    >>> said(123450, "USD")
    'USD 1,234.50'
    >>> said(-500, "EUR")
    '-EUR 5.00'
    """
    sign = "-" if cents < 0 else ""
    return f"{sign}{currency} {Decimal(abs(cents)) * CENTS:,.2f}"


def cents(amount: Decimal) -> int:
    """An amount with at most two decimals, in cents.

    >>> cents(Decimal("12.5"))
    1250
    """
    return int(amount / CENTS)
