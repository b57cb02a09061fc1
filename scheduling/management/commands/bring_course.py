"""``manage.py bring_course``: make a course again from its archive."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from scheduling import archiving, bringing_in
from scheduling.archiving import ArchiveError


class Command(BaseCommand):
    help = "Brings in one course from an archive that another machine made, all or nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--slug", default="", help="another address for it here")

    def handle(self, *_args: object, file: Path, slug: str, **_options: object) -> None:
        try:
            found = archiving.read(file.name, file.read_bytes())
            made = bringing_in.bring_in(found, slug=slug)
        except (ArchiveError, OSError) as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"{made.name} is here, at /w/{made.slug}/. Send its private links anew.")
