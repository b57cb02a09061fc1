"""A course from another machine's archive, made again here: all of it or nothing.

Rows get new keys; what pointed at a row, by a foreign key or by a name that holds its key, points
at the new one. People and households are made anew, since nothing tells whether they are the same.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.core.exceptions import ValidationError
from django.db import DatabaseError, connection, transaction
from django.db.models import Model

from scheduling import course_rows, safekeeping_rows
from scheduling.archiving import Archive, DamagedArchive, RefusedArchive
from workshops.models import User, Workshop


def bring_in(archive: Archive, *, slug: str = "") -> Workshop:
    """The course of the archive, in this database; ``slug`` is another address for it.

    Closed to sign-ups, and without private links: the organizer sends new ones. What somebody
    wrote is theirs again if they have a sign-in of the same name here.

    Raises:
        RefusedArchive: the course is here already, or a later release made the archive.
        DamagedArchive: its rows do not fit together.
    """
    by_label = {model._meta.label: model for model in course_rows.models_in_order()}
    _check_tables(archive, by_label)
    rows = {label: [dict(row) for row in found] for label, found in archive.rows.items()}
    (course,) = rows[Workshop._meta.label]
    course["slug"] = slug or course["slug"]
    course["takes_sign_ups"] = False
    _check_free(archive, str(course["slug"]))
    try:
        with transaction.atomic():
            new = _Putting(archive).put(by_label.values(), rows)
            connection.check_constraints()
    except (DatabaseError, ValidationError, ValueError, KeyError, TypeError) as error:
        if _is_here(rows, by_label):
            raise RefusedArchive(
                f"“{archive.course}” is in this database already, under another address. "
                "Open that one, or remove it first."
            ) from error
        raise DamagedArchive(archive.name, why=f"its rows do not fit together ({error})") from error
    return Workshop.objects.get(pk=new)


def _check_free(archive: Archive, slug: str) -> None:
    there = Workshop.objects.filter(slug=slug).first()
    if there:
        raise RefusedArchive(
            f"The address “{slug}” is taken by “{there.name}”. If “{archive.course}” is another "
            "course, give it an address of its own: --slug NAME."
        )


def _check_tables(archive: Archive, by_label: dict[str, type[Model]]) -> None:
    """Every table and column is known here; one that the archive lacks stays as new."""
    for label, found in archive.rows.items():
        model = by_label.get(label)
        known = {field.column for field in model._meta.concrete_fields} if model else set()
        strange = (set(found[0]) - known) if found else set()
        if model is None or strange:
            what = f"“{min(strange)}” of {label}" if strange else f"the table {label}"
            raise RefusedArchive(
                f"{archive.name} was made by Gambrel {archive.version}, and {what} is unknown "
                "here. Bring it in with that release."
            )
    if len(archive.rows.get(Workshop._meta.label, ())) != 1:
        raise DamagedArchive(archive.name, why="it does not hold one course")


def _is_here(rows: dict[str, list[safekeeping_rows.Row]], by_label: dict[str, type[Model]]) -> bool:
    """Whether a press that is written in it is written here too."""
    for label, found in rows.items():
        model = by_label[label]
        if found and "client_id" in found[0]:
            ids = [row["client_id"] for row in found]
            if model._base_manager.filter(client_id__in=ids).exists():
                return True
    return False


class _Putting:
    """The keys that rows had, and have now."""

    def __init__(self, archive: Archive) -> None:
        here = dict(
            User.objects.filter(username__in=archive.writers.values()).values_list("username", "pk")
        )
        self.users = {old: here[name] for old, name in archive.writers.items() if name in here}
        self.new: dict[tuple[str, int], int] = {}

    def put(
        self, models: Iterable[type[Model]], rows: dict[str, list[safekeeping_rows.Row]]
    ) -> int:
        """Insert every row; answers the workshop's new key."""
        for model in models:
            label = model._meta.label
            for row in rows.get(label, ()):
                self.new[label, row["id"]] = self._insert(model, row)
        (workshop,) = (key for (label, _), key in self.new.items() if label == "workshops.Workshop")
        return workshop

    def _insert(self, model: type[Model], row: dict[str, Any]) -> int:
        made = course_rows.rename(model, row, self.new)
        for field in course_rows.keys_of(model):
            old = made.get(field.column)
            if old is not None:
                made[field.column] = self._key(field.remote_field.model, old, null=field.null)
        del made["id"]
        fresh = safekeeping_rows.from_row(model, made)
        fresh.save_base(raw=True, force_insert=True)
        return int(fresh.pk)

    def _key(self, target: type[Model], old: int, *, null: bool) -> int | None:
        if target is User:
            return self.users.get(old)
        if null:
            return self.new.get((target._meta.label, old))
        return self.new[target._meta.label, old]
