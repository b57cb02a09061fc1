"""A carcass's chill as a drawing: hours since the kill across, degrees up.

As the scald's curves are drawn: the likely curve is thick, what the model leaves open is grey, the
air is dashed, a reading is a dot. What it shows is also said in words beside it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from stations.trade.chilling import CHILLED_C
from workshops.models import Units
from workshops.quantities import TEMPERATURE

WIDTH, HEIGHT = 360, 250
LEFT, RIGHT, TOP, BOTTOM = 40, 12, 14, 34
EVERY = 3
Point = tuple[float, float]  # hours since the kill, degC


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A number on an axis."""

    place: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChillTrace:
    """What is drawn: the likely centre, its quick and slow, the air, the probe's readings."""

    likely: Sequence[Point]
    quick: Sequence[Point]
    slow: Sequence[Point]
    air: Sequence[Point]
    readings: Sequence[Point]
    now_h: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChillPicture:
    """The drawing, ready for a template to set."""

    line: str
    area: str
    air: str
    dots: tuple[Point, ...]
    chilled_y: float
    day_x: float | None
    now_x: float | None
    across: tuple[Tick, ...]
    up: tuple[Tick, ...]
    chilled_words: str
    width: int = WIDTH
    height: int = HEIGHT
    left: int = LEFT
    right: int = WIDTH - RIGHT
    top: int = TOP
    foot: int = HEIGHT - BOTTOM


def draw(trace: ChillTrace, *, units: str) -> ChillPicture:
    """The chill on its axes, in the workshop's degrees."""
    scale = _Scale(trace, units)
    outline = [*trace.slow[::EVERY], *reversed(trace.quick[::EVERY])]
    return ChillPicture(
        line=scale.line(trace.likely[::EVERY]),
        area=scale.line(outline),
        air=scale.line(trace.air),
        dots=tuple((scale.x(h), scale.y(c)) for h, c in trace.readings),
        chilled_y=scale.y(CHILLED_C),
        day_x=scale.x(24) if scale.last_h > 24 else None,
        now_x=scale.x(trace.now_h) if scale.shows(trace.now_h) else None,
        across=scale.hours(),
        up=scale.degrees(),
        chilled_words=TEMPERATURE.shown(CHILLED_C, units, decimals=0 if units == Units.US else 1),
    )


class _Scale:
    """Hours and degC to places on the paper."""

    def __init__(self, trace: ChillTrace, units: str) -> None:
        self.units = units
        points = [*trace.likely, *trace.slow, *trace.quick, *trace.air, *trace.readings]
        self.last_h = max(h for h, _ in points)
        low, high = (self._shown(f(c for _, c in points)) for f in (min, max))
        self.step = 20 if units == Units.US else 10
        self.low = math.floor(low / self.step) * self.step
        self.high = math.ceil(high / self.step) * self.step

    def _shown(self, celsius: float) -> float:
        return TEMPERATURE.to_us(celsius) if self.units == Units.US else celsius

    def shows(self, hours: float | None) -> bool:
        return hours is not None and 0 <= hours <= self.last_h

    def x(self, hours: float | None) -> float:
        return round(LEFT + (hours or 0.0) / self.last_h * (WIDTH - LEFT - RIGHT), 1)

    def y(self, celsius: float) -> float:
        return self._up(self._shown(celsius))

    def _up(self, degrees: float) -> float:
        share = (degrees - self.low) / (self.high - self.low)
        return round(HEIGHT - BOTTOM - share * (HEIGHT - BOTTOM - TOP), 1)

    def line(self, points: Sequence[Point]) -> str:
        return " ".join(f"{self.x(h)},{self.y(c)}" for h, c in points)

    def hours(self) -> tuple[Tick, ...]:
        every = 6 if self.last_h <= 48 else 12
        return tuple(
            Tick(place=self.x(hour), words=str(hour))
            for hour in range(0, int(self.last_h) + 1, every)
        )

    def degrees(self) -> tuple[Tick, ...]:
        count = round((self.high - self.low) / self.step)
        shown = [self.low + self.step * n for n in range(count + 1)]
        return tuple(Tick(place=self._up(each), words=str(each)) for each in shown)
