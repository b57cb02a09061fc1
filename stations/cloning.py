"""A whole workshop copied to new dates: its own rows, then the stations, kit and stages."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from stations.models import Duty, Equipment, HazardNote, Stage, StageGap, Station, Trough
from workshops import cloning
from workshops.cloning import copy_of, copy_rows
from workshops.models import Workshop


@transaction.atomic
def clone(workshop: Workshop, name: str, first_day: date, *, now: datetime) -> Workshop:
    """The new workshop; what points at a station, duty or stage points at its copy."""
    made = cloning.clone(workshop, name, first_day, now=now)
    stations: dict[int, Station] = {}
    duties: dict[int, Duty] = {}
    stages: dict[int, Stage] = {}
    for station in Station.objects.filter(workshop=workshop):
        stations[station.pk] = copy_of(station, workshop=made)
        stations[station.pk].save()
    for duty in Duty.objects.filter(station__workshop=workshop):
        duties[duty.pk] = copy_of(duty, station=stations[duty.station_id])
        duties[duty.pk].save()
    for note in HazardNote.objects.filter(station__workshop=workshop):
        on_duty = duties[note.duty_id] if note.duty_id else None
        copy_of(note, station=stations[note.station_id], duty=on_duty).save()
    for trough in Trough.objects.filter(station__workshop=workshop):
        copy_of(trough, station=stations[trough.station_id]).save()
    for stage in Stage.objects.filter(workshop=workshop).prefetch_related("duties"):
        new = copy_of(stage, workshop=made, station=stations[stage.station_id])
        new.save()
        new.duties.set([duties[duty.pk] for duty in stage.duties.all()])
        stages[stage.pk] = new
    for gap in StageGap.objects.filter(before__workshop=workshop):
        copy_of(gap, before=stages[gap.before_id], after=stages[gap.after_id]).save()
    for thing in Equipment.objects.filter(workshop=workshop):
        at = stations[thing.station_id] if thing.station_id else None
        copy_rows([thing], workshop=made, station=at)
    return made
