"""Sums that are expressions of the solver even where there is nothing to add."""

from __future__ import annotations

from collections.abc import Iterable

from ortools.sat.python.cp_model import LinearExpr


def total(terms: Iterable[LinearExpr]) -> LinearExpr:
    """The sum of some expressions, an expression even where there are none."""
    return LinearExpr.sum(list(terms))
