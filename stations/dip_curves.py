"""A dip's temperatures as points of a drawing: minutes across, degrees up. No style, no words of
the page; the templates draw what is given here.

One unit of the drawing is about one pixel on a phone, so that its letters are as tall as drawn.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from workshops.models import Units
from workshops.quantities import TEMPERATURE

WIDTH, HEIGHT = 360, 230
LEFT, RIGHT, TOP, BOTTOM = 44, 10, 12, 28
Point = tuple[float, float]  # seconds after "in water", degC


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A line of the grid with its label."""

    at: float
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Where a time and a temperature stand on the drawing."""

    last_s: float
    low_c: float
    high_c: float
    units: str

    @classmethod
    def around(cls, temps_c: Iterable[float], *, last_s: float, units: str) -> Scale:
        """A scale that shows all of these temperatures, with a little air above and below."""
        temps = list(temps_c)
        low, high = min(temps) - 0.5, max(temps) + 0.5
        return cls(last_s=max(60.0, last_s), low_c=low, high_c=max(high, low + 3), units=units)

    def x(self, seconds: float) -> float:
        """Across."""
        return round(LEFT + (WIDTH - LEFT - RIGHT) * seconds / self.last_s, 1)

    def y(self, water_c: float) -> float:
        """Down from the top."""
        part = (self.high_c - water_c) / (self.high_c - self.low_c)
        return round(TOP + (HEIGHT - TOP - BOTTOM) * part, 1)

    def line(self, points: Iterable[Point]) -> str:
        """The points of a polyline."""
        return " ".join(f"{self.x(s)},{self.y(c)}" for s, c in points)

    def dots(self, points: Iterable[Point]) -> tuple[Point, ...]:
        """The middles of dots."""
        return tuple((self.x(s), self.y(c)) for s, c in points)

    def band(self, low: Sequence[Point], high: Sequence[Point]) -> str:
        """The points of a polygon: along the top, and back along the bottom."""
        return self.line([*high, *reversed(low)])

    @property
    def minutes(self) -> tuple[Tick, ...]:
        """A tick every two minutes, or every five or ten on a long dip."""
        whole = self.last_s / 60
        step = 2 if whole <= 14 else 5 if whole <= 35 else 10
        return tuple(
            Tick(at=self.x(60.0 * minute), label=str(minute))
            for minute in range(0, int(whole) + 1, step)
        )

    @property
    def degrees(self) -> tuple[Tick, ...]:
        """Round temperatures in the units people read, four to eight of them."""
        to_shown, to_si = TEMPERATURE.to_us, TEMPERATURE.to_metric
        if self.units != Units.US:
            to_shown = to_si = float
        low, high = to_shown(self.low_c), to_shown(self.high_c)
        step = next(step for step in (1, 2, 5, 10, 20, 50, 100) if (high - low) / step <= 7)
        first = math.ceil(low / step) * step
        return tuple(
            Tick(at=self.y(to_si(shown)), label=str(shown))
            for shown in range(first, math.floor(high) + 1, step)
        )

    @property
    def frame(self) -> dict[str, float]:
        """The edges of the drawing, for the template."""
        return {
            "width": WIDTH,
            "height": HEIGHT,
            "left": LEFT,
            "right": WIDTH - RIGHT,
            "top": TOP,
            "bottom": HEIGHT - BOTTOM,
        }
