"""``manage.py check_data``: is the database sound, and is each backup whole?"""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from scheduling import backup_rota, safekeeping
from workshops import backup_files


class Command(BaseCommand):
    help = "Checks the database, and reads every backup from end to end."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", nargs="?", type=Path, default=settings.BACKUPS)

    def handle(self, *_args: object, folder: Path, **_options: object) -> None:
        faults = 0
        try:
            self.stdout.write(backup_rota.check_data())
        except safekeeping.SafekeepingError as error:
            faults += 1
            self.stdout.write(str(error))
        backups = backup_files.in_folder(folder)
        for kept in backups:
            try:
                manifest = safekeeping.verify(kept.file)
            except safekeeping.SafekeepingError as error:
                faults += 1
                self.stdout.write(str(error))
            else:
                self.stdout.write(f"{kept.file.name}: whole, {manifest.row_count} rows.")
        if not backups:
            self.stdout.write(f"There is no backup in {folder}.")
        if faults:
            raise CommandError(f"{faults} of {len(backups) + 1} are not sound.")
