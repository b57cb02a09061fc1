"""What each printed sheet says, as data. ``printing.py`` only sets it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import segno

from scheduling import backwards, lifting, live_day
from scheduling import light as daylight
from scheduling.backwards import Before
from scheduling.drawing import LiftDrawing, draw
from scheduling.lifting import Lift
from scheduling.light import DayLight
from scheduling.models import Placement, RunSheet, Step
from stations.cautions import Caution, burns_today
from stations.models import Duty, Equipment, HazardNote, Station
from workshops.models import CardLink, Day, Enrolment, EnrolmentStatus


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewLine:
    """One duty of one step with its crew."""

    duty: Duty
    crew: tuple[str, ...]
    blanks: int

    @property
    def names(self) -> str:
        """The crew, each with the named place if there is one."""
        return ", ".join(self.crew)


@dataclass(frozen=True, slots=True, kw_only=True)
class CardStep:
    """One step on a station's card."""

    step: Step
    lines: tuple[CrewLine, ...]
    lift: Lift | None = None

    @property
    def drawing(self) -> LiftDrawing | None:
        """The four at their places, where there are chains."""
        return draw(self.lift)


@dataclass(frozen=True, slots=True, kw_only=True)
class StationCard:
    """One page a station: what it is for, who is there when, what is dangerous."""

    station: Station
    steps: tuple[CardStep, ...]
    duties: tuple[Duty, ...]
    notes: tuple[HazardNote | Caution, ...]
    kit: tuple[Equipment, ...]

    @property
    def drawings(self) -> list[LiftDrawing]:
        """Each hog with its four, in the order of the day."""
        return [item.drawing for item in self.steps if item.drawing]

    @property
    def lift_warnings(self) -> list[Caution]:
        """What nothing here brings within a screen, each said once. No one's own figure."""
        return [
            Caution(
                signal=note.signal,
                text=f"{item.step.animal}. {note.text}",
                source_line=note.source_line,
            )
            for item in self.steps
            if item.lift
            for note in item.lift.shortfalls
        ]


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipLine:
    """One place on a pocket slip."""

    start: str
    end: str
    station: Station
    step: str
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """One attendee's day, for the pocket."""

    seat: Enrolment
    lines: tuple[SlipLine, ...]
    qr: str
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """A day on paper."""

    day: Day
    number: int
    sheet: RunSheet
    steps: tuple[CardStep, ...]
    cards: tuple[StationCard, ...]
    slips: tuple[Slip, ...]
    light: DayLight
    before: tuple[Before, ...]

    @property
    def slip_pages(self) -> list[tuple[Slip, ...]]:
        """Slips, six to a page."""
        return [self.slips[start : start + 6] for start in range(0, len(self.slips), 6)]


def _named(row: Placement) -> str:
    return f"{row.person_name} ({row.place})" if row.place else row.person_name


def _card_step(step: Step, lift: Lift | None) -> CardStep:
    crews: dict[int, list[Placement]] = defaultdict(list)
    for row in step.placements.all():
        crews[row.duty_id].append(row)
    lines = tuple(
        CrewLine(
            duty=duty,
            crew=tuple(_named(row) for row in crews[duty.pk]),
            # Room to write by hand where a hand is missing.
            blanks=max(0, duty.hands_least - len(crews[duty.pk])),
        )
        for duty in step.stage.duties.all()
    )
    return CardStep(step=step, lines=lines, lift=lift)


def pack(sheet: RunSheet, *, number: int, root: str) -> Pack:
    """Everything that is printed for a day.

    ``sheet`` is a posted (or draft) sheet with steps loaded, ``root`` the address that phones use,
    such as "http://192.168.0.7:8000".
    """
    workshop = sheet.day.workshop
    lifted = lifting.lifted_steps(sheet)
    steps = tuple(_card_step(row.step, row.lift) for row in lifted)
    seats = (
        Enrolment.objects.for_workshop(workshop)
        .filter(status=EnrolmentStatus.CONFIRMED)
        .with_people()
        .select_related("attendee__household", "link")
    )
    return Pack(
        day=sheet.day,
        number=number,
        sheet=sheet,
        steps=steps,
        cards=tuple(_station_cards(sheet, steps)),
        slips=tuple(_slip(seat, sheet, root) for seat in seats),
        light=daylight.day_light(sheet.day, sheet.steps.all()),
        before=tuple(backwards.before_the_day(sheet)),
    )


def _station_cards(sheet: RunSheet, steps: Iterable[CardStep]) -> Iterable[StationCard]:
    notes = live_day.notes_of(sheet.day.workshop)
    burns = burns_today(sheet.day.workshop)
    kit: dict[int | None, list[Equipment]] = defaultdict(list)
    for thing in Equipment.objects.filter(workshop=sheet.day.workshop):
        kit[thing.station_id].append(thing)
    by_station: dict[Station, list[CardStep]] = defaultdict(list)
    for item in steps:
        by_station[item.step.station].append(item)
    for station in sorted(by_station, key=lambda station: station.order):
        duties = {line.duty.pk: line.duty for item in by_station[station] for line in item.lines}
        yield StationCard(
            station=station,
            steps=tuple(by_station[station]),
            duties=tuple(duties.values()),
            notes=(*_burn_at(station, by_station[station], burns), *notes[station.pk]),
            kit=tuple(kit[station.pk]),
        )


def _burn_at(
    station: Station, steps: Iterable[CardStep], burns: Mapping[int, Caution]
) -> tuple[Caution, ...]:
    """What the water does, where someone stands at it that day."""
    hot = any(line.duty.hot for item in steps for line in item.lines)
    return (burns[station.pk],) if hot and station.pk in burns else ()


def _slip(seat: Enrolment, sheet: RunSheet, root: str) -> Slip:
    zone = sheet.day.workshop.zone
    lines = [
        SlipLine(
            start=f"{step.starts_at.astimezone(zone):%H:%M}",
            end=f"{step.ends_at.astimezone(zone):%H:%M}",
            station=step.station,
            step=str(step),
            title=row.title,
        )
        for step in sheet.steps.all()
        for row in step.placements.all()
        if row.enrolment_id == seat.pk
    ]
    link = _live_link(seat)
    address = f"{root}{link.path}" if link else ""
    # Drawn as an inline picture, so that the sheet needs nothing from anywhere.
    qr = segno.make(address, error="m").svg_data_uri(border=0) if address else ""
    return Slip(seat=seat, lines=tuple(lines), qr=qr, address=address)


def _live_link(seat: Enrolment) -> CardLink | None:
    link: CardLink | None = getattr(seat, "link", None)
    return link if link and link.revoked_at is None else None
