"""A batch's jobs as stages of the course, so that the timetable plans them with all the rest."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import time
from itertools import pairwise

from django.db import transaction
from django.db.models import Max

from stations.models import Duty, KitchenBatch, Stage, StageGap, Station, Subject, Trusted
from stations.trade.recipes import KitchenStep
from workshops.models import Day, Workshop

# Words of a job, and of a duty that does such work; the lead's choice decides.
_LIKELY = (
    ("grind", "grind"),
    ("stuff", "stuff"),
    ("weigh", "season"),
    ("season", "season"),
    ("fry", "cook the meal"),
    ("boil", "cook the meal"),
    ("render", "lard"),
    ("dice", "cube"),
    ("slice", "cook"),
    ("peel", "cook"),
    ("cut", "cook"),
)


def duties_to_choose(workshop: Workshop) -> list[Duty]:
    """The duties of every station with their stations: one query."""
    rows = Duty.objects.filter(station__workshop=workshop).select_related("station")
    return list(rows)


def likely_duty(step: KitchenStep, duties: Iterable[Duty]) -> Duty | None:
    """A first guess at who does a job, by its words; the lead chooses."""
    known = list(duties)
    for word, kind in _LIKELY:
        if word in step.name:
            found = [duty for duty in known if kind in duty.name.casefold()]
            return found[0] if found else None
    return None


@transaction.atomic
def put_on(batch: KitchenBatch, day_number: int, duties: Sequence[Duty | None]) -> list[Stage]:
    """Make a stage of each job, in a row; ``duties`` beside the recipe's steps.

    A job that needs nobody by it stands at the station of the job beside it, and runs on alone.
    The last is done by the time the batch is wanted. A second time replaces the first.
    """
    take_off(batch)
    steps = batch.made.steps
    stations = _stations(duties)
    workshop = batch.day.workshop
    last = workshop.stages.aggregate(last=Max("order"))["last"] or 0
    made: list[Stage] = []
    for number, (step, duty) in enumerate(zip(steps, duties, strict=True), start=1):
        least, expected, most = step.minutes
        stage = Stage.objects.create(
            workshop=workshop,
            key=_key(workshop, batch, number),
            name=f"{batch.made.name}: {step.name}"[:60],
            order=last + number,
            subject=Subject.ONCE,
            day_number=day_number,
            station=stations[number - 1],
            least_min=least,
            expected_min=expected,
            most_min=most,
            unattended=not step.attended,
            done_by=_done_by(batch, is_last=number == len(steps)),
            source="recipe of the course",
            trust=Trusted.PRACTICE,
        )
        stage.duties.set([duty] if duty else [])
        made.append(stage)
    for before, after in pairwise(made):
        StageGap.objects.create(before=before, after=after, source="one job after another")
    batch.stages.set(made)
    return made


@transaction.atomic
def take_off(batch: KitchenBatch) -> None:
    """No new run sheet has its jobs. Stages that an old sheet names are kept, retired."""
    for stage in batch.stages.all():
        if stage.steps.exists():
            Stage.objects.filter(pk=stage.pk).update(retired=True)
        else:
            stage.delete()
    batch.stages.clear()


def _stations(duties: Sequence[Duty | None]) -> list[Station]:
    """Each job's station: its duty's, else that of the job before it, else after it."""
    known = [duty.station if duty else None for duty in duties]
    first = next(station for station in known if station)
    found: list[Station] = []
    for station in known:
        found.append(station or (found[-1] if found else first))
    return found


def _key(workshop: Workshop, batch: KitchenBatch, number: int) -> str:
    """A key of its own: a retired stage keeps the one it had."""
    base = f"kitchen-{batch.pk}-{number}"
    again = workshop.stages.filter(key__startswith=base).count()
    return f"{base}-{again}" if again else base


def _done_by(batch: KitchenBatch, *, is_last: bool) -> time | None:
    return batch.ready_by if is_last else None


def number_of(day: Day, days: Iterable[Day]) -> int:
    """Which day of the course it is."""
    return [one.pk for one in days].index(day.pk) + 1
