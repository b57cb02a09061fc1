"""Rows for the trough's walk, written into the database of the settings; prints the two links.

Run as a module by ``test_trough.py``: the site under test is a process of its own.
"""

from __future__ import annotations

import json
import os
import sys

import django


def make_course() -> dict[str, str]:
    """A course of today with one hog, a trough, a thermometer and a timer placed there, a lead."""
    from django.utils import timezone

    from scheduling.models import SheetStatus
    from tests import build
    from tests.cast import make_lead

    workshop = build.make_workshop(name="Winter course", slug="winter", days=0)
    day = build.make_day(workshop, date=timezone.now().astimezone(workshop.zone).date())
    make_lead(workshop)
    station = build.make_station(workshop, letter="T", name="Trough")
    build.make_trough(station, falling_scald=True, water_kg=230)
    build.make_check(build.make_thermometer(workshop, name="Probe"), at=timezone.now())
    duties = [build.make_duty(station, name=name) for name in ("Thermometer", "Timer")]
    stage = build.make_stage(station, name="Scald", duties=duties)
    sheet = build.make_run_sheet(day, SheetStatus.POSTED)
    step = build.make_step(sheet, stage, animal=build.make_hog(workshop, tag="12"))
    links = {}
    for duty, name in zip(duties, ("Edda", "Bo"), strict=True):
        seat = build.make_enrolment(workshop, given_name=name)
        build.make_placement(step, duty, enrolment=seat)
        links[duty.name] = build.make_link(seat).path
    return links


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    django.setup()
    sys.stdout.write(json.dumps(make_course()))
