"""Who may see and change the stations' rows; the only way a view gets one."""

from __future__ import annotations

from django.contrib.auth.models import AnonymousUser
from django.db.models import QuerySet
from django.shortcuts import get_object_or_404

from stations import troughing
from stations.models import Station, Trough
from workshops import access as people_access
from workshops.models import User, Workshop


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
