"""The log as it is read: entries, dips, marks and alarms, of a day, a hog or a person."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from io import StringIO

from django.db.models import Q

from scheduling.models import Actual, Alarm, AlarmKind, LogEntry, LogKind, Mark, Step
from stations.dip_records import defused
from stations.forecasting import noted_words
from stations.models import ChillReading, Dip, DipEntry, EntryKind, ProbedPart
from workshops.models import Animal, Day, Enrolment, Workshop
from workshops.quantities import TEMPERATURE

CSV_COLUMNS = (
    "at", "received_at", "kind", "what", "detail", "station", "hog", "person", "who", "corrected",
)  # fmt: skip
HIDDEN = "One person was hurt. Organizer and lead see who, and how."


@dataclass(frozen=True, slots=True, kw_only=True)
class LogLine:
    """One line of the log."""

    at: datetime
    received_at: datetime
    kind: str
    words: str
    who: str
    order: int
    station: str = ""
    hog: str = ""
    person: str = ""
    detail: str = ""
    withdrawn: bool = False
    entry: LogEntry | None = None

    @property
    def is_urgent(self) -> bool:
        """Whether it tells of an injury, a near miss or an alarm."""
        return self.kind in {LogKind.INJURY.label, LogKind.NEAR_MISS.label, "alarm"}

    @property
    def came_late(self) -> bool:
        """Whether it was written down well after it happened."""
        return self.received_at - self.at > timedelta(minutes=2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Which lines are wanted, and whether the reader may see health."""

    workshop: Workshop
    sees_health: bool
    day: Day | None = None
    hog: Animal | None = None
    seat: Enrolment | None = None
    span: tuple[datetime, datetime] = field(init=False)

    def __post_init__(self) -> None:
        first = self.day.midnight if self.day else datetime.min.replace(tzinfo=self.workshop.zone)
        last = self.day.midnight + timedelta(days=1) if self.day else None
        object.__setattr__(self, "span", (first, last or first.replace(year=9999)))

    @property
    def when(self) -> Q:
        """The time, as a condition on ``at``."""
        return Q(at__gte=self.span[0], at__lt=self.span[1]) if self.day else Q()


def lines(asked: Asked) -> list[LogLine]:
    """Every line, oldest first; a fixed number of queries."""
    found = [
        *_told(asked),
        *_dipped(asked),
        *_marked(asked),
        *_probed(asked),
        *_raised(asked),
    ]
    return sorted(found, key=lambda line: (line.at, line.order))


def _told(asked: Asked) -> Iterator[LogLine]:
    rows = LogEntry.objects.with_all().filter(asked.when, workshop=asked.workshop)
    if asked.hog:
        rows = rows.filter(animal=asked.hog)
    if asked.seat:
        rows = rows.filter(Q(about=asked.seat) | Q(by_enrolment=asked.seat))
        if not asked.sees_health:
            harm = Q(kind=LogKind.INJURY) | Q(corrects__kind=LogKind.INJURY)
            rows = rows.exclude(harm & Q(about=asked.seat))
    for row in rows:
        hides = row.is_about_harm and not asked.sees_health
        yield LogLine(
            at=row.at,
            received_at=row.received_at,
            kind=LogKind(row.kind).label,
            words=row.text,
            detail=(HIDDEN if hides else row.detail) if row.is_about_harm else row.detail,
            station=str(row.station or ""),
            hog=str(row.animal or ""),
            person="" if hides else row.person,
            who=row.writer,
            withdrawn=hasattr(row, "corrected_by"),
            entry=row,
            order=row.pk,
        )


def _dipped(asked: Asked) -> Iterator[LogLine]:
    dips = Dip.objects.with_all().filter(workshop=asked.workshop)
    if asked.day:
        start, end = asked.span
        dips = dips.filter(water_in_at__gte=start, water_in_at__lt=end)
    if asked.hog:
        dips = dips.filter(animal=asked.hog)
    if asked.seat:
        mine = Q(by_enrolment=asked.seat) | Q(entries__by_enrolment=asked.seat)
        dips = dips.filter(mine).distinct()
    for dip in dips:
        if asked.seat is None or dip.by_enrolment_id == asked.seat.pk:
            yield _in_water(dip)
        rows = list(dip.entries.all())
        gone = {row.takes_back_id for row in rows}
        for row in rows:
            if asked.seat is None or row.by_enrolment_id == asked.seat.pk:
                yield _entry(dip, row, withdrawn=row.pk in gone)


def _in_water(dip: Dip) -> LogLine:
    strike = TEMPERATURE.shown(dip.strike_read_c, dip.workshop.units, decimals=1)
    writer = dip.by_enrolment.attendee.given_name if dip.by_enrolment else str(dip.by_user or "")
    return LogLine(
        at=dip.water_in_at,
        received_at=dip.received_at,
        kind="in water",
        words=f"In water, strike read {strike}",
        station=str(dip.station),
        hog=str(dip.animal),
        who=writer,
        order=0,
    )


def _entry(dip: Dip, row: DipEntry, *, withdrawn: bool) -> LogLine:
    return LogLine(
        at=row.at,
        received_at=row.received_at,
        kind=EntryKind(row.kind).label,
        words=noted_words(row, floor_c=dip.floor_c, units=dip.workshop.units),
        station=str(dip.station),
        hog=str(dip.animal),
        who=row.writer,
        withdrawn=withdrawn,
        order=row.pk,
    )


def _marked(asked: Asked) -> Iterator[LogLine]:
    rows = Actual.objects.filter(asked.when, day__workshop=asked.workshop)
    if asked.seat:
        rows = rows.filter(by_enrolment=asked.seat)
    rows = rows.select_related("by", "by_enrolment__attendee")
    # The step's name from whatever version had it last: a new plan keeps the codes.
    steps = Step.objects.filter(run_sheet__day__workshop=asked.workshop)
    if asked.hog:
        steps = steps.filter(animal=asked.hog)
    names = {
        step.code: step
        for step in steps.select_related("stage", "animal", "station").order_by("run_sheet_id")
    }
    for row in rows:
        step = names.get(row.code)
        if (asked.hog and step is None) or row.at is None:
            continue
        yield LogLine(
            at=row.at,
            received_at=row.recorded_at,
            kind="step",
            words=f"{step or row.code}: {Mark(row.mark).label}",
            station=str(step.station) if step else "",
            hog=str(step.animal or "") if step else "",
            who=row.writer,
            order=row.pk,
        )


def _probed(asked: Asked) -> Iterator[LogLine]:
    """The probe in a carcass; staff alone writes these, so none is an attendee's own."""
    if asked.seat:
        return
    rows = ChillReading.objects.with_writers().filter(
        asked.when, animal__workshop=asked.workshop, is_void=False
    )
    if asked.hog:
        rows = rows.filter(animal=asked.hog)
    for row in rows.select_related("animal", "by_user", "corrected_by"):
        shown = TEMPERATURE.shown(row.temp_c or 0.0, asked.workshop.units, decimals=1)
        yield LogLine(
            at=row.at,
            received_at=row.received_at,
            kind="chill reading",
            words=f"{ProbedPart(row.part).label.capitalize()} {shown}",
            hog=str(row.animal),
            who=row.writer,
            withdrawn=hasattr(row, "corrected_by"),
            order=row.pk,
        )


def _raised(asked: Asked) -> Iterator[LogLine]:
    if asked.hog or asked.seat:
        return
    rows = Alarm.objects.filter(workshop=asked.workshop)
    if asked.day:
        start, end = asked.span
        rows = rows.filter(raised_at__gte=start, raised_at__lt=end)
    for row in rows.select_related("by_user", "by_enrolment__attendee"):
        seen = f" Seen by {row.acknowledged_by}." if row.acknowledged_at else ""
        yield LogLine(
            at=row.raised_at,
            received_at=row.raised_at,
            kind="alarm",
            words=f"{AlarmKind(row.kind).label.capitalize()}: {row.what}{seen}",
            who=row.who,
            order=row.pk,
        )


def as_csv(found: Iterable[LogLine]) -> str:
    """The lines, one a row, with what a spreadsheet would run as a formula made harmless."""
    sheet = StringIO()
    writer = csv.writer(sheet)
    writer.writerow(CSV_COLUMNS)
    for line in found:
        cells = [
            line.at.isoformat(),
            line.received_at.isoformat(),
            line.kind,
            line.words,
            line.detail,
            line.station,
            line.hog,
            line.person,
            line.who,
            "yes" if line.withdrawn else "",
        ]
        writer.writerow([defused(cell) for cell in cells])
    return sheet.getvalue()
