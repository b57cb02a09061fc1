"""Cooling of a plain shape by air that changes: the exact series, mode by mode.

Each mode follows the air with its own rate, da/dt = rate (air - a), which has a closed form
while the air changes evenly; the temperature is the weighted sum of the modes. No time step, no
grid: ``conduction_grid`` solves the same shape numerically as a check.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import j0, j1

from stations.trade.errors import within
from stations.trade.roots import root
from stations.trade.sources import Source, Trust

Floats = NDArray[np.float64]

SERIES = Source(
    title="Incropera, Fundamentals of Heat and Mass Transfer",
    place="one-term and exact series, sections 5.5 and 5.6; table 5.1 agrees",
    trust=Trust.COMPUTED,
)
MODES = 30


class Shape(StrEnum):
    """What the meat is taken for: a wide slab, a long cylinder, a ball."""

    SLAB = "slab"
    CYLINDER = "cylinder"
    SPHERE = "sphere"


@dataclass(frozen=True, slots=True, kw_only=True)
class Modes:
    """Roots, the weight of each mode at the centre, and at the surface."""

    zeta: tuple[float, ...]
    centre: tuple[float, ...]
    surface: tuple[float, ...]


def _slab(z: float, Bi: float) -> float:
    return z * math.sin(z) - Bi * math.cos(z)


def _cylinder(z: float, Bi: float) -> float:
    return float(z * j1(z) - Bi * j0(z))


def _sphere(z: float, Bi: float) -> float:
    return math.sin(z) * (1 - Bi) - z * math.cos(z)


_ROOTS: dict[Shape, Callable[[float, float], float]] = {
    Shape.SLAB: _slab,
    Shape.CYLINDER: _cylinder,
    Shape.SPHERE: _sphere,
}


def _bracket(shape: Shape, n: int) -> tuple[float, float]:
    """Where root n lies, whatever the Biot number: between the ends without and with all film."""
    if shape is Shape.SLAB:
        return n * math.pi, (n + 0.5) * math.pi
    if shape is Shape.SPHERE:
        return max(1e-9, n * math.pi), (n + 1) * math.pi
    low = 0.0 if n == 0 else _bessel_root(n, j1, 0.25)
    return low, _bessel_root(n + 1, j0, -0.25)


def _bessel_root(n: int, bessel: Callable[[float], float], shift: float) -> float:
    """Root n of J0 (shift -1/4) or J1 (shift 1/4), from McMahon's first guess."""
    guess = (n + shift) * math.pi
    return root(lambda z: float(bessel(z)), guess - 0.5, guess + 0.5)


@lru_cache(maxsize=256)
def modes_of(shape: Shape, Bi: float, count: int = MODES) -> Modes:
    """The first roots of a shape and the weights C of its modes at centre and surface.

    Slab z tan z = Bi, cylinder z J1(z) = Bi J0(z), sphere 1 - z cot z = Bi.

    Args:
        shape: slab, cylinder or sphere.
        Bi: Biot number h L / k, L the half thickness or radius, 0.01 to 1000.
        count: how many modes, 1 to 60.

    Returns: roots and weights, in order.

    Raises: OutOfRange.

    >>> first = modes_of(Shape.CYLINDER, 2.0)
    >>> round(first.zeta[0], 4), round(first.centre[0], 4)
    (1.5994, 1.3384)

    Source: Incropera table 5.1 (from memory) agrees to four digits; computed here.
    """
    within("Biot number", Bi, low=0.01, high=1000.0, unit="", rule="series")
    within("modes", count, low=1, high=60, unit="", rule="series")
    zetas, centre, surface = [], [], []
    for n in range(count):
        low, high = _bracket(shape, n)
        edge = 1e-12 * (high - low)
        z = root(_ROOTS[shape], low + edge, high - edge, args=(Bi,), xtol=1e-13)
        weight, at_surface = _weights(shape, z)
        zetas.append(z)
        centre.append(weight)
        surface.append(weight * at_surface)
    return Modes(zeta=tuple(zetas), centre=tuple(centre), surface=tuple(surface))


def _weights(shape: Shape, z: float) -> tuple[float, float]:
    """C of the mode at the centre, and what of it is left at the surface."""
    if shape is Shape.SLAB:
        return 4 * math.sin(z) / (2 * z + math.sin(2 * z)), math.cos(z)
    if shape is Shape.CYLINDER:
        return float(2 / z * j1(z) / (j0(z) ** 2 + j1(z) ** 2)), float(j0(z))
    return 4 * (math.sin(z) - z * math.cos(z)) / (2 * z - math.sin(2 * z)), math.sin(z) / z


def centre_theta(shape: Shape, Bi: float, Fo: float) -> float:
    """The share of the first difference to the air still left at the centre: S C e^(-z2 Fo).

    Args:
        shape: slab, cylinder or sphere.
        Bi: Biot number, 0.01 to 1000.
        Fo: Fourier number alpha t / L2, 0.001 to 100.

    Returns: 0 to 1.

    Raises: OutOfRange.

    >>> round(centre_theta(Shape.SLAB, 2.0, 0.5), 5)
    0.65962

    Source: ``SERIES``.
    """
    within("Fourier number", Fo, low=0.001, high=100.0, unit="", rule="series")
    modes = modes_of(shape, Bi)
    return sum(C * math.exp(-(z**2) * Fo) for C, z in zip(modes.centre, modes.zeta, strict=True))


def follow_air(
    times_s: Sequence[float], airs_c: Floats, *, rates: Floats, start_c: Floats
) -> Floats:
    """How each mode follows air that changes evenly between the given times, in degC.

    With s the slope of the air in a step of length d: a' = A' - s/r + (a - A + s/r) e^(-r d).

    Args:
        times_s: increasing times, at least two.
        airs_c: the air at those times, last axis times; a leading axis for many runs is allowed.
        rates: 1/s, last axis modes, with the same leading axis or none.
        start_c: degC at the first time, one for each run or a single value.

    Returns: array with axes (times, [runs,] modes).

    Raises: ValueError if the times do not increase.

    >>> lump = follow_air((0.0, 100.0), np.array([0.0, 0.0]), rates=np.array([0.01]),
    ...                   start_c=np.array(10.0))
    >>> round(float(lump[1, 0]), 4)
    3.6788

    Source: exact solution of the linear equation (computed).
    """
    steps = np.diff(np.asarray(times_s, dtype=float))
    if steps.size == 0 or np.any(steps <= 0):
        message = "The times of the air do not increase. Give each hour once, in order."
        raise ValueError(message)
    a = np.broadcast_to(
        np.asarray(start_c)[..., None],
        np.broadcast_shapes(np.asarray(start_c)[..., None].shape, rates.shape),
    ).copy()
    out = [a]
    for index, d in enumerate(steps):
        before, after = airs_c[..., index, None], airs_c[..., index + 1, None]
        lag = (after - before) / d / rates
        a = after - lag + (a - before + lag) * np.exp(-rates * d)
        out.append(a)
    return np.stack(out)
