"""The course that is written to while its programs are killed, and what became of it.

Run as a module by the tests of this folder: ``make`` prints what a browser needs, ``count`` what
the database holds.
"""

from __future__ import annotations

import json
import os
import sys
from collections import Counter

import django


def make() -> dict[str, object]:
    """Two days, a trough with a hog in it, two people with cards, a lead who signs in."""
    from datetime import timedelta

    from django.utils import timezone

    from scheduling.models import SheetStatus
    from tests import build
    from tests.cast import make_lead

    now = timezone.now()
    workshop = build.make_workshop(name="Winter course", slug="winter", days=0)
    today = now.astimezone(workshop.zone).date()
    day = build.make_day(workshop, date=today)
    build.make_day(workshop, date=today + timedelta(days=1))
    lead = make_lead(workshop)
    lead.set_password(WORD)
    lead.save()
    station = build.make_station(workshop, letter="T", name="Trough")
    build.make_trough(station, falling_scald=True, water_kg=230)
    hog = build.make_hog(workshop, tag="12")
    duties = [build.make_duty(station, name=name) for name in ("Thermometer", "Timer")]
    stage = build.make_stage(station, name="Scald", duties=duties)
    step = build.make_step(build.make_run_sheet(day, SheetStatus.POSTED), stage, animal=hog)
    links = []
    for duty, name in zip(duties, ("Edda", "Bo"), strict=True):
        seat = build.make_enrolment(workshop, given_name=name)
        build.make_placement(step, duty, enrolment=seat)
        links.append(build.make_link(seat).path)
    dip = build.make_dip(station, animal=hog, water_in_at=now)
    return {"links": links, "dip": dip.pk}


WORD = "a long word for tests"


def count() -> dict[str, object]:
    """Each press by its id, what each posted version of the first day holds, and the jobs."""
    from scheduling.models import Posting, RunSheet, SheetStatus
    from stations.models import DipEntry
    from workshops.models import Day, Job

    first = Day.objects.earliest("date")
    sheets = RunSheet.objects.with_steps().filter(day=first).exclude(status=SheetStatus.DRAFT)
    presses = DipEntry.objects.values_list("client_id", flat=True)
    return {
        "presses": Counter(str(word) for word in presses),
        "posted": sum(sheet.status == SheetStatus.POSTED for sheet in sheets),
        "places": [[step.placements.count() for step in sheet.steps.all()] for sheet in sheets],
        "postings": Posting.objects.filter(run_sheet__day=first).count(),
        "jobs": Counter(Job.objects.values_list("state", flat=True)),
    }


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    django.setup()
    sys.stdout.write(json.dumps({"make": make, "count": count}[sys.argv[1]]()))
