"""Background work of this app: load by id, call one verb, nothing more."""

from __future__ import annotations

from datetime import datetime

from celery import shared_task
from django.conf import settings
from django.utils import timezone

from scheduling import (
    alarming,
    archive_keeping,
    backup_rota,
    dividing,
    planning,
    printing,
    replanning,
    sheets,
)
from scheduling.drafting import DraftMovedError
from scheduling.models import RunSheet
from scheduling.planner.errors import BadProblem
from workshops import jobs
from workshops.models import Animal, Day, Job


@shared_task
def plan_course(job_id: str) -> None:
    """Time the course and place every crew."""
    jobs.run(job_id, _plan_course)


def _plan_course(job: Job, report: jobs.Report) -> dict[str, object]:
    try:
        sheets = planning.plan_course(job.workshop, by=job.asked_by, progress=report)
    except (planning.NoPlanError, DraftMovedError) as refusal:
        raise jobs.JobError(str(refusal)) from refusal
    return {"sheets": [sheet.pk for sheet in sheets]}


@shared_task
def place_crews(job_id: str) -> None:
    """Place one day's crews again."""
    jobs.run(job_id, _place_crews)


def _place_crews(job: Job, report: jobs.Report) -> dict[str, object]:
    day = Day.objects.select_related("workshop").get(pk=job.arguments["day"], workshop=job.workshop)
    try:
        sheet = planning.place_day(day, by=job.asked_by, now=timezone.now(), progress=report)
    except DraftMovedError as refusal:
        raise jobs.JobError(str(refusal)) from refusal
    return {"sheet": sheet.pk}


@shared_task
def print_pack(job_id: str) -> None:
    """Set one day's sheets as PDF."""
    jobs.run(job_id, _print_pack)


def _print_pack(job: Job, report: jobs.Report) -> dict[str, object]:
    sheet = RunSheet.objects.posted().with_steps().filter(day=job.arguments["day"]).first()
    if sheet is None:
        raise jobs.JobError("Nothing is posted for this day yet; post a plan, then print.")
    report(20, "Setting the pages")
    root, number = str(job.arguments["root"]), int(str(job.arguments["number"]))
    try:
        content = printing.pdf(sheets.pack(sheet, number=number, root=root))
    except printing.NoPdfError as refusal:
        raise jobs.JobError(str(refusal)) from refusal
    printing.keep(job.pk, content)
    return {"name": printing.name_of(sheet), "version": sheet.version}


@shared_task
def retime_course(job_id: str) -> None:
    """Time the course again with one more step pinned."""
    jobs.run(job_id, _retime_course)


def _retime_course(job: Job, report: jobs.Report) -> dict[str, object]:
    code, at = str(job.arguments["code"]), datetime.fromisoformat(str(job.arguments["at"]))
    try:
        made = planning.plan_course(job.workshop, by=job.asked_by, progress=report, pins={code: at})
    except (planning.NoPlanError, DraftMovedError) as refusal:
        raise jobs.JobError(str(refusal)) from refusal
    return {"sheets": [sheet.pk for sheet in made]}


@shared_task
def replan_day(job_id: str) -> None:
    """Time the rest of one day again from what has happened."""
    jobs.run(job_id, _replan_day)


def _replan_day(job: Job, report: jobs.Report) -> dict[str, object]:
    day = Day.objects.select_related("workshop").get(pk=job.arguments["day"], workshop=job.workshop)
    try:
        sheet = replanning.replan_day(day, now=timezone.now(), by=job.asked_by, progress=report)
    except (planning.NoPlanError, DraftMovedError, BadProblem) as refusal:
        raise jobs.JobError(str(refusal)) from refusal
    return {"sheet": sheet.pk}


@shared_task
def keep_backups() -> None:
    """The daily backup, whenever the laptop happens to be awake."""
    backup_rota.back_up_if_due(settings.BACKUPS, now=timezone.now())


@shared_task
def divide_shares(job_id: str) -> None:
    """Divide one hog's packages among its owners."""
    jobs.run(job_id, _divide_shares)


def _divide_shares(job: Job, report: jobs.Report) -> dict[str, object]:
    animals = Animal.objects.prefetch_related("owners__household")
    animal = animals.get(pk=job.arguments["animal"], workshop=job.workshop)
    report(20, "Weighing wishes")
    try:
        made = dividing.divide_hog(animal, by=job.asked_by, now=timezone.now())
    except dividing.NoDivisionError as refusal:
        raise jobs.JobError(str(refusal)) from refusal
    return {"division": made.pk}


@shared_task
def note_alarms() -> None:
    """Write down which alarms have risen and which are over."""
    alarming.note_all(now=timezone.now())


@shared_task
def make_archive(job_id: str) -> None:
    """Make the archive of a course."""
    jobs.run(job_id, _make_archive)


def _make_archive(job: Job, report: jobs.Report) -> dict[str, object]:
    if job.asked_by is None:
        raise jobs.JobError("Whoever asked for this archive is gone. Ask for it again.")
    report(20, "Writing the record")
    return {"name": archive_keeping.make(job, job.asked_by, now=timezone.now())}
