"""A day as a chart: a row per station or per hog, a bar per step, laid out in plain numbers.

Server-drawn: no script, the same drawing on screen and paper. Widths are in chart units, four to
the minute. The names of the rows are a drawing of their own, so that they stand still while the day
is scrolled sideways beside them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from textwrap import wrap

from django.db import models

from scheduling import asking
from scheduling.lateness import Standing
from scheduling.light import DayLight
from scheduling.models import RunSheet, Step

PER_MIN = 4.0
ROW = 60
LANE = 54
HEAD = 36
NAMES = 112
NAME_LETTERS = 14  # what a line of the names' column holds
PAPER_WIDTH = 670  # chart units across an upright sheet, names and all
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
    panel: str
    pinned: bool = False
    dark: bool = False
    late: bool = False
    real: Mark | None = None

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
    def signs(self) -> tuple[Sign, ...]:
        """Marks from the bar's right edge inwards, as far as the bar has room."""
        words = ["!"] * self.critical + ["P"] * self.pinned + ["D"] * self.dark
        places = (self.x + self.width - 14 - 18 * n for n in range(len(words)))
        return tuple(
            Sign(text=word, x=place)
            for word, place in zip(words, places, strict=True)
            if place >= self.x + self.flag
        )

    @property
    def real_y(self) -> float:
        """Where the line of what really happened lies: along the bar's foot."""
        return self.y + self.height - 4

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
class Sign:
    """One mark at the end of a bar."""

    text: str
    x: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of the chart."""

    label: str
    y: float
    height: float

    @property
    def lines(self) -> tuple[Line, ...]:
        """The label in one or two lines, each with its base line."""
        words = wrap(" ".join(self.label.split()), NAME_LETTERS)[:2]
        top = self.y + self.height / 2 + 5 - 9 * (len(words) - 1)
        return tuple(Line(text=text, y=top + 18 * n) for n, text in enumerate(words))


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of a row's name."""

    text: str
    y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A full hour, a break, the dark; or, under a bar, what really happened."""

    x: float
    label: str
    width: float = 0

    @property
    def end(self) -> float:
        """The right edge."""
        return self.x + self.width

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
    names_width: float
    rows: tuple[Row, ...]
    bars: tuple[Bar, ...]
    hours: tuple[Mark, ...]
    breaks: tuple[Mark, ...]
    nights: tuple[Mark, ...]
    now_x: float | None
    now_word: str = ""

    @property
    def now_text_x(self) -> float:
        """Where the word beside the now-line starts."""
        return (self.now_x or 0) + 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What the chart marks beside the plan: light, and what has happened."""

    light: DayLight | None = None
    standings: Mapping[str, Standing] = field(default_factory=dict)


def draw(
    sheet: RunSheet,
    *,
    rows: Rows,
    now: datetime,
    seen: Seen | None = None,
    on_paper: bool = False,
) -> Chart:
    """Lay out a day; the sheet's steps and its day's breaks must be loaded.

    ``on_paper`` draws it as narrow as a sheet is wide, since paper does not scroll.
    """
    steps, seen = list(sheet.steps.all()), seen or Seen()
    opens, closes = _span(sheet, steps, seen)
    # Wall clock and chart may differ by an hour where summer time ends; both count in UTC.
    length = (closes - opens).total_seconds() / 60
    per_min = min(PER_MIN, (PAPER_WIDTH - NAMES) / length) if on_paper else PER_MIN

    def x(moment: datetime) -> float:
        minutes = (moment - opens).total_seconds() / 60
        return min(max(0.0, minutes), length) * per_min

    laid, bars, bottom = _lay(steps, _key(rows), lambda step, y: _bar(step, x, y, seen))
    zone = sheet.day.workshop.zone
    return Chart(
        width=x(closes) + 8,
        height=bottom + 4,
        head=HEAD,
        names_width=NAMES,
        rows=laid,
        bars=bars,
        hours=_hours(opens, closes, x),
        breaks=tuple(
            Mark(
                x=x(begin),
                width=x(begin + timedelta(minutes=pause.minutes)) - x(begin),
                label=pause.name,
            )
            for pause in sheet.day.breaks.all()
            for begin in [sheet.meal_starts.get(asking.meal_code(pause), pause.starts_at)]
        ),
        nights=tuple(_nights(seen.light, opens, closes, x)),
        now_x=x(now) if opens <= now <= closes else None,
        now_word=f"{now.astimezone(zone):%H:%M}",
    )


def _nights(
    light: DayLight | None, opens: datetime, closes: datetime, x: Callable[[datetime], float]
) -> Iterator[Mark]:
    """The dark before dawn and after dusk, as far as the chart reaches."""
    if light is None or light.light is None:
        return
    dawn, dusk = light.light.dawn, light.light.dusk
    if dawn and opens < dawn:
        yield Mark(x=0, width=x(dawn), label=f"dark to {dawn:%H:%M}")
    if dusk and dusk < closes:
        yield Mark(x=x(dusk), width=x(closes) - x(dusk), label=f"dark from {dusk:%H:%M}")


def _span(sheet: RunSheet, steps: list[Step], seen: Seen) -> tuple[datetime, datetime]:
    day = sheet.day
    opens = min([day.at(day.opens), *(step.starts_at for step in steps)])
    # A carcass chills through the night: the chart stops a little after the day closes.
    attended = [step.ends_at for step in steps if not step.stage.unattended]
    real = [
        standing.ends_at
        for standing in seen.standings.values()
        if standing.times.started and not standing.step.stage.unattended
    ]
    closes = max([day.at(day.closes), *attended, *real]) + timedelta(minutes=30)
    zone = day.workshop.zone
    return opens.astimezone(zone).replace(minute=0), closes.astimezone(zone)


def _key(rows: Rows) -> Callable[[Step], tuple[int, str]]:
    if rows == Rows.STATION:
        return lambda step: (step.station.order, f"{step.station.letter}  {step.station.name}")
    return lambda step: (step.animal.order, str(step.animal)) if step.animal else (999, "Everyone")


def _lay(
    steps: Iterable[Step],
    key: Callable[[Step], tuple[int, str]],
    bar: Callable[[Step, float], Bar],
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
            bars.append(bar(step, y + lane * LANE))
        height = max(ROW, len(lanes) * LANE + ROW - LANE)
        rows.append(Row(label=group[1], y=y, height=height))
        y += height
    return tuple(rows), tuple(bars), y


def _bar(step: Step, x: Callable[[datetime], float], y: float, seen: Seen) -> Bar:
    left, right = x(step.starts_at), x(step.ends_at)
    short = f"{step.stage.name} {step.animal.tag}" if step.animal else step.stage.name
    standing = seen.standings.get(step.code)
    dark = seen.light is not None and step.code in seen.light.in_the_dark
    # The marks at the bar's end take the room of letters.
    marks = 18 * (step.is_critical + step.pinned + dark)
    room = max(0, int((right - left - 18 - marks) / LETTER))
    return Bar(
        x=left,
        y=y + 3,
        width=max(4.0, right - left - 1),
        height=LANE - 6,
        label=short if len(short) <= room else short[: max(0, room - 1)].rstrip(),
        title=_title(step, standing, dark=dark),
        look=step.station.look,
        letter=step.station.letter,
        critical=step.is_critical,
        slack_width=x(step.ends_at + timedelta(minutes=min(step.slack_min or 0, 60))) - right,
        panel=f"step-{step.pk}",
        pinned=step.pinned,
        dark=dark,
        late=standing is not None and standing.is_late,
        real=_real(standing, x),
    )


def _title(step: Step, standing: Standing | None, *, dark: bool) -> str:
    """What a pointer over the bar reads."""
    zone = step.run_sheet.day.workshop.zone
    start, end = (f"{moment.astimezone(zone):%H:%M}" for moment in (step.starts_at, step.ends_at))
    crew = ", ".join(row.person_name for row in step.placements.all())
    said = [f"{step}: {start} to {end}"]
    if step.slack_min:
        said.append(f"{step.slack_min} min of slack")
    said += ["critical"] * step.is_critical + ["pinned"] * step.pinned + ["in the dark"] * dark
    if standing and standing.sentence:
        said.append(standing.sentence)
    return ", ".join(said) + (f". {crew}" if crew else "")


def _real(standing: Standing | None, x: Callable[[datetime], float]) -> Mark | None:
    """From when a step really started to when it ended or should end."""
    if standing is None or standing.times.started is None:
        return None
    begun = x(standing.times.started)
    return Mark(x=begun, width=max(2.0, x(standing.ends_at) - begun), label="")


def _hours(opens: datetime, closes: datetime, x: Callable[[datetime], float]) -> tuple[Mark, ...]:
    hours = int((closes - opens).total_seconds() // 3600) + 1
    moments = (opens + timedelta(hours=n) for n in range(hours))
    return tuple(Mark(x=x(moment), label=f"{moment:%H:%M}") for moment in moments)
