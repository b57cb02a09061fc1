"""The demo course's kitchen and packages: invented menu, store, wishes and weights, made once."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from scheduling import feeding, menus
from scheduling.menus import At, Wanted
from scheduling.models import KindWish
from scheduling.planner.shares_problem import Wish
from stations.models import RECIPES, KitchenBatch, Package, PackageKind, PantryFood
from workshops.models import Household, Workshop

DISHES = ("roast", "sausage", "potatoes", "bean_pot")
PRODUCTS = (("sausage", 3), ("breakfast_loaf", 3), ("liver_paste", 2), ("lard", 3))
STORE = (("salt", 2.0, 1.0), ("pepper", 0.2, 0.1), ("onion", 5.0, None), ("potato", 20.0, None))
WISHES = (
    ("Tarrow", PackageKind.CHOPS, Wish.LOVES),
    ("Tarrow", PackageKind.LIVER, Wish.NEVER),
    ("Okorie-Vale", PackageKind.HOCKS, Wish.LOVES),
    ("Okorie-Vale", PackageKind.LARD, Wish.RATHER_NOT),
)
PACKED_TAG = "32"
# Kind, cut, grams: an invented afternoon at the table, the last package left to be packed.
PACKAGES = (
    *((PackageKind.CHOPS, "loin chops, 4", grams) for grams in (905, 880, 940, 915, 870, 930)),
    *((PackageKind.ROAST, "shoulder roast", grams) for grams in (2350, 2190, 2410)),
    *((PackageKind.BELLY, "belly", grams) for grams in (1480, 1520)),
    *((PackageKind.RIBS, "spare ribs", grams) for grams in (1210, 1175)),
    *((PackageKind.SAUSAGE, "fresh sausage", grams) for grams in (500, 510, 495, 505)),
    (PackageKind.HOCKS, "hocks", 1630),
    (PackageKind.LIVER, "liver, sliced", 720),
    (PackageKind.LARD, "rendered lard", 900),
)


@transaction.atomic
def fill(workshop: Workshop, *, now: datetime) -> None:
    """Write it all, unless the kitchen of this workshop has something already."""
    if KitchenBatch.objects.filter(day__workshop=workshop).exists():
        return
    tables = feeding.tables(workshop)
    ats = [
        At(table=table, ready_by=pause.starts)
        for table in tables
        for pause in table.day.breaks.all()
        if pause.minutes >= 30
    ]
    menus.draft_menu(ats, [RECIPES[code] for code in DISHES])
    for code, number in PRODUCTS:
        if number <= len(tables):
            _product(workshop, code, tables[number - 1])
    for food, have_kg, pack_kg in STORE:
        PantryFood.objects.create(workshop=workshop, food=food, have_kg=have_kg, pack_kg=pack_kg)
    for name, kind, wish in WISHES:
        household = Household.objects.filter(animals__animal__workshop=workshop, name=name).first()
        KindWish.objects.create(workshop=workshop, household=household, kind=kind, wish=wish)
    _packages(workshop, now)


def _product(workshop: Workshop, code: str, table: feeding.Table) -> None:
    gives = feeding.hogs_give(feeding.hogs_in_the_kitchen(workshop), menus.batches_of(workshop))
    wanted = Wanted(recipe=RECIPES[code], day=table.day, for_table=False, from_hogs=True)
    # Half of what is there: the rest is the owners' to take home as it is.
    half = menus.amount_of(wanted, table, gives) / 2
    menus.add(
        Wanted(recipe=wanted.recipe, day=table.day, for_table=False, from_hogs=True, base_kg=half),
        table,
        gives,
    )


def _packages(workshop: Workshop, now: datetime) -> None:
    hog = workshop.animals.get(tag=PACKED_TAG)
    Package.objects.bulk_create(
        Package(
            workshop=workshop,
            animal=hog,
            number=number,
            kind=kind,
            cut=cut,
            grams=grams,
            packed_at=now,
        )
        for number, (kind, cut, grams) in enumerate(PACKAGES, start=1)
    )
