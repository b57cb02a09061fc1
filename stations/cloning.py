"""A whole workshop copied to new dates: its own rows, then the stations, kit and stages."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from stations.models import (
    Duty,
    Equipment,
    HandlingSetup,
    HazardNote,
    KitHold,
    NextTiming,
    Stage,
    StageGap,
    Station,
    Thermometer,
    Trough,
    Trusted,
)
from workshops import cloning
from workshops.cloning import copy_of, copy_rows
from workshops.models import Workshop

COPIED = {
    Duty, Equipment, HandlingSetup, HazardNote, KitHold, Stage, StageGap,
    Station, Thermometer, Trough,
}  # fmt: skip


@transaction.atomic
def clone(workshop: Workshop, name: str, first_day: date, *, now: datetime) -> Workshop:
    """The new workshop; what points at a station, duty or stage points at its copy.

    What was read and checked stays behind: dips, and the checks of the thermometers.
    """
    made = cloning.clone(workshop, name, first_day, now=now)
    stations = _stations(workshop, made)
    duties = _duties(stations)
    kit: dict[int, Equipment] = {}
    for thing in Equipment.objects.filter(workshop=workshop):
        at = stations[thing.station_id] if thing.station_id else None
        (kit[thing.pk],) = copy_rows([thing], workshop=made, station=at)
    stages = _stages(workshop, made, stations, duties)
    for hold in KitHold.objects.filter(stage__in=list(stages)):
        until = stages.get(hold.until_id) if hold.until_id else None
        copy_rows(
            [hold], stage=stages[hold.stage_id], until=until, equipment=kit[hold.equipment_id]
        )
    copy_rows(Thermometer.objects.filter(workshop=workshop), workshop=made)
    return made


def _stations(workshop: Workshop, made: Workshop) -> dict[int, Station]:
    """Each station's copy, by the station's id, with its trough and how a hog is moved there."""
    copies: dict[int, Station] = {}
    for station in Station.objects.filter(workshop=workshop):
        copies[station.pk] = copy_of(station, workshop=made)
        copies[station.pk].save()
    for trough in Trough.objects.filter(station__in=list(copies)):
        copy_rows([trough], station=copies[trough.station_id])
    for handling in HandlingSetup.objects.filter(station__in=list(copies)):
        copy_rows([handling], station=copies[handling.station_id])
    return copies


def _duties(stations: dict[int, Station]) -> dict[int, Duty]:
    """Each duty's copy, by the duty's id; the notes of station and duty come along."""
    copies: dict[int, Duty] = {}
    for duty in Duty.objects.filter(station__in=list(stations)):
        copies[duty.pk] = copy_of(duty, station=stations[duty.station_id])
        copies[duty.pk].save()
    for note in HazardNote.objects.filter(station__in=list(stations)):
        on_duty = copies[note.duty_id] if note.duty_id else None
        copy_rows([note], station=stations[note.station_id], duty=on_duty)
    return copies


def _stages(
    workshop: Workshop, made: Workshop, stations: dict[int, Station], duties: dict[int, Duty]
) -> dict[int, Stage]:
    """Each stage's copy with its duties and the gaps between them, by the stage's id."""
    copies: dict[int, Stage] = {}
    # The kitchen's own jobs follow from next year's hogs and guests.
    live = Stage.objects.filter(workshop=workshop, retired=False, batches__isnull=True)
    for stage in live.select_related("next_timing").prefetch_related("duties", "or_at"):
        at = stations[stage.station_id]
        (copies[stage.pk],) = copy_rows([stage], workshop=made, station=at, **next_minutes(stage))
        copies[stage.pk].duties.set([duties[duty.pk] for duty in stage.duties.all()])
        copies[stage.pk].or_at.set([stations[place.pk] for place in stage.or_at.all()])
    for gap in StageGap.objects.filter(before__in=list(copies), after__in=list(copies)):
        copy_rows([gap], before=copies[gap.before_id], after=copies[gap.after_id])
    return copies


def next_minutes(stage: Stage) -> dict[str, object]:
    """The minutes kept for the next course, with where they come from; nothing where none are."""
    kept: NextTiming | None = getattr(stage, "next_timing", None)
    if kept is None:
        return {}
    return {
        "least_min": kept.least_min,
        "expected_min": kept.expected_min,
        "most_min": kept.most_min,
        "source": f"timed {kept.timed} times at {stage.workshop.name}"[:200],
        "trust": Trusted.PRACTICE,
    }
