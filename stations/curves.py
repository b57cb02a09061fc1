"""Water temperature against time as a drawing: where each line goes, for a template to set.

Black lines on paper: the curve is thick, what the formulas leave open is hatched grey, the floor
and the ceiling are dashed and carry their words. What it shows is also said as a sentence.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from workshops.models import Units
from workshops.quantities import TEMPERATURE

WIDTH, HEIGHT = 360, 230
LEFT, RIGHT, TOP, BOTTOM = 44, 12, 16, 34
MOST_POINTS = 90


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """A temperature to keep in sight: a dashed line with its words above it, clear of the curve."""

    y: float
    words: str
    at_start: bool

    @property
    def x(self) -> int:
        """Where the words begin or end."""
        return LEFT + 4 if self.at_start else WIDTH - RIGHT - 2

    @property
    def anchor(self) -> str:
        """Which end of the words stands there."""
        return "start" if self.at_start else "end"

    @property
    def text_y(self) -> float:
        """The words stand just above the line."""
        return self.y - 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A number on an axis."""

    place: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A bucket: a triangle that stands on the curve."""

    x: float
    y: float

    @property
    def points(self) -> str:
        """Its three corners, the point on the curve."""
        corners = ((self.x, self.y), (self.x - 6, self.y - 11), (self.x + 6, self.y - 11))
        return " ".join(f"{x:.1f},{y:.1f}" for x, y in corners)


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """One drawing with its axes and the sentence that says the same."""

    line: str
    area: str
    levels: tuple[Level, ...]
    marks: tuple[Mark, ...]
    across: tuple[Tick, ...]
    up: tuple[Tick, ...]
    sentence: str
    width: int = WIDTH
    height: int = HEIGHT
    left: int = LEFT
    right: int = WIDTH - RIGHT
    top: int = TOP
    foot: int = HEIGHT - BOTTOM

    @property
    def foot_text(self) -> int:
        """Where the minutes stand."""
        return self.foot + 15

    @property
    def title_y(self) -> int:
        """Where the word for the minutes stands."""
        return self.height - 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Trace:
    """What is drawn, in SI: times (s), temperatures (degC), the open band, levels, buckets."""

    times_s: Sequence[float]
    temps_c: Sequence[float]
    low_c: Sequence[float] = ()
    high_c: Sequence[float] = ()
    levels: tuple[tuple[str, float], ...] = ()
    buckets_s: tuple[float, ...] = ()


def draw(trace: Trace, *, units: str, sentence: str) -> Picture:
    """A trace set on its axes, in the workshop's degrees."""
    scale = _Scale(trace, units)
    every = max(1, len(trace.times_s) // MOST_POINTS)
    kept = sorted({*range(0, len(trace.times_s), every), len(trace.times_s) - 1})
    line = [scale.point(trace.times_s[i], trace.temps_c[i]) for i in kept]
    area = [scale.point(trace.times_s[i], trace.high_c[i]) for i in kept if trace.high_c]
    area += [scale.point(trace.times_s[i], trace.low_c[i]) for i in reversed(kept) if trace.low_c]
    at = dict(zip(trace.times_s, trace.temps_c, strict=True))
    return Picture(
        line=" ".join(line),
        area=" ".join(area),
        levels=tuple(
            Level(
                y=scale.y(temp),
                words=f"{words} {scale.degrees(temp):.0f}",
                at_start=abs(trace.temps_c[0] - temp) > abs(trace.temps_c[-1] - temp),
            )
            for words, temp in trace.levels
        ),
        marks=tuple(Mark(x=scale.x(at_s), y=scale.y(at[at_s])) for at_s in trace.buckets_s),
        across=scale.minutes(),
        up=scale.temperatures(),
        sentence=sentence,
    )


class _Scale:
    """Seconds and degC to places on the paper."""

    def __init__(self, trace: Trace, units: str) -> None:
        self.units = units
        temps = [*trace.temps_c, *trace.low_c, *trace.high_c, *(c for _, c in trace.levels)]
        self.last_s = max(trace.times_s[-1], 1.0)
        low, high = self.degrees(min(temps)), self.degrees(max(temps))
        self.step = _round_step((high - low) / 5)
        # A little room below, so that the lowest words do not stand on the axis.
        self.low = math.floor((low - 0.3 * self.step) / self.step) * self.step
        self.high = math.ceil((high + 0.01) / self.step) * self.step

    def degrees(self, celsius: float) -> float:
        """In the workshop's degrees."""
        return TEMPERATURE.to_us(celsius) if self.units == Units.US else celsius

    def x(self, seconds: float) -> float:
        return round(LEFT + seconds / self.last_s * (WIDTH - LEFT - RIGHT), 1)

    def _up(self, degrees: float) -> float:
        share = (degrees - self.low) / (self.high - self.low)
        return round(HEIGHT - BOTTOM - share * (HEIGHT - BOTTOM - TOP), 1)

    def y(self, celsius: float) -> float:
        return self._up(self.degrees(celsius))

    def point(self, seconds: float, celsius: float) -> str:
        return f"{self.x(seconds):.1f},{self.y(celsius):.1f}"

    def minutes(self) -> tuple[Tick, ...]:
        """Whole minutes, at most seven of them."""
        every = _round_step(self.last_s / 60 / 6)
        count = int(self.last_s / 60 / every)
        return tuple(
            Tick(place=self.x(60 * every * n), words=f"{every * n:g}") for n in range(count + 1)
        )

    def temperatures(self) -> tuple[Tick, ...]:
        count = round((self.high - self.low) / self.step)
        degrees = [self.low + self.step * n for n in range(count + 1)]
        return tuple(Tick(place=self._up(each), words=f"{each:g}") for each in degrees)


def _round_step(wanted: float) -> float:
    """The round step at or above what is wanted: 1, 2, 5, 10, 20, 50 ..."""
    size = 10.0 ** math.floor(math.log10(max(wanted, 1e-9)))
    return max(1.0, next(size * step for step in (1, 2, 5, 10) if size * step >= wanted - 1e-9))
