"""One course with a row of everything, and the address of every page about it.

For tests that walk the whole site. An address takes its parts by name from the rows here, so a new
page is walked as soon as its address is written; a part that is new to the site is added below.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import time, timedelta
from functools import cache
from uuid import uuid4
from zoneinfo import ZoneInfo

from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone

from scheduling.models import Alarm, LogEntry, LogKind, SheetStatus, Swap
from stations.models import RECIPES, CarcassPart, PackageKind, WeighStage
from tests.build import (
    FIRST_DAY,
    NOW,
    ZONE,
    make_absence,
    make_actual,
    make_animal,
    make_attendance,
    make_batch,
    make_break,
    make_chain_duty,
    make_check,
    make_chill_plan,
    make_chill_reading,
    make_cure_batch,
    make_cure_entry,
    make_cut_plan,
    make_dip,
    make_duty,
    make_enrolment,
    make_entry,
    make_equipment,
    make_food_entry,
    make_food_log,
    make_gap,
    make_handling,
    make_hog,
    make_hold,
    make_hours,
    make_household,
    make_link,
    make_local_check,
    make_note,
    make_override,
    make_ownership,
    make_package,
    make_placement,
    make_posting,
    make_run_sheet,
    make_staff,
    make_stage,
    make_station,
    make_step,
    make_swap,
    make_thermometer,
    make_trough,
    make_waiver_text,
    make_weigh_in,
    make_workshop,
)
from workshops import linking
from workshops.models import Animal, CostBasis, Enrolment, Household, LedgerKind, Limit, Workshop

# The back office has its own tests.
ELSEWHERE = ("office/",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """A course, someone with a seat in it, and what addresses are made of."""

    workshop: Workshop
    seat: Enrolment
    parts: dict[str, object]
    # Parts of the same name that mean another row on some page, by page and part.
    others: dict[tuple[str, str], object]

    def address(self, name: str) -> str:
        """The page of that name about this course."""
        needed = {
            part: self.others.get((name, part), self.parts.get(part, "not in whole_site"))
            for part in parts_of(name)
        }
        return reverse(name, kwargs=needed)


def pages() -> Iterator[tuple[str, str, list[str]]]:
    """Every page of the site: its name, its address as written, the parts of that."""
    yield from _pages(get_resolver().url_patterns, "")


def _pages(
    patterns: list[URLPattern | URLResolver], before: str
) -> Iterator[tuple[str, str, list[str]]]:
    for pattern in patterns:
        path = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            if path not in ELSEWHERE:
                yield from _pages(pattern.url_patterns, path)
        else:
            yield str(pattern.name), path, list(pattern.pattern.converters)


def parts_of(name: str) -> list[str]:
    """The names of what the page's address is made of."""
    return _known()[name]


@cache
def _known() -> dict[str, list[str]]:
    return {name: parts for name, _, parts in pages()}


def build(*, slug: str = "whole") -> Site:
    """A course that begins today, with something of every kind in it."""
    now = timezone.now()
    # The farm's own date: by the clock of another zone it may be tomorrow.
    today = now.astimezone(ZoneInfo(ZONE)).date()
    workshop = make_workshop(
        name=f"Course {slug}", slug=slug, first_day=today, takes_sign_ups=True, seats=30,
        seat_price_cents=48500, what_you_do="Scald.", asks_of_body="Lift.", what_to_bring="Boots.",
    )  # fmt: skip
    seat, parts = _people(workshop)
    parts |= {"slug": slug, "number": 1, "word": make_link(seat).word}
    parts |= _hogs(workshop, seat.attendee.household)
    parts |= _places(workshop)
    parts |= _plan(workshop, seat) | _asked(workshop)
    after, others = _after_the_kill(workshop, seat)
    parts |= after | {"swap_id": swap_of(seat, mine=True).pk}
    posted = seat.placements.get(step__run_sheet__status=SheetStatus.POSTED)
    lead, dip = workshop.staff.all()[0], workshop.dips.get()
    job = workshop.jobs.create(task="no task", title="Placing", key=f"{slug}-day-1", state="done")
    parts |= {"dip_id": dip.pk, "entry_id": dip.entries.get().pk, "job_id": job.pk}
    others |= {
        ("log-correct", "entry_id"): log(workshop, seat).pk,
        ("entry-reverse", "entry_id"): workshop.ledger.get().pk,
        ("staff-calendar", "word"): linking.renew_feed(lead).word,
    }
    pages_of_a_place = ("card-change", "card-swap-ask", "card-rest")
    others |= {(page, "placement_id"): posted.pk for page in pages_of_a_place}
    answers = ("card-swap-yes", "card-swap-no")
    others |= dict.fromkeys(((page, "swap_id") for page in answers), swap_of(seat, mine=False).pk)
    return Site(workshop=workshop, seat=seat, parts=parts, others=others)


def _people(workshop: Workshop) -> tuple[Enrolment, dict[str, object]]:
    """Staff, someone with a seat and every answer, money, a list brought in."""
    make_waiver_text(workshop)
    make_local_check(workshop)
    make_staff(workshop)
    household = make_household()
    seat = make_enrolment(
        workshop, given_name="Edda", household=household, health_note="Wheezes.",
        limits=[Limit.NO_KNIVES], diet="No pork.",
    )  # fmt: skip
    make_attendance(workshop.days.all()[0], seat)
    seat.wishes.create(job="scald", kind="must_try")
    seat.attendee.allergens.create(allergen="milk")
    seat.changes.create(status="confirmed", at=NOW, reason="asked")
    seat.answer_changes.create(at=NOW, what=["diet"], by_seat=seat)
    cost = workshop.costs.create(name="Feed", basis=CostBasis.PER_HOG, cents=100)
    workshop.ledger.create(
        household=household, kind=LedgerKind.PAYMENT, cents=100, on=FIRST_DAY, made_at=NOW
    )
    brought = workshop.imports.create(name="list.csv", made_at=NOW)
    parts: dict[str, object] = {"seat_id": seat.pk, "enrolment_id": seat.pk, "cost_id": cost.pk}
    return seat, parts | {"household_id": household.pk, "import_id": brought.pk}


def _hogs(workshop: Workshop, household: Household) -> dict[str, object]:
    """One of the farm's, treated; one of the household's; a dish."""
    hog = make_hog(workshop)
    make_ownership(make_animal(workshop, status="raised"), household)
    treatment = hog.treatments.create(product="A", on=FIRST_DAY, withdrawal_days=1)
    make_break(workshop.days.all()[0])
    meal = workshop.days.all()[0].meals.create(name="Chowder", contains=["milk"])
    return {"animal_id": hog.pk, "treatment_id": treatment.pk, "meal_id": meal.pk}


def _places(workshop: Workshop) -> dict[str, object]:
    """A trough with its kit and its four at the chains, and a hog in the water."""
    station = make_station(workshop, letter="T")
    make_trough(station)
    make_handling(station)
    make_note(station)
    make_equipment(workshop)
    stage = make_stage(station, duties=[make_chain_duty(station)])
    gap = make_gap(stage, make_stage(station))
    hold = make_hold(stage, workshop.equipment.get())
    thermometer, hog = make_thermometer(workshop), workshop.animals.all()[0]
    make_check(thermometer)
    make_entry(make_dip(station, hog, water_in_at=timezone.now(), thermometer=thermometer))
    ids = {"stage_id": stage.pk, "gap_id": gap.pk, "hold_id": hold.pk}
    return {"letter": "T", "station_id": station.pk} | ids


def _plan(workshop: Workshop, seat: Enrolment) -> dict[str, object]:
    """A posted day that is under way, and a draft beside it."""
    day, stage, hog = workshop.days.all()[0], workshop.stages.all()[0], workshop.animals.all()[0]
    chains = stage.duties.get()
    posted = make_run_sheet(day, SheetStatus.POSTED)
    step = make_step(posted, stage, animal=hog)
    make_placement(step, chains, enrolment=seat, place="fore-left")
    make_placement(step, make_duty(stage.station), staff=workshop.staff.all()[0])
    make_actual(step)
    make_posting(posted)
    make_override(step, chains, seat)
    drafted = make_step(make_run_sheet(day, SheetStatus.DRAFT), stage, animal=hog)
    placed = make_placement(drafted, chains, enrolment=seat, place="fore-left")
    return {"code": step.code, "version": posted.version, "placement_id": placed.pk}


def _asked(workshop: Workshop) -> dict[str, object]:
    """A break, someone away for a while, a station with hours of its own."""
    day, station = workshop.days.all()[0], workshop.stations.get(letter="T")
    away, hours = make_absence(day, staff=workshop.staff.all()[0]), make_hours(day, station)
    return {
        "break_id": day.breaks.all()[0].pk, "absence_id": away.pk, "hours_id": hours.pk,
    }  # fmt: skip


def _after_the_kill(
    workshop: Workshop, seat: Enrolment
) -> tuple[dict[str, object], dict[tuple[str, str], object]]:
    """Chill, weights, cures, cooking, the kitchen, packages and their division."""
    hog, day = workshop.animals.all()[0], workshop.days.all()[0]
    make_chill_plan(hog)
    make_cut_plan(hog)
    cure, log = make_cure_batch(workshop, animal=hog), make_food_log(workshop)
    batch, read = make_batch(day), make_food_entry(log)
    package = make_package(hog)
    division = hog.divisions.create(status="posted", made_at=NOW, posted_at=NOW)
    division.lines.create(package=package)
    workshop.kind_wishes.create(household=seat.attendee.household, kind=PackageKind.CHOPS, wish=1)
    parts: dict[str, object] = {
        "reading_id": make_chill_reading(hog).pk, "weigh_in_id": make_weigh_in(hog).pk,
        "log_id": log.pk, "package_id": package.pk, "division_id": division.pk, "key": "farm",
        "hog_id": hog.pk, "batch_id": batch.pk,
    }  # fmt: skip
    others: dict[tuple[str, str], object] = {
        (page, "entry_id"): read.pk for page in ("food-correct", "food-take-back")
    }
    others |= {(page, "batch_id"): cure.pk for page in ("cure", "cure-note", "cure-take-back")}
    return parts, others | {("cure-take-back", "entry_id"): make_cure_entry(cure).pk}


def log(workshop: Workshop, seat: Enrolment, *, text: str = "The water is hot.") -> LogEntry:
    """A line of the course's log, and an alarm that nobody has answered."""
    Alarm.objects.create(
        workshop=workshop,
        key=f"rest {uuid4()}",
        kind="rest",
        what="Rest.",
        raised_at=timezone.now(),
    )
    return LogEntry.objects.create(
        workshop=workshop, client_id=uuid4(), kind=LogKind.NOTE, at=NOW, received_at=NOW,
        text=text, detail=text, about=seat,
    )  # fmt: skip


def swap_of(seat: Enrolment, *, mine: bool) -> Swap:
    """A request of this person, or one that this person is to answer; the other is new."""
    own = seat.placements.filter(step__run_sheet__status=SheetStatus.POSTED)[0]
    sheet, hog = own.step.run_sheet, make_hog(seat.workshop)
    other = make_placement(
        make_step(sheet, own.step.stage, animal=hog), own.duty, place="hind-left"
    )
    return make_swap(own, other) if mine else make_swap(other, own)


def grow(site: Site, more: int) -> None:
    """So many more of everything that a page may list."""
    workshop, household = site.workshop, site.seat.attendee.household
    days, station = list(workshop.days.all()), workshop.stations.get(letter="T")
    stage, dip = workshop.stages.all()[0], workshop.dips.get()
    chains = stage.duties.get()
    for number in range(more):
        hog, seat = make_hog(workshop), make_enrolment(workshop, limits=[Limit.NO_KNIVES])
        make_link(seat)
        make_link(make_enrolment(workshop, household=household))
        make_attendance(days[0], seat)
        make_break(days[0], name=f"Tea {hog.pk}", starts=time(13, hog.pk % 60))
        make_absence(days[0], enrolment=seat)
        make_absence(days[0], staff=make_staff(workshop))
        make_hours(days[0], station)
        make_waiver_text(workshop)
        make_local_check(workshop)
        make_note(station)
        make_gap(last := make_stage(station), make_stage(station))
        make_hold(last, make_equipment(workshop), until=stage)
        make_entry(dip, seconds=60 * number)
        make_check(make_thermometer(workshop))
        hog.treatments.create(product="A", on=FIRST_DAY, withdrawal_days=1)
        days[0].meals.create(name=f"Dish {hog.pk}", contains=["milk"])
        workshop.costs.create(name=f"Cost {hog.pk}", basis=CostBasis.ONCE, cents=1)
        workshop.ledger.create(
            household=household, kind=LedgerKind.PAYMENT, cents=1, on=FIRST_DAY, made_at=NOW
        )
        site.seat.changes.create(status="confirmed", at=NOW)
        _grow_after(site, hog)
        for sheet in days[0].run_sheets.all():
            step = make_step(sheet, stage, animal=hog)
            make_placement(step, chains, enrolment=seat, place="hind-left")
            make_actual(step)
        swap_of(site.seat, mine=False)


def _grow_after(site: Site, hog: Animal) -> None:
    """One more of what comes after the kill, of that hog and of the first."""
    workshop, first = site.workshop, site.workshop.animals.all()[0]
    parts = CarcassPart.values
    for one in (hog, first):
        make_chill_reading(one, at=NOW + timedelta(minutes=hog.pk))
        make_weigh_in(one, WeighStage.CUT, part=parts[hog.pk % len(parts)])
        package = make_package(one)
        if one == hog:
            make_chill_plan(hog)
            make_cut_plan(hog)
            division = hog.divisions.create(status="posted", made_at=NOW, posted_at=NOW)
        else:
            division = first.divisions.get()
        division.lines.create(package=package)
    make_cure_entry(workshop.cure_batches.all()[0])
    make_cure_entry(make_cure_batch(workshop, animal=hog))
    make_food_entry(workshop.food_logs.all()[0], minutes=10 + hog.pk)
    make_food_entry(make_food_log(workshop))
    make_batch(workshop.days.all()[0], recipe=sorted(RECIPES)[hog.pk % len(RECIPES)])
    log(workshop, site.seat)
