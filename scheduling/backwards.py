"""Back from the run sheet: what must be done before the day, when at the latest, and why."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from scheduling.models import RunSheet, Step
from scheduling.scalding_times import LAY_MIN
from stations import heating
from stations.fields import KG_PER_L
from stations.models import Stage, Subject, Trough
from stations.refusals import refused
from stations.scald_sheet import minutes
from stations.trade.errors import OutOfRange
from stations.trade.feed import HELD_LONGER, LEAST_H, MOST_H, OMAFRA, feed_off
from stations.trade.heat import HeatUp
from stations.trade.scald_plan import from_cold, strike_for
from stations.trade.sources import PRACTICE, Source, Trust
from stations.trade.water import boiling_point_c
from workshops.quantities import TEMPERATURE, VOLUME

EVENING = time(18)
"""The evening before, when paper and thermometers are seen to: common practice, no source."""
FILL_MIN = 30
"""To fill a trough by hose or bucket before the fire is lit: common practice, no source."""
ICE_POINT_C = 0.0
HEAT = Source(title="heat balance of this trough, fire and weather", place="", trust=Trust.COMPUTED)
TWO_POINTS = Source(
    title="two-point check; the boiling point by altitude", place="", trust=Trust.PUBLISHED
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Before:
    """One thing to do; without ``at`` the time cannot be told, and ``why`` says what is missing.

    ``since`` is the earliest time, where there is one too.
    """

    at: datetime | None
    what: str
    why: str
    source: str
    since: datetime | None = None


def before_the_day(sheet: RunSheet) -> list[Before]:
    """Everything to do before the sheet's first step, in time order: three queries.

    The sheet's steps must be loaded.
    """
    workshop = sheet.day.workshop
    steps = list(sheet.steps.all())
    troughs = Trough.objects.filter(station__workshop=workshop).select_related("station__workshop")
    first = workshop.stages.filter(subject=Subject.EACH_HOG).order_by("day_number", "order").first()
    found = [
        *_feed(sheet, _kills(steps, first)),
        *(item for trough in troughs for item in _scald(trough, steps)),
        *_evening(sheet, cold=any(step.animal for step in steps)),
    ]
    far = sheet.day.midnight
    return sorted(found, key=lambda item: item.at or far)


def _kills(steps: Sequence[Step], first: Stage | None) -> list[Step]:
    """The first stage that is done to each hog."""
    return [step for step in steps if step.animal_id and first and step.stage_id == first.pk]


def still_ahead(sheet: RunSheet, *, now: datetime) -> list[Before]:
    """The same for the board, until the sheet's first step begins; nothing afterwards."""
    first = min((step.starts_at for step in sheet.steps.all()), default=now)
    return before_the_day(sheet) if now < first else []


def _feed(sheet: RunSheet, kills: Sequence[Step]) -> Iterator[Before]:
    if not kills:
        return
    first, last = min(k.starts_at for k in kills), max(k.starts_at for k in kills)
    what = "Take the feed from the hogs; leave the water"
    try:
        off = feed_off(first_kill=first, last_kill=last)
    except OutOfRange as refusal:
        yield Before(at=None, what=what, why=str(refusal), source=str(OMAFRA))
        return
    zone = sheet.day.workshop.zone
    yield Before(
        at=off.latest,
        since=off.earliest,
        what=what,
        why=f"So that each has been {LEAST_H} to {MOST_H} h without at its kill; "
        f"{off.suggested.astimezone(zone):%H:%M} would do. Held longer than {MOST_H} h they "
        "must be fed.",
        source=f"{OMAFRA}; {HELD_LONGER}",
    )


def _scald(trough: Trough, steps: Sequence[Step]) -> Iterator[Before]:
    """Fill, light, and boil the kettle, back from the first hog at this trough."""
    dips = [step for step in steps if step.station_id == trough.station_id and step.animal]
    if not dips:
        return
    first = min(dips, key=lambda step: step.starts_at)
    name = trough.station.name.lower()
    animals = [step.animal for step in sorted(dips, key=lambda s: s.starts_at) if step.animal]
    try:
        vessel = heating.vessel_of(trough)
        if vessel is not None:
            setup = heating.scald_setup(trough, animals, vessel=vessel)
            strike = strike_for(setup, 0)
            climb = from_cold(setup, strike_c=strike)
            yield from _fire(trough, first, climb, strike_c=strike, fill_kg=setup.fill_kg)
        if heating.kettle_of(trough) is not None:
            yield _kettle(first, heating.kettle_boil(trough))
    except OutOfRange as refusal:
        why = str(refused(refusal, trough.station.workshop.units))
        yield Before(at=None, what=f"Light the fire under the {name}", why=why, source=str(HEAT))


def _fire(
    trough: Trough, first: Step, climb: HeatUp, *, strike_c: float, fill_kg: float
) -> Iterator[Before]:
    units = trough.station.workshop.units
    light = _ahead(first, climb)
    hot = TEMPERATURE.shown(strike_c, units)
    yield Before(
        at=light,
        what=f"Light the fire under the {trough.station.name.lower()}",
        why=f"{minutes(climb.seconds)} from cold to {hot} for {_lower(str(first))}, and "
        f"{LAY_MIN} min to lay it and let it catch. A lid and a windbreak shorten it.",
        source=str(HEAT),
    )
    litres = VOLUME.shown(fill_kg / KG_PER_L, units)
    yield Before(
        at=light - timedelta(minutes=FILL_MIN),
        what=f"Fill the {trough.station.name.lower()} with {litres}",
        why=f"{FILL_MIN} min before the fire is lit; earlier is well, but for frost.",
        source=str(PRACTICE),
    )


def _kettle(first: Step, boil: HeatUp) -> Before:
    return Before(
        at=_ahead(first, boil),
        what="Light the kettle",
        why=f"{minutes(boil.seconds)} to the boil, so that the first buckets are ready for "
        f"{_lower(str(first))}.",
        source=str(HEAT),
    )


def _ahead(first: Step, climb: HeatUp) -> datetime:
    """Whole minutes before the first hog, rounded to the early side."""
    whole = -(-int(climb.seconds) // 60) + LAY_MIN
    return first.starts_at - timedelta(minutes=whole)


def _lower(name: str) -> str:
    return f"{name[:1].lower()}{name[1:]}"


def _evening(sheet: RunSheet, *, cold: bool) -> Iterator[Before]:
    """Paper, thermometers and, where carcasses are about, ice: the evening before."""
    day, workshop = sheet.day, sheet.day.workshop
    at = day.at(EVENING) - timedelta(days=1)
    yield Before(
        at=at,
        what="Print the day's pack and pin it up",
        why=f"Version {sheet.version}, {sheet.get_status_display()}; print again if it changes.",
        source=str(PRACTICE),
    )
    ice = TEMPERATURE.shown(ICE_POINT_C, workshop.units)
    boil = TEMPERATURE.shown(boiling_point_c(float(workshop.altitude_m)), workshop.units)
    yield Before(
        at=at,
        what=f"Check each thermometer in melting ice ({ice}) and boiling water ({boil} here)",
        why="A wrong thermometer is a wrong scald and a wrong chill. Write down what it reads.",
        source=str(TWO_POINTS),
    )
    if cold:
        yield Before(
            at=at,
            what="Fetch the ice, and see that the cold room holds its cold",
            why="For the organs, for a warm night, and for the ice check.",
            source=str(PRACTICE),
        )
