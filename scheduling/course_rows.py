"""Which rows belong to one course, in an order in which they can be put in again.

A model is found by its foreign keys, as for the workbook; people and their households come along,
sign-ins come as names alone, and private links stay behind.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from django.db.models import ForeignKey, JSONField, Model

from workshops import workbook
from workshops.models import Attendee, AttendeeAllergen, Household, Pulse, User, Workshop

CHAPTERS = ("workshops", "stations", "scheduling")
PEOPLE: tuple[type[Model], ...] = (Household, Attendee, AttendeeAllergen)
# A counter for pages that are open, of no use elsewhere.
LEFT_OUT: set[type[Model]] = {Pulse}
# The names of steps, people and owners hold the keys of rows: "hog7:scald", "a12", "h3".
NAMED_BY_KEY = {"hog": "workshops.Animal", "a": "workshops.Enrolment", "h": "workshops.Household",
                "s": "workshops.StaffMember", "dip": "stations.Dip",
                "break": "workshops.Break"}  # fmt: skip
NAMING_COLUMNS = {"code", "step_code", "key"}
KEYED = re.compile(rf"({'|'.join(NAMED_BY_KEY)})(\d+)")

Kept = dict[type[Model], list[Model]]
Renamed = Mapping[tuple[str, int], int]
"""A model's label and a row's old key, to its new one."""


def models_in_order() -> list[type[Model]]:
    """Every model of an archive, each after those its rows point at.

    The tables that join two models stand after both.
    """
    kept = [*PEOPLE, *(one for chapter in CHAPTERS for one in workbook.kept(chapter))]
    kept = [one for one in kept if one not in LEFT_OUT]
    kept += [through for one in kept for through in _joins(one)]
    done: list[type[Model]] = []
    waiting = dict.fromkeys(kept)
    while waiting:
        ready = [one for one in waiting if not (_points_at(one) & waiting.keys() - {one})]
        if not ready:
            raise AssertionError(f"These models point at each other in a ring: {list(waiting)}.")
        done += ready
        for one in ready:
            del waiting[one]
    return done


def _joins(model: type[Model]) -> list[type[Model]]:
    fields = model._meta.many_to_many
    found = [field.remote_field.through for field in fields]
    return [one for one in found if one is not None and one._meta.auto_created]


def _points_at(model: type[Model]) -> set[type[Model]]:
    return {field.remote_field.model for field in keys_of(model)}


def keys_of(model: type[Model]) -> list[ForeignKey[Any, Any]]:  # Any: whatever it points at
    """The foreign keys of a model."""
    return [one for one in model._meta.concrete_fields if isinstance(one, ForeignKey)]


def rows_of(workshop: Workshop) -> Kept:
    """Every row of the course by model, in the order of :func:`models_in_order`.

    A fixed number of queries: one or two for each model.
    """
    order = models_in_order()
    found: Kept = {one: [] for one in order}
    for model in order:
        if model not in PEOPLE:
            found[model] = _of_course(model, workshop)
    seats = _named(found, Attendee)
    found[Attendee] = list(Attendee.objects.filter(pk__in=seats).order_by("pk"))
    found[AttendeeAllergen] = list(
        AttendeeAllergen.objects.filter(attendee__in=seats).order_by("pk")
    )
    households = _named(found, Household)
    found[Household] = list(Household.objects.filter(pk__in=households).order_by("pk"))
    return found


def _of_course(model: type[Model], workshop: Workshop) -> list[Model]:
    way = workbook.way_to_workshop(model)
    return list(model._base_manager.filter(**{str(way): workshop.pk}).order_by("pk"))


def _named(found: Kept, target: type[Model]) -> set[int]:
    """The keys of one model that the rows point at."""
    return {
        value
        for model, rows in found.items()
        for field in keys_of(model)
        if field.remote_field.model is target
        for row in rows
        if (value := getattr(row, field.attname)) is not None
    }


def writers_of(found: Kept) -> dict[int, str]:
    """The sign-ins that wrote something, by key: their names, and nothing else of them."""
    keys = _named(found, User)
    return dict(User.objects.filter(pk__in=keys).order_by("pk").values_list("pk", "username"))


def rename(model: type[Model], row: dict[str, Any], new: Renamed) -> dict[str, Any]:
    """The row with the keys that stand inside its names and answers turned into new ones."""
    made = dict(row)
    if model._meta.app_label != "scheduling":
        return made
    for field in model._meta.concrete_fields:
        if isinstance(field, JSONField) or field.column in NAMING_COLUMNS:
            made[field.column] = _renamed(row.get(field.column), new)
    return made


def _renamed(value: Any, new: Renamed) -> Any:  # Any: whatever JSON holds
    if isinstance(value, str):
        return ":".join(_renamed_parts(value, new)) if " " not in value else value
    if isinstance(value, list):
        return [_renamed(one, new) for one in value]
    if isinstance(value, dict):
        return {_renamed(key, new): _renamed(one, new) for key, one in value.items()}
    return value


def _renamed_parts(value: str, new: Renamed) -> Iterator[str]:
    for part in value.split(":"):
        match = KEYED.fullmatch(part)
        key = match and new.get((NAMED_BY_KEY[match[1]], int(match[2])))
        yield f"{match[1]}{key}" if match and key else part
