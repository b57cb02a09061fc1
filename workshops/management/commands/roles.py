"""Makes the groups of the staff and sets what each may do."""

from __future__ import annotations

from django.core.management.base import BaseCommand

from workshops.roles import ensure_roles


class Command(BaseCommand):
    """``manage.py roles``: run it after each migration."""

    help = "Make the staff's groups and set their permissions."

    def handle(self, **options: object) -> None:
        """Set the groups and say which."""
        groups = ensure_roles()
        names = ", ".join(group.name for group in groups.values())
        self.stdout.write(f"Groups set: {names}.")
