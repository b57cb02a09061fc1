"""How long a step may take: draws from its least, expected and most minutes.

Three numbers are all that a lead can give. The triangle is the plainest law that has them, and of
the usual two it puts more weight on the long side, so a promise made with it is the later one; the
beta law of PERT needs a fourth number (4) that nobody on a farm can check. Both are here, so that
the difference can be seen.

Steps of one day are not independent: a cold morning or a new crew slows all of them. A share of
each draw's variance is therefore common to the whole run.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from scipy.special import betaincinv, ndtr

from scheduling.planner.errors import BadProblem
from scheduling.planner.problem import StepSpec

Floats = NDArray[np.float64]
Minutes = NDArray[np.int64]

ALIKE = 0.3
"""Share of the variance that the steps of one run have in common: a judgement, no source."""


class Law(StrEnum):
    """How a duration is spread between its least and its most."""

    TRIANGLE = "triangle"
    PERT = "pert"


@dataclass(frozen=True, slots=True, kw_only=True)
class Draws:
    """How to draw: so many ``runs`` (1 to 1 000 000) from a ``seed`` (0 or more) by a ``law``.

    ``alike`` is the share of the variance common to a run, 0 (independent) to 1 (all together).
    The default of 2000 runs knows a chance of one half to 2.2 points (2 sqrt(p (1 - p) / n)).
    """

    runs: int = 2000
    seed: int = 1
    alike: float = ALIKE
    law: Law = Law.TRIANGLE

    def __post_init__(self) -> None:
        if not 1 <= self.runs <= 1_000_000 or self.seed < 0 or not 0.0 <= self.alike <= 1.0:
            raise BadProblem(
                f"{self.runs} runs with seed {self.seed} and a common share of {self.alike:g}; "
                "give 1 to 1 000 000 runs, a seed of 0 or more, and a share from 0 to 1."
            )


def _triangle(share: Floats, least: float, expected: float, most: float) -> Floats:
    """The inverse of the triangle's distribution function."""
    width, rise = most - least, expected - least
    low = least + np.sqrt(share * width * rise)
    high = most - np.sqrt((1.0 - share) * width * (most - expected))
    return np.where(share <= rise / width, low, high)


def _pert(share: Floats, least: float, expected: float, most: float) -> Floats:
    """The inverse of the beta distribution with PERT's weight of 4 on the mode."""
    width = most - least
    a = 1.0 + 4.0 * (expected - least) / width
    b = 1.0 + 4.0 * (most - expected) / width
    return least + width * np.asarray(betaincinv(a, b, share), dtype=np.float64)


LAWS: dict[Law, Callable[[Floats, float, float, float], Floats]] = {
    Law.TRIANGLE: _triangle,
    Law.PERT: _pert,
}


def draw_minutes(steps: tuple[StepSpec, ...], draws: Draws) -> Minutes:
    """Draw whole minutes for every step of every run, between its least and its most.

    z = sqrt(alike) z_run + sqrt(1 - alike) z_step with both normal; u = Phi(z) is uniform; the
    minutes are the law's inverse at u, rounded. The same seed gives the same minutes.

    Args:
        steps: each with least, expected and most minutes; a missing one is the expected one.
        draws: how many runs, from which seed, how alike, by which law.

    Returns: an array of runs x steps.

    Raises: nothing; steps and draws are checked when they are made.

    >>> from scheduling.planner.problem import Window
    >>> scrape = StepSpec(id="scrape", name="Scrape", station="bench", least_min=45,
    ...                   expected_min=60, most_min=90, windows=(Window(start=0, end=600),))
    >>> drawn = draw_minutes((scrape,), Draws(runs=10_000))
    >>> int(drawn.min()) >= 45, int(drawn.max()) <= 90, round(float(drawn.mean()))
    (True, True, 65)
    >>> pert = draw_minutes((scrape,), Draws(runs=10_000, law=Law.PERT))
    >>> 62.0 < float(pert.mean()) < 63.0
    True

    Source: mean of a triangle (a + m + b) / 3, of PERT (a + 4 m + b) / 6 (from memory, and
    confirmed here by the draws); the normal copula is a standard method (from memory).
    """
    rng = np.random.default_rng(draws.seed)
    common = rng.standard_normal((draws.runs, 1))
    own = rng.standard_normal((draws.runs, len(steps)))
    share = ndtr(np.sqrt(draws.alike) * common + np.sqrt(1.0 - draws.alike) * own)
    minutes = np.empty((draws.runs, len(steps)), dtype=np.int64)
    for n, step in enumerate(steps):
        least, most = least_of(step), most_of(step)
        if step.unattended or least == most:
            # What nobody stands by takes its time; its most is only how long it may be left.
            minutes[:, n] = step.expected_min
            continue
        drawn = LAWS[draws.law](share[:, n], least, step.expected_min, most)
        minutes[:, n] = np.rint(drawn).astype(np.int64)
    return minutes


def least_of(step: StepSpec) -> int:
    """The least minutes, or the expected where none is given.

    Source: none needed.
    """
    return step.expected_min if step.least_min is None else step.least_min


def most_of(step: StepSpec) -> int:
    """The most minutes, or the expected where none is given.

    Source: none needed.
    """
    return step.expected_min if step.most_min is None else step.most_min
