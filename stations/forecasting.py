"""A dip's rows to what the trough's page shows: made afresh from all its entries at each request.

The arithmetic is ``estimating``'s and the trade's; here are the words, in the workshop's units.
The estimate is advice with its band beside it. Hair slipping decides, not the thermometer and not
the clock, and the lead says when to pull.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from stations.dip_curves import Point, Scale
from stations.estimating import seconds_in
from stations.models import Dip, DipEntry, EntryKind, HairSlip, HogPart, Thermometer
from stations.prompting import SOON_S, Action, Alarm, alarm, bucket_words, next_action
from stations.scenes import Scene, ago, clock, set_scene
from stations.trade.burns import FIRST_AID, seconds_to_burn
from stations.trade.errors import OutOfRange
from workshops.models import Units
from workshops.quantities import TEMPERATURE, rounded

NEAR_STRIKE_C = 69.0
"""Where a thermometer's error is told before the strike is read: 156 F."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """The big temperature: the last usable reading, the thermometer's own error taken off."""

    number: str
    unit: str
    what: str
    at: datetime
    age: str
    stale: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """One line of what was noted."""

    entry: DipEntry
    clock: str
    words: str
    remark: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """The forecast as points of an inline drawing, and as a sentence for who cannot see it."""

    scale: Scale
    seen: str
    dots: tuple[Point, ...]
    odd: tuple[Point, ...]
    ahead: str
    band: str
    floor_y: float
    ceiling_y: float
    now_x: float
    floor_words: str
    ceiling_words: str
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TroughView:
    """Everything on the trough's page but its buttons."""

    dip: Dip
    clock: str
    is_over: bool
    figure: Figure
    last_typed: str
    estimate: str
    action: Action
    alarm: Alarm | None
    buckets: str
    burn: str
    first_aid: str
    thermometer: str
    basis: str
    curve: Curve | None
    noted: tuple[Noted, ...]
    last: Noted | None


def watch(dip: Dip, *, now: datetime) -> TroughView:
    """What the page shows of a dip at a moment; the dip must be loaded ``with_all``.

    Raises nothing: what the trade rules cannot compute is said in words instead of a forecast.
    """
    scene = set_scene(dip, now=now)
    noted = tuple(_noted(scene, row) for row in reversed(dip.standing()))
    return TroughView(
        dip=dip,
        clock=clock(dip.seconds_at(now)),
        is_over=dip.ended_by is not None,
        figure=_figure(scene),
        last_typed=_last_typed(scene),
        estimate=_estimate_words(scene),
        action=next_action(scene),
        alarm=None if dip.ended_by else alarm(scene),
        buckets=bucket_words(scene),
        burn=_burn_words(scene),
        first_aid=FIRST_AID,
        thermometer=thermometer_words(dip, now=now),
        basis=f"{scene.band.note} {scene.band.source}.",
        curve=_curve(scene),
        noted=noted,
        # The last to be written, whenever it happened: that is what "undo" means to who pressed.
        last=max(noted, key=lambda line: line.entry.pk, default=None),
    )


def thermometer_words(dip: Dip, *, now: datetime) -> str:
    """Which thermometer, how far off and how old its check is."""
    if dip.thermometer is None:
        return "Thermometer not named: taken as unchecked."
    return f"{dip.thermometer}: {check_words(dip, now=now)}."


def check_words(dip: Dip, *, now: datetime) -> str:
    """The offset near the dip's strike, and the age of the check."""
    check = dip.check_used
    if check is None:
        return "never checked, so the band is wide"
    off = check.as_of(dip.water_in_at).offset_c(dip.strike_read_c)
    done = "" if abs(off) < 0.03 else ", taken off"
    return f"reads {off_words(off, dip.workshop.units)}{done}, checked {days_words(now, check.at)}"


def check_line(thermometer: Thermometer, units: str, *, now: datetime) -> str:
    """A thermometer in a list: its name, how far off it reads near a strike, its check's age."""
    check = thermometer.last_check
    if check is None:
        return f"{thermometer}: never checked"
    off = off_words(check.as_of(now).offset_c(NEAR_STRIKE_C), units)
    return f"{thermometer}: {off}, {days_words(now, check.at)}"


def off_words(off_c: float, units: str) -> str:
    """How far off it reads: "0.9 °F high"."""
    degrees = off_c * 1.8 if units == Units.US else off_c
    if abs(degrees) < 0.05:
        return "true"
    size = f"{rounded(abs(degrees), 1)} {TEMPERATURE.word(units)}"
    return f"{size} {'high' if degrees > 0 else 'low'}"


def days_words(now: datetime, then: datetime) -> str:
    """How many days ago."""
    days = (now - then).days
    return "today" if days < 1 else f"{days} day{'s' if days > 1 else ''} ago"


def _figure(scene: Scene) -> Figure:
    last = scene.trusted[-1] if scene.trusted else None
    water_c, at = (scene.true_c(last), last.at) if last else (scene.strike_c, scene.dip.water_in_at)
    number, unit = scene.shown(water_c).split(" ")
    age_s = (scene.now - at).total_seconds()
    return Figure(
        number=number,
        unit=unit,
        what="read" if last else "strike, read before the hog went in",
        at=at,
        age=ago(age_s),
        stale=age_s > SOON_S and scene.dip.ended_by is None,
    )


def _last_typed(scene: Scene) -> str:
    """The last number that was read, as the dial showed it: the pad offers it again."""
    read_c = scene.trusted[-1].water_c if scene.trusted else scene.dip.strike_read_c
    return str(TEMPERATURE.typed(rounded(read_c or 0.0, 2), scene.units))


def _estimate_words(scene: Scene) -> str:
    if scene.guess is None:
        return scene.trouble
    ahead = scene.guess.ahead
    low, now, high = (
        TEMPERATURE.shown(c, scene.units, decimals=1).split(" ")[0]
        for c in (ahead.low_c[0], ahead.temps_c[0], ahead.high_c[0])
    )
    unit = TEMPERATURE.word(scene.units)
    return f"Now about {now} {unit}, nine times in ten between {low} and {high}."


def _burn_words(scene: Scene) -> str:
    try:
        return seconds_to_burn(scene.water_c).sentence()
    except OutOfRange:
        return "Hot water and steam burn. Keep everyone back."


def noted_words(row: DipEntry, *, floor_c: float, units: str) -> str:
    """What was noted, in words; a bucket is hot if it is hotter than the dip's floor."""
    match EntryKind(row.kind):
        case EntryKind.READING:
            return f"Reading {TEMPERATURE.shown(row.water_c or 0.0, units, decimals=1)}"
        case EntryKind.POUR:
            return f"{'Hot' if (row.water_c or 0.0) > floor_c else 'Cold'} bucket in"
        case EntryKind.HAIR_TEST:
            return f"Hair {HairSlip(row.hair).label}: {HogPart(row.part).label}"
        case kind:
            return kind.label.capitalize()


def _noted(scene: Scene, row: DipEntry) -> Noted:
    words = noted_words(row, floor_c=scene.dip.floor_c, units=scene.units)
    remark = "questioned, confirmed" if row.confirmed else ""
    if row.kind == EntryKind.READING and scene.is_odd(row):
        remark = "not counted yet: it fits no other reading"
    at_s = seconds_in(scene.dip, row)
    return Noted(entry=row, clock=clock(max(0.0, at_s)), words=words, remark=remark)


def _curve(scene: Scene) -> Curve | None:
    if scene.guess is None:
        return None
    ahead, dip = scene.guess.ahead, scene.dip
    path = scene.path
    odd = [row for row in scene.readings if scene.is_odd(row)]
    coming = list(zip(ahead.times_s, ahead.temps_c, strict=True))
    low = list(zip(ahead.times_s, ahead.low_c, strict=True))
    high = list(zip(ahead.times_s, ahead.high_c, strict=True))
    temps = [c for _, c in (*path, *low, *high)] + [dip.floor_c, dip.ceiling_c]
    scale = Scale.around(temps, last_s=ahead.times_s[-1], units=scene.units)
    inside = [row for row in odd if scale.low_c <= scene.true_c(row) <= scale.high_c]
    half = len(coming) // 2
    return Curve(
        scale=scale,
        seen=scale.line(path),
        dots=scale.dots((seconds_in(dip, row), scene.true_c(row)) for row in scene.trusted),
        odd=scale.dots((seconds_in(dip, row), scene.true_c(row)) for row in inside),
        ahead=scale.line(coming),
        band=scale.band(low, high),
        floor_y=scale.y(dip.floor_c),
        ceiling_y=scale.y(dip.ceiling_c),
        now_x=scale.x(ahead.times_s[0]),
        floor_words=f"floor {scene.shown(dip.floor_c)}",
        ceiling_words=f"ceiling {scene.shown(dip.ceiling_c)}",
        sentence=(
            f"Water about {scene.shown(coming[0][1])} now, {scene.shown(coming[half][1])} in "
            f"5 min and {scene.shown(coming[-1][1])} in 10 min; floor {scene.shown(dip.floor_c)}."
        ),
    )
