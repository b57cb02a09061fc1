"""``manage.py backup``: a copy of everything, made while the app runs."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from scheduling import safekeeping


class Command(BaseCommand):
    help = "Writes a backup of everything and reads it back; the app may run meanwhile."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", nargs="?", type=Path, default=settings.BACKUPS)

    def handle(self, *_args: object, folder: Path, **_options: object) -> None:
        try:
            made = safekeeping.back_up(folder, now=timezone.now())
            manifest = safekeeping.verify(made)
        except (safekeeping.SafekeepingError, OSError) as error:
            raise CommandError(f"No backup was made: {error}") from error
        self.stdout.write(f"{made}: {manifest.row_count} rows, read back and whole.")
