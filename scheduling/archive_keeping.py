"""Archives that were asked for: made, kept on the disk, found again."""

from __future__ import annotations

import os
from datetime import datetime
from pathlib import Path

from django.conf import settings

from scheduling import archiving, record_papers
from workshops.models import Job, User, Workshop


def archive_key(workshop: Workshop) -> str:
    """One archive of a course at a time."""
    return f"archive:{workshop.pk}"


def path_of(job_id: object) -> Path:
    """Where a made archive is kept."""
    return Path(settings.MEDIA_ROOT) / f"{job_id}.zip"


def make(job: Job, by: User, *, now: datetime) -> str:
    """Write the archive whole or not at all; answers its name. Older ones of the course go."""
    papers = record_papers.documents(job.workshop, by, now=now)
    content = archiving.archive(job.workshop, documents=papers, now=now)
    target = path_of(job.pk)
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_suffix(f".{os.getpid()}.part")
    part.write_bytes(content)
    part.replace(target)
    older = Job.objects.filter(workshop=job.workshop, key=job.key).exclude(pk=job.pk)
    for one in older.values_list("pk", flat=True):
        path_of(one).unlink(missing_ok=True)
    day = now.astimezone(job.workshop.zone)
    return f"{job.workshop.slug}-{day:%Y-%m-%d}.zip"
