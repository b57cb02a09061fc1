"""Writes a station's trough down; the only writer of it."""

from __future__ import annotations

import hashlib

from django.db import transaction
from django.forms.models import model_to_dict

from stations.models import Station, Trough
from workshops.models import Units


class TroughChangedMeanwhile(Exception):
    """Someone else kept other numbers since this page was opened."""

    def __init__(self, version: str) -> None:
        self.version = version
        super().__init__(
            "Someone else changed this trough meanwhile. What you typed stands below; "
            "keep it again to put it in place of theirs."
        )


# Round numbers near the row's own defaults, for US units (common practice, no source).
_USUAL_US = {
    "length_m": 1.8288,  # 72 in
    "width_m": 0.762,  # 30 in
    "depth_m": 0.6096,  # 24 in
    "wall_kg": 45.4,  # 100 lb
    "tap_c": 10.0,  # 50 F
    "fire_w": 58_614.2,  # 200,000 Btu/h
    "kettle_l": 37.9,  # 10 gal
    "kettle_w": 29_307.1,  # 100,000 Btu/h
    "bucket_kg": 9.46,  # 2.5 gal
    "air_c": 4.44,  # 40 F
    "wind_m_s": 1.34,  # 3 mph
}


def usual(station: Station) -> Trough:
    """A trough to begin with, not yet saved: what many farms have, in round numbers."""
    is_us = station.workshop.units == Units.US
    return Trough(station=station, **(_USUAL_US if is_us else {"kettle_l": 40.0}))


def version_of(trough: Trough) -> str:
    """A word for the numbers as they stand, to tell whether they changed."""
    return hashlib.sha256(repr(sorted(model_to_dict(trough).items())).encode()).hexdigest()[:16]


@transaction.atomic
def write_down(trough: Trough, *, seen: str) -> None:
    """Write it, unless it changed since ``seen``; raises TroughChangedMeanwhile."""
    # Two leads may keep at once, and both may be the first: lock the station that all share.
    Station.objects.select_for_update().get(pk=trough.station_id)
    now = Trough.objects.filter(station=trough.station_id).first()
    version = version_of(now) if now else ""
    if version != seen:
        raise TroughChangedMeanwhile(version)
    trough.pk = now.pk if now else None
    trough.save()
