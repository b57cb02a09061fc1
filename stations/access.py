"""Who may see and change the stations' rows; the only way a view gets one."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib.auth.models import AnonymousUser
from django.db.models import Prefetch, Q, QuerySet, prefetch_related_objects
from django.shortcuts import get_object_or_404

from stations import readiness, troughing
from stations.models import (
    ChillReading,
    CureBatch,
    CureEntry,
    Dip,
    Equipment,
    FoodEntry,
    FoodLog,
    HandlingSetup,
    KitHold,
    Package,
    Stage,
    StageGap,
    Station,
    Thermometer,
    Trough,
    WeighIn,
)
from workshops import access as people_access
from workshops.models import Animal, AnimalStatus, User, Workshop

SEE_EQUIPMENT = "stations.view_equipment"
CHANGE_EQUIPMENT = "stations.change_equipment"
TEND_TROUGH = "stations.add_dipentry"
SEE_DIPS = "stations.view_dip"
SEE_AFTER = "stations.view_chillreading"
NOTE_AFTER = "stations.add_chillreading"
PLAN_AFTER = "stations.change_chillplan"
SEE_PACKAGES = "stations.view_package"
ADD_PACKAGES = "stations.add_package"


def stations(user: User | AnonymousUser, of: Workshop) -> QuerySet[Station]:
    """The stations of one workshop, each with its trough if it has one."""
    seen = people_access.workshops_for(user)
    return Station.objects.filter(workshop=of, workshop__in=seen).select_related("trough")


def trough_to_plan(user: User | AnonymousUser, of: Workshop, letter: str) -> Trough:
    """The trough of the station with that letter, a new one if it has none yet; or 404."""
    station = get_object_or_404(stations(user, of), letter=letter)
    station.workshop = of
    kept: Trough | None = getattr(station, "trough", None)
    return kept or troughing.usual(station)


def equipment(user: User, of: Workshop) -> QuerySet[Equipment]:
    """The kit of one workshop, with its stations."""
    seen = people_access.workshops_for(user)
    rows = Equipment.objects.filter(workshop=of, workshop__in=seen)
    return rows.select_related("station")


def lifting_stations(user: User, of: Workshop) -> QuerySet[Station]:
    """The stations where a hog's weight is moved: with a heavy duty, or with settings for it."""
    seen = people_access.workshops_for(user)
    rows = Station.objects.filter(workshop=of, workshop__in=seen)
    moved = rows.filter(Q(duties__heavy=True) | Q(handling__isnull=False)).distinct()
    return moved.select_related("handling", "trough")


def handling(user: User, of: Workshop, station_id: int) -> HandlingSetup:
    """One station's handling settings, or unsaved ones with the defaults; 404 elsewhere."""
    station = get_object_or_404(lifting_stations(user, of), pk=station_id)
    return getattr(station, "handling", None) or HandlingSetup(station=station)


def stages(of: Workshop) -> QuerySet[Stage]:
    """The stages of a workshop with their duties."""
    return Stage.objects.filter(workshop=of).prefetch_related("duties")


def trough_station(of: Workshop, letter: str) -> Station:
    """The station with that letter, if hogs are scalded there; or 404."""
    rows = Station.objects.filter(workshop=of, trough__isnull=False).select_related("trough")
    station = get_object_or_404(rows, letter=letter)
    station.workshop = of
    return station


def trough_stations(of: Workshop) -> QuerySet[Station]:
    """Every station where hogs are scalded."""
    return Station.objects.filter(workshop=of, trough__isnull=False)


def dip_in_water(at: Station) -> Dip | None:
    """The dip of the hog that is in this trough now."""
    return Dip.objects.in_water().with_all().filter(station=at).first()


def dip(at: Station, dip_id: int) -> Dip:
    """One dip of this trough with everything noted, or 404."""
    return get_object_or_404(Dip.objects.with_all(), station=at, pk=dip_id)


def dips_so_far(at: Station) -> QuerySet[Dip]:
    """The dips of this trough that count, newest first, with everything noted."""
    return Dip.objects.standing().with_all().filter(station=at)


def dips_of(animal: Animal) -> QuerySet[Dip]:
    """The dips of one hog that count, oldest first."""
    return Dip.objects.standing().with_all().filter(animal=animal).order_by("water_in_at")


def dips_beside(user: User, animal: Animal) -> QuerySet[Dip]:
    """Dips of other hogs, of this workshop and of others this person may open, newest first."""
    seen = people_access.workshops_for(user)
    rows = Dip.objects.standing().with_all().filter(workshop__in=seen)
    return rows.exclude(animal=animal)


def thermometers(of: Workshop) -> QuerySet[Thermometer]:
    """The workshop's thermometers with their checks."""
    return Thermometer.objects.filter(workshop=of).with_checks()


# --- after the kill ------------------------------------------------------------------------------
def carcasses(user: User | AnonymousUser, of: Workshop) -> QuerySet[Animal]:
    """The hogs that take part, each with its chill, weights, cut plan and packages."""
    seen = people_access.workshops_for(user)
    away = (AnimalStatus.RAISED, AnimalStatus.HELD_BACK)
    hogs = Animal.objects.filter(workshop=of, workshop__in=seen).exclude(status__in=away)
    hogs = hogs.select_related("workshop", "chill_plan", "cut_plan")
    hogs = hogs.prefetch_related(Prefetch("chill_readings", ChillReading.objects.with_writers()))
    hogs = hogs.prefetch_related(Prefetch("weigh_ins", WeighIn.objects.with_writers()))
    return hogs.prefetch_related("cut_plan__lines", "packages")


def with_sheets(animal: Animal) -> Animal:
    """The hog as loaded, with its readings, weights and cut plan: four queries in all."""
    prefetch_related_objects(
        [animal],
        Prefetch("chill_readings", ChillReading.objects.with_writers()),
        Prefetch("weigh_ins", WeighIn.objects.with_writers()),
        "cut_plan__lines",
    )
    return animal


def carcass(user: User | AnonymousUser, of: Workshop, animal_id: int) -> Animal:
    """One of them, or 404."""
    return get_object_or_404(carcasses(user, of), pk=animal_id)


def chill_reading(animal: Animal, reading_id: int) -> ChillReading:
    """One reading of a carcass, or 404."""
    return get_object_or_404(ChillReading, animal=animal, pk=reading_id)


def weigh_in(animal: Animal, weigh_in_id: int) -> WeighIn:
    """One weight of a carcass, or 404."""
    return get_object_or_404(WeighIn, animal=animal, pk=weigh_in_id)


def cure_batches(user: User | AnonymousUser, of: Workshop) -> QuerySet[CureBatch]:
    """The batches of a workshop with what was done to them: two queries in all."""
    seen = people_access.workshops_for(user)
    rows = CureBatch.objects.filter(workshop=of, workshop__in=seen)
    return rows.select_related("workshop", "animal").prefetch_related(
        Prefetch("entries", CureEntry.objects.with_writers())
    )


def cure_batch(user: User | AnonymousUser, of: Workshop, batch_id: int) -> CureBatch:
    """One batch, or 404."""
    return get_object_or_404(cure_batches(user, of), pk=batch_id)


def cure_entry(batch: CureBatch, entry_id: int) -> CureEntry:
    """One entry of a batch, or 404."""
    return get_object_or_404(CureEntry, batch=batch, pk=entry_id)


def food_logs(user: User | AnonymousUser, of: Workshop) -> QuerySet[FoodLog]:
    """The logs of a workshop with their entries: two queries in all."""
    seen = people_access.workshops_for(user)
    rows = FoodLog.objects.filter(workshop=of, workshop__in=seen)
    return rows.select_related("workshop", "animal").prefetch_related(
        Prefetch("entries", FoodEntry.objects.with_writers())
    )


def food_log(user: User | AnonymousUser, of: Workshop, log_id: int) -> FoodLog:
    """One log, or 404."""
    return get_object_or_404(food_logs(user, of), pk=log_id)


def food_entry(log: FoodLog, entry_id: int) -> FoodEntry:
    """One entry of a log, or 404."""
    return get_object_or_404(FoodEntry, log=log, pk=entry_id)


def packages(of: Workshop) -> QuerySet[Package]:
    """Every package of a workshop that was opened, newest first."""
    return Package.objects.filter(workshop=of).order_by("-number")


def package(of: Workshop, package_id: int) -> Package:
    """One package, or 404."""
    return get_object_or_404(packages(of), pk=package_id)


def workshops_to_check(user: User | AnonymousUser) -> QuerySet[Workshop]:
    """The workshops this person may open, with all that their readiness rests on."""
    return readiness.with_all_it_needs(people_access.workshops_for(user))


def workshop_to_check(user: User | AnonymousUser, slug: str) -> Workshop:
    """One workshop with all that its readiness rests on, or 404."""
    return get_object_or_404(workshops_to_check(user), slug=slug)


# --- the way of a hog ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """The stages with all that the planner reads of them."""

    stages: tuple[Stage, ...]
    gaps: tuple[StageGap, ...]
    holds: tuple[KitHold, ...]
    stations: tuple[Station, ...]


def way(of: Workshop) -> Way:
    """The way of a hog in one workshop that was opened: five queries."""
    return Way(
        stages=tuple(stages_of_way(of).select_related("station").prefetch_related("or_at")),
        gaps=tuple(_gaps_of_way(of)),
        holds=tuple(_holds(of)),
        stations=tuple(of.stations.all()),
    )


def stages_of_way(of: Workshop) -> QuerySet[Stage]:
    """The stages that the lead may change: a kitchen job follows from its batch."""
    return Stage.objects.filter(workshop=of, retired=False, batches__isnull=True)


def stage_of_way(of: Workshop, stage_id: int) -> Stage:
    """One of them, or 404."""
    rows = stages_of_way(of).select_related("station", "workshop")
    return get_object_or_404(rows, pk=stage_id)


def _gaps_of_way(of: Workshop) -> QuerySet[StageGap]:
    mine = stages_of_way(of)
    rows = StageGap.objects.filter(before__in=mine, after__in=mine)
    rows = rows.select_related("before", "after")
    return rows.order_by("before__day_number", "before__order", "after__order")


def gap_of_way(of: Workshop, gap_id: int) -> StageGap:
    """A wait between two of the stages, or 404."""
    return get_object_or_404(_gaps_of_way(of), pk=gap_id)


def _holds(of: Workshop) -> QuerySet[KitHold]:
    rows = KitHold.objects.filter(stage__workshop=of, stage__retired=False)
    rows = rows.select_related("stage", "until", "equipment")
    return rows.order_by("stage__day_number", "stage__order", "equipment__name")


def kit_hold(of: Workshop, hold_id: int) -> KitHold:
    """Kit that a stage takes, or 404."""
    return get_object_or_404(_holds(of), pk=hold_id)


def station_of_way(of: Workshop, station_id: int) -> Station:
    """A station of a workshop that was opened, or 404."""
    return get_object_or_404(Station, workshop=of, pk=station_id)
