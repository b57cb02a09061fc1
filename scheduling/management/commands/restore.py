"""``manage.py restore``: make the database what a backup says."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError
from django.utils import timezone

from scheduling import safekeeping
from workshops.linking import links_of_another_secret


class Command(BaseCommand):
    help = "Puts a backup's rows in the place of what is there, all or nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument(
            "--replace", action="store_true", help="even if there are rows (backed up first)"
        )

    def handle(self, *_args: object, file: Path, replace: bool, **_options: object) -> None:
        try:
            if replace and safekeeping.has_rows():
                kept = safekeeping.back_up(settings.BACKUPS, now=timezone.now())
                self.stdout.write(f"What was there is in {kept}.")
            manifest = safekeeping.restore(file, replace=replace)
        except (safekeeping.SafekeepingError, OSError, DatabaseError) as error:
            raise CommandError(str(error)) from error
        self.stdout.write(
            f"Restored {manifest.row_count} rows as they were at {manifest.made_at} "
            f"(Gambrel {manifest.version})."
        )
        if (count := links_of_another_secret()) > 0:
            self.stdout.write(
                f"{count} private links were made with another secret. Those already given out "
                "still open; to print or send them again, copy the file secret-key from the old "
                "data folder into this one, or renew them."
            )
