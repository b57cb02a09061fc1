"""The odds as a small picture: how many of the runs are over by each time of the evening."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from scheduling.odds import EndOfDay
from scheduling.planner.simulate import PROMISE

WIDTH, HEIGHT = 400, 220
LEFT, RIGHT, TOP, BOTTOM = 50, 20, 24, 34
HALF_HOUR = timedelta(minutes=30)
LABEL_EVERY = 64  # chart units that the words of two times need


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A time under the picture, or a share beside it."""

    at: float
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Upright:
    """A time marked across the picture: planned, promised, close, dark."""

    x: float
    word: str
    y: float
    dashed: bool
    before: bool

    @property
    def text_x(self) -> float:
        """Where the word starts, or ends if it stands before the line."""
        return self.x - 5 if self.before else self.x + 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """Everything the template draws."""

    width: int
    height: int
    left: int
    right: int
    floor: int
    points: str
    times: tuple[Tick, ...]
    shares: tuple[Tick, ...]
    uprights: tuple[Upright, ...]
    promise_x: float
    promise_y: float


def plot(end: EndOfDay) -> Plot:
    """Lay the picture out in plain numbers, from half an hour before the first end to after all."""
    marks = [end.planned, end.promise, end.closes, *([end.dark] if end.dark else [])]
    first = _floor(min(end.curve[0][0], *marks))
    last = _floor(max(end.curve[-1][0], *marks)) + HALF_HOUR
    span = (last - first).total_seconds()

    def x(moment: datetime) -> float:
        share = (moment - first).total_seconds() / span
        return round(LEFT + share * (WIDTH - LEFT - RIGHT), 1)

    def y(share: float) -> float:
        return round(TOP + (1 - share) * (HEIGHT - TOP - BOTTOM), 1)

    points = [f"{x(moment)},{y(share)}" for moment, share in end.curve]
    # The first point is the earliest end: until then none is over; after the last, all are.
    line = [f"{LEFT},{y(0)}", *points, f"{WIDTH - RIGHT},{y(1)}"]
    return Plot(
        width=WIDTH,
        height=HEIGHT,
        left=LEFT,
        right=WIDTH - RIGHT,
        floor=HEIGHT - BOTTOM,
        points=" ".join(line),
        times=_times(first, last, x),
        shares=tuple(Tick(at=y(s), label=f"{s:.0%}") for s in (0.0, 0.5, PROMISE, 1.0)),
        uprights=_uprights(end, x),
        promise_x=x(end.promise),
        promise_y=y(PROMISE),
    )


def _floor(moment: datetime) -> datetime:
    return moment.replace(minute=moment.minute // 30 * 30, second=0, microsecond=0)


def _times(first: datetime, last: datetime, x: Callable[[datetime], float]) -> tuple[Tick, ...]:
    count = int((last - first) / HALF_HOUR)
    room = max(1, (WIDTH - LEFT - RIGHT) // LABEL_EVERY)
    step = -(-count // room)
    moments = (first + n * HALF_HOUR for n in range(0, count + 1, step))
    return tuple(Tick(at=x(moment), label=f"{moment:%H:%M}") for moment in moments)


def _uprights(end: EndOfDay, x: Callable[[datetime], float]) -> tuple[Upright, ...]:
    named = [("planned", end.planned), ("promise", end.promise), ("close", end.closes)]
    if end.dark:
        named.append(("dark", end.dark))
    # Words of neighbours stand one under the other, so that none is written over another.
    return tuple(
        Upright(
            x=x(moment),
            word=word,
            y=TOP + 12 + 17 * row,
            dashed=word != "promise",
            before=x(moment) > WIDTH - 90,
        )
        for row, (word, moment) in enumerate(sorted(named, key=lambda pair: pair[1]))
    )
