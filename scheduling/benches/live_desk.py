"""The rows of the live trial, written and counted inside the installation that is on trial.

``manage.py bench live desk`` answers one JSON line to each word on its standard input: ``course``,
``job``, ``state``, ``tally``. The site runs as processes of its own, which only the same settings
can look into.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Sequence
from datetime import datetime, time, timedelta
from uuid import uuid4

from django.utils import timezone

from scheduling.models import Placement, RunSheet, SheetStatus, Step
from stations.models import Dip, DipEntry, Duty, Stage, Station, Trough
from workshops import jobs, pulse
from workshops.models import (
    Animal,
    AnimalStatus,
    Attendee,
    CardLink,
    Coat,
    Day,
    Enrolment,
    EnrolmentStatus,
    Household,
    Job,
    Topic,
    Units,
    Workshop,
)

PHONES = 60
WRITERS = 10
TROUGHS = 2
"""Hogs in the water at once; five of the writers stand at each."""
Row = dict[str, object]


def course(*, now: datetime) -> Row:
    """Today's posted course: sixty people with a private link, ten of them each at a trough."""
    # Noon at the farm, so that no trial runs across its midnight.
    zone = f"Etc/GMT{now.hour - 12:+d}"
    workshop = Workshop.objects.create(
        name="Trial", slug="trial", farm="Trial Farm", time_zone=zone, units=Units.METRIC
    )
    day = Day.objects.create(workshop=workshop, date=now.astimezone(workshop.zone).date())
    sheet = RunSheet.objects.create(day=day, version=1, status=SheetStatus.POSTED)
    seats = [seat_of(workshop, number) for number in range(PHONES)]
    each = WRITERS // TROUGHS
    troughs = [
        trough_of(sheet, number, seats[number * each : (number + 1) * each], now=now)
        for number in range(TROUGHS)
    ]
    return {
        "phones": [seat.link.word for seat in seats],
        "writers": [row for rows in troughs for row in rows],
    }


def seat_of(workshop: Workshop, number: int) -> Enrolment:
    """A person with a seat and a private link."""
    household = Household.objects.create(
        name=f"Household {number}", email=f"phone{number}@example.org", emergency_contact="Wren",
        emergency_phone="555 0199",
    )  # fmt: skip
    person = Attendee.objects.create(household=household, given_name=f"Phone {number}")
    seat = Enrolment.objects.create(
        workshop=workshop, attendee=person, status=EnrolmentStatus.CONFIRMED
    )
    CardLink.objects.create(enrolment=seat)
    return seat


def trough_of(
    sheet: RunSheet, number: int, crew: Sequence[Enrolment], *, now: datetime
) -> list[Row]:
    """A hog in the water, and those who stand around it."""
    workshop = sheet.day.workshop
    letter = chr(ord("A") + number)
    station = Station.objects.create(
        workshop=workshop, name=f"Trough {letter}", letter=letter, look=number + 1, order=number + 1
    )
    Trough.objects.create(station=station, kettle_l=40.0, water_kg=230)
    duty = Duty.objects.create(
        station=station, name="Thermometer", order=1, hands_least=1, hands_most=len(crew)
    )
    stage = Stage.objects.create(
        workshop=workshop, station=station, key=f"scald-{letter}", name="Scald", order=number + 1,
        least_min=20, expected_min=20, most_min=20,
    )  # fmt: skip
    stage.duties.add(duty)
    hog = Animal.objects.create(
        workshop=workshop, tag=letter, order=number + 1, live_kg=120, coat=Coat.ORDINARY,
        status=AnimalStatus.CHOSEN,
    )  # fmt: skip
    starts = sheet.day.at(time(11))
    step = Step.objects.create(
        run_sheet=sheet, stage=stage, station=station, animal=hog, code=f"hog{hog.pk}:{stage.key}",
        starts_at=starts, ends_at=starts + timedelta(hours=4),
    )  # fmt: skip
    for seat in crew:
        Placement.objects.create(step=step, duty=duty, enrolment=seat)
    dip = Dip.objects.create(
        workshop=workshop, station=station, animal=hog, client_id=uuid4(), water_in_at=now,
        received_at=now, water_kg=230, strike_read_c=69.0, floor_c=60.0, ceiling_c=71.1, air_c=5,
    )  # fmt: skip
    return [{"word": seat.link.word, "letter": letter, "dip": dip.pk} for seat in crew]


def job() -> Row:
    """Ask for the day's paper, which takes the worker some seconds."""
    day = Day.objects.select_related("workshop").get()
    arguments: Row = {"day": day.pk, "number": 1, "root": "http://localhost/"}
    made = jobs.submit(
        "scheduling.tasks.print_pack", workshop=day.workshop, title="Printing", key="trial",
        arguments=arguments,
    )  # fmt: skip
    return {"job": str(made.pk)}


def state() -> Row:
    """How far the job is, and how many readings the open pages have been told of."""
    found = Job.objects.latest("created_at")
    counts = pulse.counts_of(found.workshop_id)
    return {
        "state": found.state,
        "attempts": found.attempts,
        "message": found.message,
        "told": counts.get(Topic.DIP, 0),
    }


def tally() -> Row:
    """Every entry there is, in the order in which it was written."""
    rows = DipEntry.objects.order_by("pk").values_list("client_id", flat=True)
    return {"entries": [str(client_id) for client_id in rows]}


def _courses() -> Row:
    from scheduling.benches import web_desk  # it is built on this module

    return web_desk.courses(now=timezone.now())


ANSWERS: dict[str, Callable[[], Row]] = {
    "course": lambda: course(now=timezone.now()),
    "courses": _courses,
    "job": job,
    "state": state,
    "tally": tally,
}


def run() -> None:
    """Answer until the standard input is closed."""
    for line in sys.stdin:
        sys.stdout.write(json.dumps(ANSWERS[line.strip()]()) + "\n")
        sys.stdout.flush()
