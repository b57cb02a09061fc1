"""Rows for tests: each builder fills in sensible defaults, and any field can be named.

``make_hog(live_kg=140)`` says what matters to the test and nothing else. A builder makes the rows
it hangs on when they are not given: ``make_duty()`` makes a station and a workshop too.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime, time, timedelta
from itertools import count
from typing import Any
from uuid import uuid4

from django.contrib.auth.models import Group

from scheduling.models import (
    Absence,
    Actual,
    Attendance,
    Mark,
    Override,
    Placement,
    Posting,
    RunSheet,
    SheetStatus,
    StationHours,
    Step,
    Swap,
    SwapKind,
    Turnout,
)
from stations.models import (
    RECIPES,
    ChillPlan,
    ChillReading,
    CureAct,
    CureBatch,
    CureEntry,
    CutPlan,
    Dip,
    DipEntry,
    Duty,
    EntryKind,
    Equipment,
    EquipmentKind,
    FoodEntry,
    FoodLog,
    FoodRule,
    HandlingSetup,
    HazardNote,
    KitchenBatch,
    KitHold,
    Package,
    PackageKind,
    Signal,
    Stage,
    StageGap,
    Station,
    Thermometer,
    ThermometerCheck,
    Trough,
    WeighIn,
    WeighStage,
)
from workshops.models import (
    Animal,
    AnimalStatus,
    Attendee,
    Basis,
    Break,
    CardLink,
    Coat,
    Day,
    Enrolment,
    EnrolmentLimit,
    EnrolmentStatus,
    Household,
    Knife,
    Limit,
    LocalCheck,
    Meal,
    Ownership,
    StaffMember,
    StaffRole,
    User,
    WaiverText,
    Workshop,
)
from workshops.roles import Role, ensure_roles

FIRST_DAY = date(2030, 1, 11)
# Away from UTC on purpose: a naive time or a forgotten zone then shows.
ZONE = "America/Denver"
NOW = datetime(2030, 1, 11, 15, tzinfo=UTC)  # 08:00 on the first day at the farm

_next = count(1)

# ``fields`` are whatever the model has; the model checks them.
Fields = Any


# --- workshops ---------------------------------------------------------------------------------
def make_user(role: Role | None = None, *, username: str = "", **fields: Fields) -> User:
    """A sign-in, in the group of ``role`` if one is given."""
    username = username or f"user{next(_next)}"
    user = User.objects.create_user(username, password="correct horse", **fields)
    if role is not None:
        group = Group.objects.filter(name=role.label).first() or ensure_roles()[role]
        user.groups.add(group)
    return user


def make_workshop(*, days: int = 3, first_day: date = FIRST_DAY, **fields: Fields) -> Workshop:
    """A workshop with so many days in a row, eight to five."""
    number = next(_next)
    values = {
        "name": f"Winter course {number}",
        "slug": f"course-{number}",
        "farm": "Alder Farm",
        "time_zone": ZONE,
        "emergency_number": "112",
    } | fields
    workshop = Workshop.objects.create(**values)
    for offset in range(days):
        make_day(workshop, date=first_day + timedelta(days=offset), title=f"Day {offset + 1}")
    return workshop


def make_day(workshop: Workshop | None = None, **fields: Fields) -> Day:
    """One more day of a workshop; without a workshop, the only day of a new one."""
    workshop = workshop or make_workshop(days=0)
    last = workshop.days.order_by("-date").first()
    values = {"date": last.date + timedelta(days=1) if last else FIRST_DAY} | fields
    return Day.objects.create(workshop=workshop, **values)


def make_break(day: Day, **fields: Fields) -> Break:
    """A half-hour meal at noon."""
    values = {"name": "Dinner", "starts": time(12), "minutes": 30} | fields
    return Break.objects.create(day=day, **values)


def make_absence(day: Day, **fields: Fields) -> Absence:
    """Someone of the staff is away from ten to eleven, unless ``enrolment`` says who."""
    values: dict[str, Any] = {"leaves": time(10), "back": time(11)} | fields
    if "enrolment" not in values:
        values.setdefault("staff", make_staff(day.workshop))
    return Absence.objects.create(day=day, **values)


def make_hours(day: Day, station: Station, **fields: Fields) -> StationHours:
    """A station is in use from eight to noon alone."""
    values = {"opens": time(8), "closes": time(12)} | fields
    return StationHours.objects.create(day=day, station=station, **values)


def make_household(**fields: Fields) -> Household:
    """A household with someone to ring."""
    number = next(_next)
    values = {
        "name": f"Household {number}",
        "email": f"household{number}@example.org",
        "phone": "555 0100",
        "emergency_contact": "Aunt Wren",
        "emergency_phone": "555 0199",
    } | fields
    return Household.objects.create(**values)


def make_attendee(household: Household | None = None, **fields: Fields) -> Attendee:
    """An adult of middling height, with no birth date given."""
    values = {"given_name": f"Person {next(_next)}", "height_cm": 170} | fields
    return Attendee.objects.create(household=household or make_household(), **values)


def make_enrolment(
    workshop: Workshop | None = None,
    attendee: Attendee | None = None,
    *,
    limits: Iterable[Limit] = (),
    **fields: Fields,
) -> Enrolment:
    """A confirmed seat; ``given_name``, ``born``, ... of the person go to :func:`make_attendee`."""
    person = {
        name: fields.pop(name)
        for name in ("household", "given_name", "family_name", "born", "height_cm", "diet")
        if name in fields
    }
    values = {"status": EnrolmentStatus.CONFIRMED, "lift_kg": 25, "knife": Knife.KITCHEN} | fields
    enrolment = Enrolment.objects.create(
        workshop=workshop or make_workshop(),
        attendee=attendee or make_attendee(**person),
        **values,
    )
    for limit in limits:
        EnrolmentLimit.objects.create(enrolment=enrolment, limit=limit)
    return enrolment


def make_link(enrolment: Enrolment | None = None, **fields: Fields) -> CardLink:
    """The private link of a seat."""
    return CardLink.objects.create(enrolment=enrolment or make_enrolment(), **fields)


def make_staff(
    workshop: Workshop | None = None, role: StaffRole = StaffRole.HELPER, **fields: Fields
) -> StaffMember:
    """A helper (or the lead) of a workshop, without a sign-in unless ``user`` is given."""
    values = {"name": f"{StaffRole(role).label.title()} {next(_next)}", "role": role} | fields
    return StaffMember.objects.create(workshop=workshop or make_workshop(), **values)


def make_animal(workshop: Workshop | None = None, **fields: Fields) -> Animal:
    """A hog of 120 kg that takes part, the next one in the order of the kill."""
    workshop = workshop or make_workshop()
    number = workshop.animals.count() + 1
    values = {
        "tag": str(number),
        "order": number,
        "live_kg": 120,
        "coat": Coat.ORDINARY,
        "status": AnimalStatus.CHOSEN,
    } | fields
    return Animal.objects.create(workshop=workshop, **values)


def make_hog(workshop: Workshop | None = None, **fields: Fields) -> Animal:
    """A hog that has an owner of record: the farm."""
    animal = make_animal(workshop, **fields)
    make_ownership(animal)
    return animal


def make_ownership(
    animal: Animal | None = None, household: Household | None = None, **fields: Fields
) -> Ownership:
    """The whole animal, to the household or else to the farm."""
    values = {
        "basis": Basis.BOUGHT_LIVE if household else Basis.FARMS_OWN,
        "since": FIRST_DAY - timedelta(days=60),
    } | fields
    return Ownership.objects.create(animal=animal or make_animal(), household=household, **values)


def make_waiver_text(workshop: Workshop | None = None, **fields: Fields) -> WaiverText:
    """The next version of a workshop's waiver."""
    workshop = workshop or make_workshop()
    values = {
        "version": workshop.waiver_texts.count() + 1,
        "text": "Knives cut and water scalds.",
        "made_at": NOW,
    } | fields
    return WaiverText.objects.create(workshop=workshop, **values)


def make_local_check(workshop: Workshop | None = None, **fields: Fields) -> LocalCheck:
    """Somebody asked the local authority, a month before the course."""
    values = {
        "name": "Maren",
        "authority": "the county",
        "on": FIRST_DAY - timedelta(days=30),
        "made_at": NOW,
    } | fields
    return LocalCheck.objects.create(workshop=workshop or make_workshop(), **values)


# --- stations ----------------------------------------------------------------------------------
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def make_station(workshop: Workshop | None = None, **fields: Fields) -> Station:
    """The next station of a workshop, with the next letter."""
    workshop = workshop or make_workshop()
    number = workshop.stations.count()
    values = {
        "name": f"Station {LETTERS[number]}",
        "letter": LETTERS[number],
        "look": number % 10 + 1,
        "order": number + 1,
    } | fields
    return Station.objects.create(workshop=workshop, **values)


def make_duty(
    station: Station | None = None, *, hands: int | None = None, **fields: Fields
) -> Duty:
    """A duty that anyone may do. ``hands`` sets the least and the most at once."""
    if hands is not None:
        fields = {"hands_least": hands, "hands_most": hands} | fields
    station = station or make_station()
    number = station.duties.count() + 1
    values = {"name": f"Duty {number}", "order": number} | fields
    return Duty.objects.create(station=station, **values)


def make_chain_duty(station: Station | None = None, **fields: Fields) -> Duty:
    """The chain crew: four adults in named places, heavy and hot."""
    values = {
        "name": "Chain",
        "heavy": True,
        "hot": True,
        "adults_only": True,
        "place_names": ["fore-left", "fore-right", "hind-left", "hind-right"],
    } | fields
    return make_duty(station, hands=4, **values)


def make_trough(station: Station | None = None, **fields: Fields) -> Trough:
    """An open trough with a propane fire and a kettle."""
    values = {"kettle_l": 40.0} | fields
    return Trough.objects.create(station=station or make_station(name="Trough"), **values)


def make_thermometer(workshop: Workshop | None = None, **fields: Fields) -> Thermometer:
    """A thermometer that nobody has checked."""
    values = {"name": f"Probe {next(_next)}"} | fields
    return Thermometer.objects.create(workshop=workshop or make_workshop(), **values)


def make_check(thermometer: Thermometer | None = None, **fields: Fields) -> ThermometerCheck:
    """A check at the sea, the evening before, that found nothing wrong."""
    values = {
        "client_id": uuid4(),
        "ice_read_c": 0.0,
        "boil_read_c": 100.0,
        "at": NOW - timedelta(hours=12),
        "received_at": NOW - timedelta(hours=12),
    } | fields
    return ThermometerCheck.objects.create(thermometer=thermometer or make_thermometer(), **values)


def make_dip(station: Station | None = None, animal: Animal | None = None, **fields: Fields) -> Dip:
    """A hog that went into 230 kg of water, struck at 69 degC, as the day began."""
    station = station or make_trough().station
    values = {
        "client_id": uuid4(),
        "water_in_at": NOW,
        "received_at": NOW,
        "water_kg": 230,
        "strike_read_c": 69.0,
        "floor_c": 62.8,
        "ceiling_c": 71.1,
        "air_c": 5,
    } | fields
    workshop = station.workshop
    animal = animal or make_animal(workshop)
    return Dip.objects.create(workshop=workshop, station=station, animal=animal, **values)


def make_entry(
    dip: Dip, kind: EntryKind = EntryKind.READING, *, seconds: float = 60, **fields: Fields
) -> DipEntry:
    """Something noted so many seconds after "in water"; a reading of 67 degC unless said."""
    at = dip.water_in_at + timedelta(seconds=seconds)
    defaults: dict[EntryKind, dict[str, Any]] = {
        EntryKind.READING: {"water_c": 67.0},
        EntryKind.POUR: {"water_c": 95.0, "water_kg": 10.0},
        EntryKind.HAIR_TEST: {"part": "flank", "hair": "holds"},
    }
    needed = defaults.get(kind, {})
    values = {"client_id": uuid4(), "at": at, "received_at": at} | needed | fields
    return DipEntry.objects.create(dip=dip, kind=kind, **values)


def make_handling(station: Station | None = None, **fields: Fields) -> HandlingSetup:
    """A trough with a ramp of 14 degrees and two marked chains, and nothing to hoist with."""
    values = {"ramp_deg": 14, "chain_wire": "3/8 in (10 mm)", "chain_mark": "43"} | fields
    return HandlingSetup.objects.create(station=station or make_station(name="Trough"), **values)


def make_equipment(workshop: Workshop | None = None, **fields: Fields) -> Equipment:
    """Two of some thing."""
    values = {"name": f"Thing {next(_next)}", "kind": EquipmentKind.OTHER, "count": 2} | fields
    return Equipment.objects.create(workshop=workshop or make_workshop(), **values)


def make_note(station: Station | None = None, **fields: Fields) -> HazardNote:
    """A safety note at a station, or at a duty if ``duty`` is given."""
    values = {"signal": Signal.WARNING, "text": "Scalding water. Keep an arm's length."} | fields
    return HazardNote.objects.create(station=station or make_station(), **values)


def make_stage(
    station: Station | None = None,
    *,
    duties: Iterable[Duty] = (),
    minutes: int = 20,
    **fields: Fields,
) -> Stage:
    """A stage at a station, of exactly so many minutes unless least, expected or most are given."""
    station = station or make_station()
    number = station.workshop.stages.count() + 1
    values = {
        "key": f"stage-{number}",
        "name": f"Stage {number}",
        "order": number,
        "least_min": minutes,
        "expected_min": minutes,
        "most_min": minutes,
    } | fields
    stage = Stage.objects.create(workshop=station.workshop, station=station, **values)
    stage.duties.set(duties)
    return stage


def make_gap(before: Stage, after: Stage, **fields: Fields) -> StageGap:
    """One stage after another, at once or later."""
    return StageGap.objects.create(before=before, after=after, **fields)


def make_hold(stage: Stage, equipment: Equipment | None = None, **fields: Fields) -> KitHold:
    """A stage takes one of some thing, and gives it back at its end."""
    thing = equipment or make_equipment(stage.workshop)
    return KitHold.objects.create(stage=stage, equipment=thing, **fields)


# --- scheduling --------------------------------------------------------------------------------
def make_run_sheet(
    day: Day | None = None, status: SheetStatus = SheetStatus.DRAFT, **fields: Fields
) -> RunSheet:
    """The next version of a day's plan."""
    day = day or make_day()
    values = {"version": day.run_sheets.count() + 1} | fields
    return RunSheet.objects.create(day=day, status=status, **values)


def make_posting(run_sheet: RunSheet | None = None, **fields: Fields) -> Posting:
    """The record that a run sheet was posted."""
    run_sheet = run_sheet or make_run_sheet(status=SheetStatus.POSTED)
    values = {"posted_at": NOW, "difference": ["The first plan of the day."]} | fields
    return Posting.objects.create(run_sheet=run_sheet, **values)


def make_step(
    run_sheet: RunSheet | None = None,
    stage: Stage | None = None,
    *,
    animal: Animal | None = None,
    starts: time = time(9),
    minutes: int | None = None,
    **fields: Fields,
) -> Step:
    """A stage at its time of day; its length is the stage's expected one unless given."""
    run_sheet = run_sheet or make_run_sheet()
    stage = stage or make_stage(make_station(run_sheet.day.workshop))
    starts_at = run_sheet.day.at(starts)
    length = timedelta(minutes=minutes or stage.expected_min)
    values = {
        "code": f"hog{animal.pk}:{stage.key}" if animal else stage.key,
        "station": stage.station,
        "starts_at": starts_at,
        "ends_at": starts_at + length,
    } | fields
    return Step.objects.create(run_sheet=run_sheet, stage=stage, animal=animal, **values)


def make_placement(
    step: Step | None = None,
    duty: Duty | None = None,
    *,
    enrolment: Enrolment | None = None,
    staff: StaffMember | None = None,
    **fields: Fields,
) -> Placement:
    """One person on one duty of one step; a new attendee if nobody is given."""
    step = step or make_step()
    if duty is None:
        duty = step.stage.duties.first() or make_duty(step.station)
        step.stage.duties.add(duty)
    if enrolment is None and staff is None:
        enrolment = make_enrolment(step.run_sheet.day.workshop)
    return Placement.objects.create(
        step=step, duty=duty, enrolment=enrolment, staff=staff, **fields
    )


def make_override(step: Step, duty: Duty, enrolment: Enrolment, **fields: Fields) -> Override:
    """The lead's word that someone may stand at a place beyond their own screen."""
    assert step.animal is not None, "an override is about a hog"
    values = {"place": "fore-left", "load_kg": 30, "limit_kg": 20, "reason": "Rows daily."} | fields
    return Override.objects.create(
        day=step.run_sheet.day,
        step_code=step.code,
        animal=step.animal,
        duty=duty,
        enrolment=enrolment,
        made_at=NOW,
        **values,
    )


def make_actual(step: Step, mark: Mark = Mark.STARTED, **fields: Fields) -> Actual:
    """A step that started (or finished) when it was planned to, unless ``at`` is given."""
    planned = step.starts_at if mark == Mark.STARTED else step.ends_at
    values = {"at": planned} | fields
    return Actual.objects.create(day=step.run_sheet.day, code=step.code, mark=mark, **values)


def make_attendance(
    day: Day, enrolment: Enrolment, turnout: Turnout = Turnout.HERE, *, limits: Iterable[Limit] = ()
) -> Attendance:
    """Whether someone is here, and what hurts today."""
    attendance = Attendance.objects.create(day=day, enrolment=enrolment, turnout=turnout)
    for limit in limits:
        attendance.limits.create(limit=limit)
    return attendance


# --- after the kill ------------------------------------------------------------------------------
def make_chill_plan(animal: Animal | None = None, **fields: Fields) -> ChillPlan:
    """A carcass hung at 1 degC two hours after the kill."""
    killed_at = fields.pop("killed_at", NOW - timedelta(hours=14))
    values = {"hung_at": killed_at + timedelta(hours=2), "air": [[0, 1.0]]} | fields
    return ChillPlan.objects.create(animal=animal or make_animal(), killed_at=killed_at, **values)


def _noted(at: datetime) -> dict[str, Any]:
    return {"client_id": uuid4(), "at": at, "received_at": at}


def make_chill_reading(
    animal: Animal | None = None, *, temp_c: float = 20.0, **fields: Fields
) -> ChillReading:
    """What a probe in the ham read as the day began."""
    at = fields.pop("at", NOW)
    values = _noted(at) | {"read_c": temp_c, "temp_c": temp_c} | fields
    return ChillReading.objects.create(animal=animal or make_animal(), **values)


def make_weigh_in(
    animal: Animal | None = None, stage: WeighStage = WeighStage.HOT, **fields: Fields
) -> WeighIn:
    """A whole carcass of 90 kg, hot."""
    values = _noted(NOW) | {"part": "whole", "kg": 90.0} | fields
    return WeighIn.objects.create(animal=animal or make_animal(), stage=stage, **values)


def make_cut_plan(animal: Animal | None = None, **fields: Fields) -> CutPlan:
    """A carcass held against the farm bulletin's table."""
    return CutPlan.objects.create(animal=animal or make_animal(), **fields)


def make_cure_batch(workshop: Workshop | None = None, **fields: Fields) -> CureBatch:
    """A ham of 8 kg dry-cured at 150 ppm with a salt of 6.25 %, forty days."""
    values = {
        "client_id": uuid4(),
        "name": "Left ham",
        "product": "dry_cut",
        "weighed_kg": 8.0,
        "heaviest_kg": 8.0,
        "cure_name": "cure no. 1",
        "nitrite": 0.0625,
        "wanted_ppm": 150.0,
        "wanted_salt": 0.03,
        "cure_kg": 0.0192,
        "salt_kg": 0.222,
        "nitrite_ppm": 150.0,
        "limit_ppm": 625.0,
        "limit_source": "9 CFR 424.21(c)",
        "times_by": "method_3",
        "days": 28,
        "evening_days": 12,
        "started_on": FIRST_DAY,
        "made_at": NOW,
    } | fields
    return CureBatch.objects.create(workshop=workshop or make_workshop(), **values)


def make_cure_entry(batch: CureBatch | None = None, **fields: Fields) -> CureEntry:
    """The batch was rubbed."""
    values = _noted(NOW) | {"what": CureAct.TURNED} | fields
    return CureEntry.objects.create(batch=batch or make_cure_batch(), **values)


def make_food_log(workshop: Workshop | None = None, **fields: Fields) -> FoodLog:
    """A sausage on the heat."""
    values = {
        "client_id": uuid4(),
        "name": "First pot",
        "rule": FoodRule.COOK_MINCED,
        "started_at": NOW,
        "made_at": NOW,
    } | fields
    return FoodLog.objects.create(workshop=workshop or make_workshop(), **values)


def make_food_entry(
    log: FoodLog | None = None, *, minutes: float = 10, temp_c: float = 60.0, **fields: Fields
) -> FoodEntry:
    """A reading so many minutes after the log began."""
    log = log or make_food_log()
    at = log.started_at + timedelta(minutes=minutes)
    values = _noted(at) | {"read_c": temp_c, "temp_c": temp_c} | fields
    return FoodEntry.objects.create(log=log, **values)


# --- after the kill -----------------------------------------------------------------------------
def make_batch(day: Day | None = None, *, dish: bool = False, **fields: Fields) -> KitchenBatch:
    """Ten kilograms of trim for sausage from the hogs; with ``dish``, on the menu at noon."""
    day = day or make_day()
    values = {"recipe": "sausage", "base_kg": 10.0, "from_hogs": not dish} | fields
    if dish:
        name = RECIPES[str(values["recipe"])].name
        values = {"meal": Meal.objects.create(day=day, name=name), "ready_by": time(12)} | values
    return KitchenBatch.objects.create(day=day, **values)


def make_package(animal: Animal | None = None, **fields: Fields) -> Package:
    """The next package of a workshop: a pound and a half of chops."""
    animal = animal or make_hog()
    number = animal.workshop.packages.count() + 1
    values = {
        "number": number,
        "kind": PackageKind.CHOPS,
        "cut": "loin chops",
        "grams": 700,
        "packed_at": NOW,
    } | fields
    return Package.objects.create(workshop=animal.workshop, animal=animal, **values)


# --- swaps ---------------------------------------------------------------------------------------
def make_swap(mine: Placement, theirs: Placement, **fields: Fields) -> Swap:
    """Somebody asks for another's place at another step, an hour before the first day begins."""
    assert mine.enrolment is not None, "attendees swap"
    assert theirs.enrolment is not None, "attendees swap"
    values = {
        "client_id": uuid4(),
        "kind": SwapKind.PLACES,
        "asker": mine.enrolment,
        "step_code": mine.step.code,
        "duty": mine.duty,
        "place": mine.place,
        "starts_at": mine.step.starts_at,
        "what": f"{mine.title} at {mine.step}",
        "other": theirs.enrolment,
        "other_step_code": theirs.step.code,
        "other_duty": theirs.duty,
        "other_place": theirs.place,
        "other_starts_at": theirs.step.starts_at,
        "other_what": f"{theirs.title} at {theirs.step}",
        "asked_at": NOW - timedelta(hours=1),
    } | fields
    return Swap.objects.create(day=mine.step.run_sheet.day, **values)
