"""Background work that survives a killed worker: a row first, a message second.

``submit`` writes the row and wakes a worker; ``run`` is what a task calls: it claims the row with
one conditional update, beats while it works, and ends the row only if the claim is still its own.
``sweep`` sends again what was lost. Every job may therefore run twice and must be harmless then.
"""

from __future__ import annotations

import logging
import threading
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta

from celery import current_app
from django.conf import settings
from django.db import IntegrityError, InterfaceError, connection, transaction
from django.db import OperationalError as DatabaseAwayError
from django.db.models import F, Q
from django.utils import timezone
from kombu.exceptions import OperationalError

from workshops.models import Job, JobState, User, Workshop

logger = logging.getLogger(__name__)

LIVE = (JobState.QUEUED, JobState.RUNNING)
# A queued row younger than this has a message under way; older ones are woken again.
WAKE_AFTER_S = 5


class JobError(Exception):
    """A refusal that the person who asked should read; the job fails with these words."""


@dataclass(frozen=True, slots=True)
class Report:
    """How a running job tells its progress."""

    job_id: uuid.UUID
    claim: uuid.UUID

    def __call__(self, percent: int, message: str) -> None:
        """Write progress; silently too late if the claim has passed to another worker."""
        Job.objects.filter(pk=self.job_id, claim=self.claim, state=JobState.RUNNING).update(
            percent=percent, message=message[:300], heartbeat_at=timezone.now()
        )


Work = Callable[[Job, Report], dict[str, object]]


def submit(
    task: str,
    *,
    workshop: Workshop,
    title: str,
    key: str,
    arguments: dict[str, object] | None = None,
    by: User | None = None,
) -> Job:
    """Ask for background work. While a job with this key is live, asking again returns it."""
    try:
        with transaction.atomic():
            job = Job.objects.create(
                workshop=workshop,
                task=task,
                title=title,
                key=key,
                arguments=arguments or {},
                asked_by=by,
            )
    except IntegrityError:
        # Someone pressed the button at the same moment, or twice.
        return Job.objects.filter(key=key, state__in=LIVE).get()
    transaction.on_commit(lambda: wake(job))
    return job


def wake(job: Job) -> None:
    """Send the message. A broker that is down is no error: the sweep sends it again."""
    try:
        current_app.send_task(job.task, args=[str(job.pk)])
    except (OperationalError, OSError):
        logger.warning("The broker did not take the message of job %s; it is swept later.", job.pk)


def run(job_id: str, work: Work) -> None:
    """Claim the job, do the work, end the row. A job claimed by another worker is left alone."""
    claim = uuid.uuid4()
    won = Job.objects.filter(pk=job_id, state=JobState.QUEUED).update(
        state=JobState.RUNNING,
        claim=claim,
        attempts=F("attempts") + 1,
        heartbeat_at=timezone.now(),
        message="",
    )
    if not won:
        return
    job = Job.objects.select_related("workshop", "asked_by").get(pk=job_id)
    try:
        with _beating(job, claim):
            result = work(job, Report(job.pk, claim))
    except JobError as refusal:
        _end(job, claim, JobState.FAILED, message=str(refusal))
    except (DatabaseAwayError, InterfaceError):
        # The database went away under it and may be back already. Nothing is half written, so the
        # row stays claimed, falls silent, and is taken up again, so many times as after a kill.
        logger.warning("Job %s lost the database; it will be tried again.", job.pk, exc_info=True)
    except Exception:
        _end(job, claim, JobState.FAILED, message="Something went wrong; it is in the log.")
        logger.exception("Job %s failed.", job.pk)
    else:
        _end(job, claim, JobState.DONE, result=result)


def _end(
    job: Job,
    claim: uuid.UUID,
    state: JobState,
    *,
    message: str = "",
    result: dict[str, object] | None = None,
) -> None:
    Job.objects.filter(pk=job.pk, claim=claim, state=JobState.RUNNING).update(
        state=state,
        percent=100 if state == JobState.DONE else F("percent"),
        message=message[:300],
        result=result or {},
        ended_at=timezone.now(),
    )


@contextmanager
def _beating(job: Job, claim: uuid.UUID) -> Iterator[None]:
    """Beat from a thread while the work runs, since a solve may say nothing for seconds."""
    over = threading.Event()

    def beat() -> None:
        while not over.wait(settings.JOB_LEASE_S / 4):
            Job.objects.filter(pk=job.pk, claim=claim).update(heartbeat_at=timezone.now())
        connection.close()

    thread = threading.Thread(target=beat, daemon=True)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()


def sweep(*, now: datetime) -> int:
    """Take jobs from dead workers, give up after too many tries, wake what still waits.

    A time in the future was written before the clock was set back: it says nothing of a worker
    that is alive, nor of a message under way. Returns how many were woken.
    """
    lease = timedelta(seconds=settings.JOB_LEASE_S)
    silent = Q(heartbeat_at__lt=now - lease) | Q(heartbeat_at__gt=now + lease)
    dead = Q(state=JobState.RUNNING) & silent
    Job.objects.filter(dead, attempts__gte=settings.JOB_ATTEMPTS).update(
        state=JobState.FAILED,
        ended_at=now,
        message=f"The worker stopped {settings.JOB_ATTEMPTS} times at this job; ask for it again.",
    )
    Job.objects.filter(dead).update(state=JobState.QUEUED, claim=None)
    waiting = Job.objects.filter(state=JobState.QUEUED).exclude(
        created_at__range=(now - timedelta(seconds=WAKE_AFTER_S), now)
    )
    for job in waiting:
        wake(job)
    return len(waiting)
