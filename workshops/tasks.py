"""Periodic work of this app: load by id, call one verb, nothing more."""

from __future__ import annotations

from celery import shared_task
from django.core.management import call_command
from django.utils import timezone

from workshops import jobs, letters, seating, throttling


@shared_task
def sweep_jobs() -> None:
    """Send again what a dead worker or a lost message left behind."""
    jobs.sweep(now=timezone.now())


@shared_task
def move_lines() -> None:
    """End offers that ran out and offer free seats to those who wait."""
    now = timezone.now()
    for workshop in seating.with_something_to_move(now=now):
        seating.move_line(workshop, now=now)


@shared_task
def send_letters() -> None:
    """Send the letters that are due."""
    letters.send_waiting(now=timezone.now())


@shared_task
def sweep_attempts() -> None:
    """Remove counts that no longer matter, and sessions (with their drafts) that have run out."""
    throttling.sweep(now=timezone.now())
    call_command("clearsessions")
