"""The same cooling solved on a grid of shells: independent of the series, and a check on it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.linalg import solve_banded

from stations.trade.conduction import Floats, Shape
from stations.trade.errors import within
from stations.trade.sources import Source, Trust

GRID = Source(title="finite volumes, Crank-Nicolson", place="conduction_grid", trust=Trust.COMPUTED)
_POWER = {Shape.SLAB: 0, Shape.CYLINDER: 1, Shape.SPHERE: 2}


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """A shape, its half thickness or radius (0.01 to 0.5 m), conductivity (0.1 to 2 W/m K),
    heat capacity by volume (1 to 5 MJ/m3 K) and film (1 to 2000 W/m2 K).

    >>> Body(shape=Shape.CYLINDER, radius_m=0.1, k_w_m_k=0.47, heat_j_m3_k=3.675e6,
    ...      film_w_m2_k=10.0).Bi
    2.127659574468085
    """

    shape: Shape
    radius_m: float
    k_w_m_k: float
    heat_j_m3_k: float
    film_w_m2_k: float

    def __post_init__(self) -> None:
        within("radius", self.radius_m, low=0.01, high=0.5, unit="m", rule="body")
        within("conductivity", self.k_w_m_k, low=0.1, high=2.0, unit="W/m K", rule="body")
        within("heat capacity", self.heat_j_m3_k, low=1e6, high=5e6, unit="J/m3 K", rule="body")
        within("film", self.film_w_m2_k, low=1.0, high=2000.0, unit="W/m2 K", rule="body")

    @property
    def Bi(self) -> float:  # noqa: N802  the letter of the literature
        """Biot number, h L / k."""
        return self.film_w_m2_k * self.radius_m / self.k_w_m_k

    @property
    def alpha_m2_s(self) -> float:
        """Diffusivity k / (rho c)."""
        return self.k_w_m_k / self.heat_j_m3_k


def _links(body: Body, shells: int) -> tuple[Floats, Floats]:
    """Heat capacity of each shell, and conductance to the next (the last: to the air)."""
    edge = np.linspace(0.0, body.radius_m, shells + 1)
    power = _POWER[body.shape]
    heat = body.heat_j_m3_k * np.diff(edge ** (power + 1)) / (power + 1)
    step = body.radius_m / shells
    link = body.k_w_m_k * edge[1:] ** power / step
    link[-1] = edge[-1] ** power / (step / 2 / body.k_w_m_k + 1 / body.film_w_m2_k)
    return heat, link


def grid_centre_c(
    body: Body,
    air_c: Callable[[float], float],
    *,
    start_c: float,
    seconds: float,
    shells: int = 60,
    step_s: float = 60.0,
) -> list[float]:
    """The innermost shell's temperature at every step, by Crank-Nicolson on shells.

    rho c V dT/dt = sum of k A dT/dx to the neighbours, the outermost to the air through the film.

    Args:
        body: shape and properties.
        air_c: degC of the air at a time in s.
        start_c: -5 to 45 degC, the same throughout.
        seconds: 60 to 1e6.
        shells: 10 to 400.
        step_s: 1 to 600 s.

    Returns: degC at 0, step, 2 steps ... up to ``seconds``.

    Raises: OutOfRange.

    >>> ham = Body(shape=Shape.CYLINDER, radius_m=0.1, k_w_m_k=0.47, heat_j_m3_k=3.675e6,
    ...            film_w_m2_k=10.0)
    >>> temps = grid_centre_c(ham, lambda s: 1.0, start_c=39.0, seconds=22.10 * 3600)
    >>> abs(temps[-1] - 4.444) < 0.05
    True

    Source: ``GRID``.
    """
    within("start", start_c, low=-5.0, high=45.0, unit="degC", rule="grid")
    within("time", seconds, low=60.0, high=1e6, unit="s", rule="grid")
    within("shells", shells, low=10, high=400, unit="", rule="grid")
    within("step", step_s, low=1.0, high=600.0, unit="s", rule="grid")
    heat, link = _links(body, shells)
    inner = np.concatenate(([0.0], link[:-1]))
    band = np.zeros((3, shells))
    band[0, 1:], band[2, :-1] = -link[:-1] / 2, -link[:-1] / 2
    band[1] = heat / step_s + (inner + link) / 2
    temps = np.full(shells, start_c)
    out = [start_c]
    for n in range(round(seconds / step_s)):
        flow = np.zeros(shells)
        flow[:-1] += link[:-1] * (temps[1:] - temps[:-1])
        flow[1:] -= link[:-1] * (temps[1:] - temps[:-1])
        air = (air_c(n * step_s) + air_c((n + 1) * step_s)) / 2
        flow[-1] -= link[-1] * temps[-1]
        right = heat / step_s * temps + flow / 2
        right[-1] += link[-1] * air
        temps = solve_banded((1, 1), band, right)
        out.append(float(temps[0]))
    return out
