"""Where a curve crosses zero: SciPy's Brent method, loaded when it is first asked.

SciPy's optimisers take over a second to load; a page or a command that finds no root need not wait.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any


def root(
    curve: Callable[..., float],
    low: float,
    high: float,
    *,
    args: tuple[Any, ...] = (),
    xtol: float = 2e-12,
) -> float:
    """The argument between ``low`` and ``high`` at which the curve is zero, within ``xtol``.

    The curve must have opposite signs at the two ends; otherwise raises ValueError. ``args`` are
    passed to it after its argument.

    >>> round(root(lambda x: x * x - 2.0, 0.0, 2.0), 6)
    1.414214

    Source: Brent, Algorithms for Minimization Without Derivatives (1973), ch. 4, as SciPy's brentq.
    """
    from scipy.optimize import brentq

    return float(brentq(curve, low, high, args=args, xtol=xtol))
