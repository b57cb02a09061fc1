"""Start, read, pour, roll, test hair, pull, undo: the only writers of a dip.

Who races: the thermometer and the timer stand at one trough with a phone each, and a phone on bad
reception sends the same post twice. So every act carries an id that the phone made; the second
arrival finds the first row and answers the same. Each act locks its dip's row first, so that "out"
from one phone and "undo" from the other come one after the other. Entries are only added; the
estimate is made afresh from all of them, so their order of arrival does not matter.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db import IntegrityError, transaction

from stations.errors import DipRefused, ReadingQuestioned
from stations.estimating import expected_reading_c
from stations.heating import air_of, band_of, bucket_of
from stations.models import (
    Dip,
    DipEntry,
    EntryKind,
    HairSlip,
    HogPart,
    Station,
    Thermometer,
    ThermometerCheck,
)
from stations.trade.errors import OutOfRange
from stations.trade.questioned import Doubt, Questioned, question_reading, question_strike
from workshops.models import Animal, Enrolment, Topic, User, Workshop
from workshops.pulse import beat
from workshops.quantities import TEMPERATURE


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """Who pressed: a member of the staff, or an attendee by private link."""

    user: User | None = None
    enrolment: Enrolment | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """One press of a button: whose, the phone's id for it, when it happened, when it came."""

    by: Hand
    client_id: UUID
    now: datetime
    happened_at: datetime | None = None

    @property
    def at(self) -> datetime:
        """When it happened; a phone whose clock runs ahead reads no future."""
        return self.now if self.happened_at is None else min(self.happened_at, self.now)

    @property
    def columns(self) -> dict[str, object]:
        """What every row of the trough keeps of an act."""
        return {
            "client_id": self.client_id,
            "received_at": self.now,
            "by_user": self.by.user,
            "by_enrolment": self.by.enrolment,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """What is chosen before "in water": which hog, how much water, the strike reading (degC)."""

    animal: Animal
    water_kg: float
    strike_read_c: float
    thermometer: Thermometer | None = None
    confirmed: bool = False


def start(station: Station, wanted: Start, act: Act) -> Dip:
    """The hog is in the water: a new dip, or the one that this press has already begun.

    Raises ReadingQuestioned for a strange strike that nobody confirmed, and DipRefused while
    another hog is in this trough or the strike cannot be computed with.
    """
    if before := Dip.objects.filter(client_id=act.client_id).first():
        return before
    if not wanted.confirmed and (doubt := question_strike(wanted.strike_read_c)):
        raise ReadingQuestioned(_about_strike(doubt, station.workshop), read_c=doubt.read_c)
    if not 20.0 <= wanted.strike_read_c <= 95.0:
        low, high = (TEMPERATURE.shown(c, station.workshop.units) for c in (20.0, 95.0))
        raise DipRefused(f"A strike reading lies between {low} and {high}. Read it again.")
    trough = station.trough
    band = band_of(trough, wanted.animal)
    with transaction.atomic():
        # Both phones may press "In water" at once: the second waits here, then finds the first.
        Station.objects.select_for_update().get(pk=station.pk)
        open_dip = Dip.objects.in_water().filter(station=station).select_related("animal").first()
        if open_dip is not None and open_dip.animal_id == wanted.animal.pk:
            return open_dip
        if open_dip is not None:
            raise DipRefused(
                f"{open_dip.animal} is still in this trough. Press Out for it first, or "
                "“Started by mistake”."
            )
        made = Dip.objects.create(
            workshop=station.workshop,
            station=station,
            animal=wanted.animal,
            water_in_at=act.at,
            water_kg=wanted.water_kg,
            strike_read_c=wanted.strike_read_c,
            thermometer=wanted.thermometer,
            check_used=wanted.thermometer.last_check if wanted.thermometer else None,
            floor_c=band.floor_c,
            ceiling_c=band.ceiling_c,
            air_c=trough.air_c,
            **act.columns,
        )
        beat(station.workshop_id, Topic.DIP)
        return made


def read(dip: Dip, water_c: float, act: Act, *, confirmed: bool = False) -> DipEntry:
    """A reading. Raises ReadingQuestioned for an impossible one, until it comes ``confirmed``."""
    if before := _sent_before(dip, act, EntryKind.READING):
        return before
    doubt = _doubt(dip, water_c, at=act.at)
    if doubt and not confirmed:
        raise ReadingQuestioned(_question(doubt, dip.workshop), read_c=water_c)
    return _add(dip, act, kind=EntryKind.READING, water_c=water_c, confirmed=doubt is not None)


def pour_hot(dip: Dip, act: Act) -> DipEntry:
    """A bucket from the kettle, as full and as hot as this trough's buckets arrive."""
    bucket = bucket_of(dip.station.trough)
    return _add(dip, act, kind=EntryKind.POUR, water_kg=bucket.kg, water_c=bucket.water_c)


def pour_cold(dip: Dip, act: Act) -> DipEntry:
    """A bucket of cold water, to trim."""
    trough = dip.station.trough
    return _add(dip, act, kind=EntryKind.POUR, water_kg=trough.bucket_kg, water_c=trough.tap_c)


def roll(dip: Dip, act: Act) -> DipEntry:
    """The hog was rolled."""
    return _add(dip, act, kind=EntryKind.ROLL)


def test_hair(dip: Dip, act: Act, *, part: HogPart, hair: HairSlip) -> DipEntry:
    """Hair was pulled: where, and what it did."""
    return _add(dip, act, kind=EntryKind.HAIR_TEST, part=part, hair=hair)


def pull(dip: Dip, act: Act) -> DipEntry:
    """The hog is out. The second of two who press at once is answered with the first's entry."""
    return _end(dip, act, EntryKind.OUT)


def call_off(dip: Dip, act: Act) -> DipEntry:
    """The dip was started by mistake: it stays in the record and counts for nothing."""
    return _end(dip, act, EntryKind.MISTAKE)


def undo(dip: Dip, entry_id: int, act: Act) -> DipEntry:
    """Take one entry back. Whoever takes it back second is answered with the first's undo.

    Raises DipRefused for an entry that is not of this dip, for an undo, and for an "out" when
    another hog has gone into the trough since.
    """

    def write() -> DipEntry:
        entry = dip.entries.select_related("taken_back").filter(pk=entry_id).first()
        if entry is None or entry.kind == EntryKind.UNDO:
            raise DipRefused("That entry cannot be taken back. Choose one from the list.")
        if hasattr(entry, "taken_back"):
            return entry.taken_back
        in_the_way = Dip.objects.in_water().filter(station=dip.station).exclude(pk=dip.pk).first()
        if EntryKind(entry.kind).ends_the_dip and in_the_way is not None:
            raise DipRefused(
                f"{in_the_way.animal} is in the trough now, so {dip.animal} cannot go back in. "
                "Write a note on paper, or end that dip first."
            )
        return _create(dip, act, kind=EntryKind.UNDO, takes_back=entry)

    return _once(dip, act, EntryKind.UNDO, write)


def check_thermometer(
    workshop: Workshop, name: str, act: Act, *, ice_c: float | None, boil_c: float | None
) -> ThermometerCheck:
    """What a thermometer read in ice water and at the boil; it is added if it is new.

    Raises DipRefused for a thermometer that is too far off to correct: it is replaced.
    """
    if before := ThermometerCheck.objects.filter(client_id=act.client_id).first():
        return before
    with transaction.atomic():
        # Two who check one new thermometer at once: the unique name lets one row be made.
        thermometer, _ = Thermometer.objects.get_or_create(workshop=workshop, name=name)
        check = ThermometerCheck(
            thermometer=thermometer,
            ice_read_c=ice_c,
            boil_read_c=boil_c,
            altitude_m=workshop.altitude_m,
            at=act.at,
            **act.columns,
        )
        try:
            check.as_of(act.at)
        except OutOfRange as error:
            unit = TEMPERATURE.shown
            raise DipRefused(
                f"{name} read {unit(error.got, workshop.units, decimals=1)}; at this altitude it "
                f"should show {unit((error.low + error.high) / 2, workshop.units, decimals=1)}. "
                "Check it again; a thermometer that far off is replaced, not corrected."
            ) from error
        check.save()
    return check


# --- what every act shares ---------------------------------------------------------------------
def _sent_before(dip: Dip, act: Act, kind: EntryKind) -> DipEntry | None:
    """The row this press has made already; an id used for something else is refused."""
    before = DipEntry.objects.filter(client_id=act.client_id).first()
    if before is not None and (before.dip_id, before.kind) != (dip.pk, kind):
        raise DipRefused("That button's id was used before. Load the page again, then press it.")
    return before


def _once(dip: Dip, act: Act, kind: EntryKind, write: Callable[[], DipEntry]) -> DipEntry:
    """Write unless this press has been written before. The dip's row is held meanwhile."""
    if before := _sent_before(dip, act, kind):
        return before
    try:
        with transaction.atomic():
            Dip.objects.select_for_update().get(pk=dip.pk)
            return _sent_before(dip, act, kind) or write()
    except IntegrityError:
        # The same press came through twice at the very same time, on a base without row locks.
        if before := _sent_before(dip, act, kind):
            return before
        raise


def _create(dip: Dip, act: Act, **columns: object) -> DipEntry:
    made = DipEntry.objects.create(dip=dip, at=act.at, **act.columns, **columns)
    beat(dip.workshop_id, Topic.DIP)
    return made


def _add(dip: Dip, act: Act, *, kind: EntryKind, **columns: object) -> DipEntry:
    """One more entry of a dip. Raises DipRefused before the hog was in or after it was out."""

    def write() -> DipEntry:
        _refuse_outside(dip, act.at)
        return _create(dip, act, kind=kind, **columns)

    return _once(dip, act, kind, write)


def _end(dip: Dip, act: Act, kind: EntryKind) -> DipEntry:
    def write() -> DipEntry:
        return _ended(dip) or _create(dip, act, kind=kind)

    return _once(dip, act, kind, write)


def _ended(dip: Dip) -> DipEntry | None:
    """The entry that ended the dip, read afresh: the caller's rows may be older."""
    ends = (EntryKind.OUT, EntryKind.MISTAKE)
    return dip.entries.filter(kind__in=ends, taken_back__isnull=True).first()


def _refuse_outside(dip: Dip, at: datetime) -> None:
    """What a slow phone sends late is taken, if it happened while the hog was in."""
    clock = at.astimezone(dip.workshop.zone)
    if at < dip.water_in_at - timedelta(seconds=1):
        raise DipRefused(f"At {clock:%H:%M:%S} {dip.animal} was not in the water yet.")
    end = _ended(dip)
    if end is not None and at > end.at:
        since = end.at.astimezone(dip.workshop.zone)
        raise DipRefused(
            f"{dip.animal} has been out since {since:%H:%M:%S}, so nothing was written. "
            "If it is still in, undo “out” first."
        )


def _doubt(dip: Dip, water_c: float, *, at: datetime) -> Questioned | None:
    readings = [row.at for row in dip.of_kind(EntryKind.READING) if row.at <= at]
    since = max([dip.water_in_at, *readings])
    return question_reading(
        water_c,
        boils_c=air_of(dip.station.trough).boils_at_c,
        expected_c=expected_reading_c(dip, at=at),
        since_s=max(0.0, (at - since).total_seconds()),
    )


def _question(doubt: Questioned, workshop: Workshop) -> str:
    shown = TEMPERATURE.shown(doubt.read_c, workshop.units, decimals=1)
    held = TEMPERATURE.shown(doubt.against_c, workshop.units, decimals=1)
    return {
        Doubt.FROZEN: f"{shown}? Water is ice below {held}.",
        Doubt.BOILING: f"{shown}? Water boils at {held} here.",
        Doubt.JUMP: f"{shown}? About {held} was expected; a trough does not change that fast.",
    }[doubt.doubt]


def _about_strike(doubt: Questioned, workshop: Workshop) -> str:
    shown = TEMPERATURE.shown(doubt.read_c, workshop.units, decimals=1)
    held = TEMPERATURE.shown(doubt.against_c, workshop.units)
    way = "below" if doubt.read_c < doubt.against_c else "above"
    return f"Strike at {shown}? That is {way} {held}, where no published scald starts."
