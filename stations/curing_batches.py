"""Cure batches: worked out, kept, and what was done to them. The only writer of those rows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.db import transaction

from stations import noting
from stations.dipping import Act
from stations.errors import RecordRefused
from stations.models import CureAct, CureBatch, CuredProduct, CureEntry, TimesBy
from stations.trade.brine import brine_row
from stations.trade.cure_limits import CURE_LIMITS, Cured
from stations.trade.cure_times import (
    HamMethod,
    PickledPiece,
    ham_days,
    sweet_pickle_days,
)
from stations.trade.cures import Cure
from stations.trade.curing import Batch, CurePlan, plan_dry
from stations.trade.findings import Finding
from stations.trade.pickles import Pickle, PicklePlan, plan_even, plan_taken
from stations.trade.sources import Source, Trust
from workshops.models import Animal, Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What is asked for: weights in kg, shares and strengths as fractions, nitrite in ppm.

    ``taken`` is the pump or pick-up; None with a pickle means soaked until even.
    """

    product: CuredProduct
    weighed_kg: float
    heaviest_kg: float
    cure_name: str
    nitrite: float
    nitrate: float
    ppm: float
    salt: float
    sugar: float
    times_by: TimesBy
    skin_on: bool = False
    water_kg: float = 0.0
    salometer: float = 0.0
    taken: float | None = None
    own_days: int | None = None

    @property
    def batch(self) -> Batch:
        """What lies on the scale, as the trade rules take it. Raises OutOfRange."""
        bag = Source(title=self.cure_name, place="as printed on the bag", trust=Trust.PUBLISHED)
        cure = Cure(name=self.cure_name, nitrite=self.nitrite, nitrate=self.nitrate, source=bag)
        return Batch(
            product=Cured(self.product.value),
            weighed_kg=self.weighed_kg,
            cure=cure,
            skin_on=self.skin_on,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedOut:
    """What to weigh, kg, what goes in by it, and how long it lies."""

    wanted: Wanted
    cure_kg: float
    salt_kg: float
    sugar_kg: float
    nitrite_ppm: float
    nitrate_ppm: float
    findings: tuple[Finding, ...]
    days: int
    evening_days: int
    days_source: str

    @property
    def limit_ppm(self) -> float:
        """The most nitrite its rule lets in."""
        return CURE_LIMITS[Cured(self.wanted.product.value)].sodium_ppm

    @property
    def limit_source(self) -> str:
        """The rule."""
        return str(CURE_LIMITS[Cured(self.wanted.product.value)].source)


def work_out(wanted: Wanted) -> WorkedOut:
    """Grams and days for a batch.

    Raises OutsideRule above the product's limit, PercentForFraction or OutOfRange for a number
    that the rules do not cover.
    """
    plan = _pickled(wanted) if wanted.product.in_pickle else _dry(wanted)
    days, evening_days, source = _days(wanted)
    if isinstance(plan, PicklePlan):
        cure_kg, salt_kg, sugar_kg = (
            plan.pickle.cure_kg,
            plan.pickle.salt_kg,
            plan.pickle.sugar_kg,
        )
    else:
        cure_kg, salt_kg, sugar_kg = plan.cure_kg, plan.salt_kg, plan.sugar_kg
    return WorkedOut(
        wanted=wanted,
        cure_kg=cure_kg,
        salt_kg=salt_kg,
        sugar_kg=sugar_kg,
        nitrite_ppm=plan.nitrite_ppm,
        nitrate_ppm=plan.nitrate_ppm,
        findings=plan.findings,
        days=days,
        evening_days=evening_days,
        days_source=source,
    )


def _dry(wanted: Wanted) -> CurePlan:
    return plan_dry(wanted.batch, nitrite_ppm=wanted.ppm, salt=wanted.salt, sugar=wanted.sugar)


def _pickled(wanted: Wanted) -> PicklePlan:
    """Salt by the salometer, to the water; sugar as a share of the water."""
    batch = wanted.batch
    base = Pickle(
        water_kg=wanted.water_kg,
        salt_kg=wanted.water_kg * brine_row(wanted.salometer).salt_kg_per_kg_water,
        sugar_kg=wanted.water_kg * wanted.sugar,
        cure=batch.cure,
    )
    if wanted.taken is None:
        return plan_even(batch, base, nitrite_ppm=wanted.ppm)
    return plan_taken(batch, base, nitrite_ppm=wanted.ppm, taken=wanted.taken)


def _days(wanted: Wanted) -> tuple[int, int, str]:
    """Days in the cure, days of evening out, and whose they are. Raises OutOfRange."""
    if wanted.times_by is TimesBy.OWN:
        return wanted.own_days or 1, 0, "set by the lead"
    if wanted.times_by in {TimesBy.METHOD_3, TimesBy.METHOD_4, TimesBy.BAG}:
        ham = ham_days(HamMethod(wanted.times_by.value), heaviest_kg=wanted.heaviest_kg)
        return ham.contact, ham.evening_out, str(ham.source)
    piece = PickledPiece(wanted.times_by.value)
    days = sweet_pickle_days(piece, heaviest_kg=wanted.heaviest_kg)
    return days, 0, "USDA Farmers' Bulletin 2265, Sweet Pickle Curing (published)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """What a kept batch is called, whose meat it is, and when it goes in."""

    name: str
    started_on: date
    animal: Animal | None = None


def keep(workshop: Workshop, worked: WorkedOut, begun: Begun, act: Act) -> CureBatch:
    """Keep a batch as worked out. Its numbers never change afterwards."""
    wanted = worked.wanted

    def write() -> CureBatch:
        return CureBatch.objects.create(
            workshop=workshop,
            animal=begun.animal,
            client_id=act.client_id,
            name=begun.name,
            product=wanted.product,
            weighed_kg=wanted.weighed_kg,
            skin_on=wanted.skin_on,
            heaviest_kg=wanted.heaviest_kg,
            cure_name=wanted.cure_name,
            nitrite=wanted.nitrite,
            nitrate=wanted.nitrate,
            wanted_ppm=wanted.ppm,
            wanted_salt=None if wanted.product.in_pickle else wanted.salt,
            taken=wanted.taken,
            is_even=wanted.product.in_pickle and wanted.taken is None,
            water_kg=wanted.water_kg if wanted.product.in_pickle else 0.0,
            cure_kg=worked.cure_kg,
            salt_kg=worked.salt_kg,
            sugar_kg=worked.sugar_kg,
            nitrite_ppm=worked.nitrite_ppm,
            nitrate_ppm=worked.nitrate_ppm,
            limit_ppm=worked.limit_ppm,
            limit_source=worked.limit_source,
            times_by=wanted.times_by,
            days=worked.days,
            evening_days=worked.evening_days,
            started_on=begun.started_on,
            made_at=act.now,
            by_user=act.by.user,
        )

    same = {"workshop": workshop, "name": begun.name, "cure_kg": worked.cure_kg}
    return noting.once(CureBatch, act, write, of=same)


def note(
    batch: CureBatch, what: CureAct, act: Act, *, kg: float | None = None, words: str = ""
) -> CureEntry:
    """Something was done to a batch. Raises RecordRefused once it was called a mistake."""

    def write() -> CureEntry:
        with transaction.atomic():
            CureBatch.objects.select_for_update().get(pk=batch.pk)
            if batch.entries.standing().filter(what=CureAct.MISTAKE).exists():
                raise RecordRefused(f"{batch} was called a mistake. Take that back first.")
            return CureEntry.objects.create(
                batch=batch, what=what, kg=kg, note=words, **noting.columns(act)
            )

    return noting.once(CureEntry, act, write, of={"batch": batch, "what": what.value, "kg": kg})


def take_back(row: CureEntry, act: Act) -> CureEntry:
    """That entry was a mistake."""
    return noting.take_back(row, act, of={"batch": row.batch}, what=row.what)
