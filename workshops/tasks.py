"""Periodic work of this app: load by id, call one verb, nothing more."""

from __future__ import annotations

from celery import shared_task
from django.utils import timezone

from workshops import jobs


@shared_task
def sweep_jobs() -> None:
    """Send again what a dead worker or a lost message left behind."""
    jobs.sweep(now=timezone.now())
