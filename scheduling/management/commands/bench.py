"""Prints speed and quality figures for one subject."""

from __future__ import annotations

import argparse
import pkgutil
from importlib import import_module

from django.core.management.base import BaseCommand, CommandParser

from scheduling import benches


def subjects() -> list[str]:
    """The subjects there is a bench for, by the modules of ``scheduling.benches``."""
    return sorted(module.name for module in pkgutil.iter_modules(benches.__path__))


class Command(BaseCommand):
    """``manage.py bench SUBJECT [words]``: ``manage.py bench scald``."""

    help = "Print speed and quality figures for one subject."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the subject and pass the rest on."""
        parser.add_argument("subject", choices=subjects())
        parser.add_argument("words", nargs=argparse.REMAINDER)

    def handle(self, *, subject: str, words: list[str], **options: object) -> None:
        """Hand over to the subject's module."""
        import_module(f"scheduling.benches.{subject}").run(self.stdout.write, words)
