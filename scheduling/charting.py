"""A day as a chart: a row per station or per hog, a bar per step, laid out in plain numbers.

Server-drawn: no script, the same drawing on screen and paper. Widths are in chart units, four to
the minute.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import models

from scheduling.models import RunSheet, Step

PER_MIN = 4.0
ROW = 46
LANE = 40
HEAD = 28
LABEL = 128
LETTER = 7.4  # mean width of a letter at the chart's type size, to know what fits in a bar


class Rows(models.TextChoices):
    """What a row of the chart is."""

    STATION = "station", "by station"
    HOG = "hog", "by hog"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One step."""

    x: float
    y: float
    width: float
    height: float
    label: str
    title: str
    look: int
    letter: str
    critical: bool
    slack_width: float

    @property
    def flag(self) -> float:
        """Width of the coloured and hatched strip that tells the station."""
        return min(10.0, self.width)

    @property
    def text_x(self) -> float:
        """Where the label starts."""
        return self.x + self.flag + 4

    @property
    def text_y(self) -> float:
        """The label's base line."""
        return self.y + self.height / 2 + 5

    @property
    def end(self) -> float:
        """The right edge."""
        return self.x + self.width

    @property
    def slack_end(self) -> float:
        """Where the slack line ends."""
        return self.end + self.slack_width

    @property
    def middle(self) -> float:
        """Half way down."""
        return self.y + self.height / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of the chart."""

    label: str
    y: float
    height: float

    @property
    def text_y(self) -> float:
        """The label's base line."""
        return self.y + self.height / 2 + 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A full hour, or a break."""

    x: float
    label: str
    width: float = 0

    @property
    def text_x(self) -> float:
        """Where its word starts."""
        return self.x + 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """Everything the template draws."""

    width: float
    height: float
    head: float
    label_width: float
    rows: tuple[Row, ...]
    bars: tuple[Bar, ...]
    hours: tuple[Mark, ...]
    breaks: tuple[Mark, ...]
    now_x: float | None


def draw(sheet: RunSheet, *, rows: Rows, now: datetime) -> Chart:
    """Lay out a day; the sheet's steps and its day's breaks must be loaded."""
    steps = list(sheet.steps.all())
    opens, closes = _span(sheet, steps)

    def x(moment: datetime) -> float:
        minutes = (min(moment, closes) - opens).total_seconds() / 60
        return LABEL + max(0.0, minutes) * PER_MIN

    laid, bars, bottom = _lay(steps, _key(rows), x)
    pauses = sheet.day.breaks.all()
    return Chart(
        width=x(closes) + 8,
        height=bottom + 4,
        head=HEAD,
        label_width=LABEL,
        rows=laid,
        bars=bars,
        hours=_hours(opens, closes, x),
        breaks=tuple(
            Mark(x=x(pause.starts_at), width=pause.minutes * PER_MIN, label=pause.name)
            for pause in pauses
        ),
        now_x=x(now) if opens <= now <= closes else None,
    )


def _span(sheet: RunSheet, steps: list[Step]) -> tuple[datetime, datetime]:
    day = sheet.day
    opens = min([day.at(day.opens), *(step.starts_at for step in steps)])
    # A carcass chills through the night: the chart stops a little after the day closes.
    attended = [step.ends_at for step in steps if not step.stage.unattended]
    closes = max([day.at(day.closes), *attended]) + timedelta(minutes=30)
    zone = day.workshop.zone
    return opens.astimezone(zone).replace(minute=0), closes.astimezone(zone)


def _key(rows: Rows) -> Callable[[Step], tuple[int, str]]:
    if rows == Rows.STATION:
        return lambda step: (step.station.order, f"{step.station.letter}  {step.station.name}")
    return lambda step: (step.animal.order, str(step.animal)) if step.animal else (999, "Everyone")


def _lay(
    steps: Iterable[Step],
    key: Callable[[Step], tuple[int, str]],
    x: Callable[[datetime], float],
) -> tuple[tuple[Row, ...], tuple[Bar, ...], float]:
    """Rows from the top; steps of one row that overlap take lanes of their own."""
    grouped: dict[tuple[int, str], list[Step]] = {}
    for step in steps:
        grouped.setdefault(key(step), []).append(step)
    rows: list[Row] = []
    bars: list[Bar] = []
    y = float(HEAD)
    for group in sorted(grouped):
        lanes: list[datetime] = []
        for step in sorted(grouped[group], key=lambda step: step.starts_at):
            lane = next(
                (n for n, busy_until in enumerate(lanes) if busy_until <= step.starts_at),
                len(lanes),
            )
            lanes[lane : lane + 1] = [step.ends_at]
            bars.append(_bar(step, x, y + lane * LANE))
        height = max(ROW, len(lanes) * LANE + ROW - LANE)
        rows.append(Row(label=group[1], y=y, height=height))
        y += height
    return tuple(rows), tuple(bars), y


def _bar(step: Step, x: Callable[[datetime], float], y: float) -> Bar:
    zone = step.run_sheet.day.workshop.zone
    left, right = x(step.starts_at), x(step.ends_at)
    start, end = (f"{moment.astimezone(zone):%H:%M}" for moment in (step.starts_at, step.ends_at))
    short = f"{step.stage.name} {step.animal.tag}" if step.animal else step.stage.name
    room = max(0, int((right - left - 18) / LETTER))
    title = f"{step}: {start} to {end}"
    if step.slack_min:
        title += f", {step.slack_min} min of slack"
    return Bar(
        x=left,
        y=y + 5,
        width=max(4.0, right - left - 1),
        height=LANE - 8,
        label=short if len(short) <= room else short[: max(0, room - 1)].rstrip(),
        title=f"{title}, critical" if step.is_critical else title,
        look=step.station.look,
        letter=step.station.letter,
        critical=step.is_critical,
        slack_width=min(step.slack_min or 0, 60) * PER_MIN,
    )


def _hours(opens: datetime, closes: datetime, x: Callable[[datetime], float]) -> tuple[Mark, ...]:
    hours = int((closes - opens).total_seconds() // 3600) + 1
    moments = (opens + timedelta(hours=n) for n in range(hours))
    return tuple(Mark(x=x(moment), label=f"{moment:%H:%M}") for moment in moments)
