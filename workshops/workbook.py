"""Everything that is known of one workshop, as tables: a sheet for each kind of row.

A model is found by its foreign keys, so that one which is added later is in it without a word here;
what tells a private link, or serves the machine alone, is named and left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from django.apps import apps
from django.db.models import Field, ForeignKey, Model, QuerySet

from workshops import exchange
from workshops.models import CardLink, FeedLink, Job, PeopleImport, Workshop
from workshops.tables import Row

# What tells a private link, or is of no use outside.
LEFT_OUT = {"id", "workshop", "form_id", "client_id"}
MODELS_LEFT_OUT: set[type[Model]] = {CardLink, FeedLink, PeopleImport, Job}
TITLES = {"animal": "hogs", "ownership": "owners", "ledger entry": "ledger", "workshop": "course"}
# How far from a row lie the names that its cells are told by, such as a step's hog.
NAMES_WITHIN = 3


def sheets(workshop: Workshop, chapters: Iterable[str]) -> dict[str, list[Row]]:
    """A table for each kind of row of these apps; people first, in the columns that come in."""
    seats = list(workshop.enrolments.with_answers())
    made = {"people": exchange.people_table(workshop, seats, with_health=True)}
    for chapter in chapters:
        for model in kept(chapter):
            made[title(model)] = _table(model, rows(model, workshop))
    return made


def kept(chapter: str) -> Iterator[type[Model]]:
    """The models of an app whose rows belong to one workshop."""
    for model in apps.get_app_config(chapter).get_models():
        if model not in MODELS_LEFT_OUT and way_to_workshop(model) is not None:
            yield model


def title(model: type[Model]) -> str:
    """What the model's sheet is called."""
    name = str(model._meta.verbose_name)
    plural = f"{name[:-1]}ies" if name.endswith("y") else f"{name}s"
    return TITLES.get(name, plural)


def way_to_workshop(model: type[Model]) -> str | None:
    """The foreign keys from a row to its workshop, as a lookup; None if there is no way.

    The shortest of those that are never empty: by one that may be, rows would be missed.
    """
    if model is Workshop:
        return "pk"
    ways: list[tuple[type[Model], tuple[str, ...]]] = [(model, ())]
    seen = {model}
    for here, way in ways:
        for name, there in _keys(here, nullable=False):
            if there is Workshop:
                return "__".join((*way, name))
            if there not in seen:
                seen.add(there)
                ways.append((there, (*way, name)))
    return None


def rows(model: type[Model], workshop: Workshop) -> QuerySet[Model]:
    """The model's rows of the workshop with what their cells name, in a fixed number of queries."""
    way = way_to_workshop(model)
    found = model._default_manager.filter(**{str(way): workshop.pk}).order_by("pk")
    names = list(_names(model, NAMES_WITHIN))
    many = [field.name for field in model._meta.many_to_many]
    return found.select_related(*names).prefetch_related(*many)


def _keys(model: type[Model], *, nullable: bool) -> Iterator[tuple[str, type[Model]]]:
    """Each foreign key's name, and the model that it points at."""
    for field in model._meta.concrete_fields:
        if isinstance(field, ForeignKey) and (nullable or not field.null):
            yield field.name, field.remote_field.model


def _names(model: type[Model], within: int) -> Iterator[str]:
    """The lookups of what the row points at, and of what that points at."""
    always = {name for name, _ in _keys(model, nullable=False)}
    for name, there in _keys(model, nullable=True):
        yield name
        # What may be empty is named, but not what lies behind it: the joins would be too many.
        if within > 1 and (name in always or within == NAMES_WITHIN):
            yield from (f"{name}__{beyond}" for beyond in _names(there, within - 1))


def _table(model: type[Model], found: Iterable[Model]) -> list[Row]:
    fields: list[Field[object, object]] = [
        field
        for field in (*model._meta.concrete_fields, *model._meta.many_to_many)
        if field.name not in LEFT_OUT
    ]
    many = {field.name for field in model._meta.many_to_many}
    header = [field.name for field in fields]
    return [header, *([_cell(row, name, many) for name in header] for row in found)]


def _cell(row: Model, name: str, many: set[str]) -> str:
    value = getattr(row, name)
    if name in many:
        return "; ".join(str(one) for one in value.all())
    return "" if value is None else str(value)
