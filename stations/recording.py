"""Readings, weights and logs after the kill: the only writers of those rows.

Each is added once for each press (``noting``) and never changed; a correction points at the old.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from stations import noting
from stations.dipping import Act
from stations.errors import RecordRefused
from stations.models import (
    ChillReading,
    DressedAs,
    FoodEntry,
    FoodLog,
    FoodMark,
    FoodRule,
    ProbedPart,
    Thermometer,
    WeighIn,
    WeighStage,
)
from stations.trade.errors import OutOfRange
from workshops.models import Animal, Workshop
from workshops.quantities import WEIGHT

WHOLE, SIDES = "whole", ("left side", "right side")


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What a probe showed, degC, and which thermometer it was, if it is one of the farm's."""

    read_c: float
    thermometer: Thermometer | None = None


# --- the chill -----------------------------------------------------------------------------------
def read_chill(animal: Animal, shown: Shown, act: Act, *, part: ProbedPart) -> ChillReading:
    """A reading of a carcass or of the air beside it.

    Raises RecordRefused before the kill, or where a reading of that part stands at that moment.
    """

    def write() -> ChillReading:
        _refuse_before_the_kill(animal, act.at)
        same = animal.chill_readings.standing().filter(part=part, at=act.at)
        _refuse_two_at_once(act.at, animal.workshop, taken=same.exists())
        return ChillReading.objects.create(
            animal=animal, part=part, **noting.columns(act), **_probed(shown, act.at)
        )

    return noting.once(ChillReading, act, write, of={"animal": animal, "read_c": shown.read_c})


def correct_chill(row: ChillReading, shown: Shown, act: Act) -> ChillReading:
    """What the probe really showed at that moment."""
    of = {"animal": row.animal}
    return noting.correct(row, act, of=of, part=row.part, **_probed(shown, row.at))


def take_back_chill(row: ChillReading, act: Act) -> ChillReading:
    """That reading was a mistake."""
    return noting.take_back(row, act, of={"animal": row.animal}, part=row.part)


def _refuse_before_the_kill(animal: Animal, at: datetime) -> None:
    plan = getattr(animal, "chill_plan", None)
    if plan is not None and at < plan.killed_at:
        zone = animal.workshop.zone
        raise RecordRefused(
            f"{animal} was killed at {plan.killed_at.astimezone(zone):%a %H:%M}; a reading at "
            f"{at.astimezone(zone):%a %H:%M} is before that. Mend the one time or the other."
        )


def _refuse_two_at_once(at: datetime, workshop: Workshop, *, taken: bool) -> None:
    if taken:
        raise RecordRefused(
            f"A reading stands at {at.astimezone(workshop.zone):%a %H:%M} already. Correct that "
            "one, or give this another minute."
        )


def _probed(shown: Shown, at: datetime) -> dict[str, Any]:
    """The columns of a probe's number. Any: columns of several types."""
    check = shown.thermometer.last_check if shown.thermometer else None
    try:
        off_k = 0.0 if check is None else check.as_of(at).offset_c(shown.read_c)
    except OutOfRange as error:
        raise RecordRefused(f"{error} Take another thermometer, and check this one.") from error
    return {
        "read_c": shown.read_c,
        "temp_c": shown.read_c - off_k,
        "thermometer": shown.thermometer,
        "check_used": check,
    }


# --- weights -------------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True, kw_only=True)
class Weight:
    """One weight off the scale, kg; ``dressed`` says what was on a carcass."""

    stage: WeighStage
    part: str
    kg: float
    dressed: DressedAs | None = None


def weigh(animal: Animal, weight: Weight, act: Act) -> WeighIn:
    """A weight. Cuts add up; a carcass is weighed once, whole or as two sides.

    A hot carcass that is complete is also written on the hog. Raises RecordRefused for a second
    weight of the same whole, and for a carcass heavier than the hog alive.
    """

    def write() -> WeighIn:
        # Two scales at once: the second waits here, then counts the first.
        Animal.objects.select_for_update().get(pk=animal.pk)
        _refuse_twice(animal, weight)
        row = WeighIn.objects.create(
            animal=animal,
            stage=weight.stage,
            part=weight.part,
            kg=weight.kg,
            dressed=weight.dressed or "",
            **noting.columns(act),
        )
        _write_on_the_hog(animal)
        return row

    same = {"animal": animal, "part": weight.part, "kg": weight.kg}
    return noting.once(WeighIn, act, write, of=same)


def correct_weight(row: WeighIn, kg: float, act: Act) -> WeighIn:
    """What the scale really showed."""
    same = {"stage": row.stage, "part": row.part, "dressed": row.dressed}
    with transaction.atomic():
        Animal.objects.select_for_update().get(pk=row.animal_id)
        made = noting.correct(row, act, of={"animal": row.animal}, kg=kg, **same)
        _write_on_the_hog(row.animal)
    return made


def take_back_weight(row: WeighIn, act: Act) -> WeighIn:
    """That weight was a mistake."""
    same = {"stage": row.stage, "part": row.part}
    with transaction.atomic():
        Animal.objects.select_for_update().get(pk=row.animal_id)
        made = noting.take_back(row, act, of={"animal": row.animal}, **same)
        if row.stage == WeighStage.HOT:
            Animal.objects.filter(pk=row.animal_id).update(carcass_kg=None)
        _write_on_the_hog(row.animal)
    return made


def complete_kg(rows: list[WeighIn], stage: WeighStage) -> float | None:
    """The carcass at a stage: the whole, or both sides; None while a side is missing."""
    parts = {row.part: row.kg for row in rows if row.stage == stage and row.kg is not None}
    if WHOLE in parts:
        return parts[WHOLE]
    sides = [parts[side] for side in SIDES if side in parts]
    return sum(sides) if len(sides) == len(SIDES) else None


def _refuse_twice(animal: Animal, weight: Weight) -> None:
    if not weight.stage.is_of_the_whole:
        return
    standing = animal.weigh_ins.standing().filter(stage=weight.stage)
    clash = (weight.part,) if weight.part in SIDES else (weight.part, *SIDES)
    before = standing.filter(part__in=(*clash, WHOLE)).first()
    if before is not None and before.kg is not None:
        kg = WEIGHT.shown(before.kg, animal.workshop.units, decimals=1)
        what = f"{animal}, {weight.stage.label}"
        raise RecordRefused(f"{what}: {before.part} weighs {kg} already. Correct that entry.")


def _write_on_the_hog(animal: Animal) -> None:
    hot_kg = complete_kg(list(animal.weigh_ins.standing()), WeighStage.HOT)
    if hot_kg is None:  # what was typed on the hog's own page stands until both sides are weighed
        return
    live_kg = float(animal.live_kg)
    if not 1 <= hot_kg <= live_kg:
        units = animal.workshop.units
        raise RecordRefused(
            f"The hot carcass comes to {WEIGHT.shown(hot_kg, units, decimals=1)}; {animal} weighed "
            f"{WEIGHT.shown(live_kg, units, decimals=1)} alive. Weigh again, or mend the live "
            "weight on the hog's page."
        )
    kept = min(Decimal(str(round(hot_kg, 1))), Decimal(animal.live_kg))
    Animal.objects.filter(pk=animal.pk).update(carcass_kg=kept)


# --- cooking, cooling, holding -------------------------------------------------------------------
@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """What a food log is about; ``air_c`` for food on the table."""

    name: str
    rule: FoodRule
    air_c: float | None = None
    animal: Animal | None = None


def open_log(workshop: Workshop, batch: Batch, act: Act) -> FoodLog:
    """A new log under one rule."""

    def write() -> FoodLog:
        return FoodLog.objects.create(
            workshop=workshop,
            animal=batch.animal,
            client_id=act.client_id,
            name=batch.name,
            rule=batch.rule,
            air_c=batch.air_c,
            started_at=act.at,
            made_at=act.now,
            by_user=act.by.user,
        )

    return noting.once(FoodLog, act, write, of={"workshop": workshop, "name": batch.name})


def read_food(log: FoodLog, shown: Shown, act: Act) -> FoodEntry:
    """A reading of a batch. Raises RecordRefused after it is finished or before it began."""

    def write() -> FoodEntry:
        _refuse_outside(log, act.at)
        same = log.entries.standing().filter(mark=FoodMark.READING, at=act.at)
        _refuse_two_at_once(act.at, log.workshop, taken=same.exists())
        return FoodEntry.objects.create(log=log, **noting.columns(act), **_probed(shown, act.at))

    return noting.once(FoodEntry, act, write, of={"log": log, "read_c": shown.read_c})


def mark_food(log: FoodLog, mark: FoodMark, act: Act) -> FoodEntry:
    """Finished, sour, or a mistake; the second of two who press at once finds the first's word."""

    def write() -> FoodEntry:
        FoodLog.objects.select_for_update().get(pk=log.pk)
        before = log.entries.standing().filter(mark=mark).first()
        return before or FoodEntry.objects.create(log=log, mark=mark, **noting.columns(act))

    return noting.once(FoodEntry, act, write, of={"log": log})


def correct_food(row: FoodEntry, shown: Shown, act: Act) -> FoodEntry:
    """What the probe really showed at that moment."""
    return noting.correct(row, act, of={"log": row.log}, **_probed(shown, row.at))


def take_back_food(row: FoodEntry, act: Act) -> FoodEntry:
    """That entry was a mistake; a log that was finished by it goes on."""
    return noting.take_back(row, act, of={"log": row.log}, mark=row.mark)


def _refuse_outside(log: FoodLog, at: datetime) -> None:
    zone = log.workshop.zone
    if at < log.started_at:
        raise RecordRefused(
            f"{log} began at {log.started_at.astimezone(zone):%a %H:%M}; a reading at "
            f"{at.astimezone(zone):%a %H:%M} is before that. Mend the time."
        )
    ends = (FoodMark.DONE, FoodMark.MISTAKE)
    end = log.entries.standing().filter(mark__in=ends).first()
    if end is not None and at > end.at:
        raise RecordRefused(
            f"{log} was closed at {end.at.astimezone(zone):%a %H:%M}, so nothing was written. "
            "Take that back first, or open another log."
        )
