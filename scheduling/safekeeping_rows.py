"""The rows of every table as JSON lines, and back: the same on SQLite and on PostgreSQL.

The models come from the migrations, not from the code, so that rows written by an earlier
release are read with the columns they had then.
"""

from __future__ import annotations

import base64
import json
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.apps.registry import Apps
from django.core.management.color import no_style
from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.loader import MigrationLoader

CHUNK = 500

Row = dict[str, Any]  # Any: whatever a column holds, as JSON has it


def state_at(connection: BaseDatabaseWrapper, leaves: Iterable[tuple[str, str]]) -> Apps:
    """The models as they were after these migrations.

    Raises:
        NodeNotFoundError: one of them is not known to this code.
    """
    loader = MigrationLoader(connection, replace_migrations=False)
    nodes = [(app, name) for app, name in leaves if app in loader.migrated_apps]
    return loader.project_state(nodes).apps


def leaves_of(connection: BaseDatabaseWrapper, *, applied: bool) -> list[tuple[str, str]]:
    """The last migration of each app: in this database if ``applied``, else in this code.

    An app without any in the database is left out.
    """
    loader = MigrationLoader(connection)
    if not applied:
        return sorted(loader.graph.leaf_nodes())
    done = set(loader.applied_migrations)
    return sorted(
        node
        for node in done
        if node in loader.graph.nodes
        and not any(
            child.key in done and child.key[0] == node[0]
            for child in loader.graph.node_map[node].children
        )
    )


def tables(state: Apps) -> list[type[models.Model]]:
    """Each model that has a table of its own, in the order of the tables' names."""
    every = state.get_models(include_auto_created=True)
    kept = [m for m in every if m._meta.managed and not m._meta.proxy]
    return sorted(kept, key=lambda model: model._meta.db_table)


def read_rows(model: type[models.Model], *, using: str) -> Iterator[Row]:
    """Every row of a table by its key; the caller holds the transaction that freezes it."""
    rows = model._base_manager.using(using).order_by("pk")
    for row in rows.iterator(chunk_size=CHUNK):
        yield as_row(row)


def as_row(row: models.Model) -> Row:
    """One row as JSON has it, by the names of its columns."""
    fields = row._meta.concrete_fields
    return {field.column: _written(field, getattr(row, field.attname)) for field in fields}


def write_rows(model: type[models.Model], rows: Sequence[Row], *, using: str) -> None:
    """Insert rows as they were: no time is stamped anew and no default filled in."""
    for made in [from_row(model, row) for row in rows]:
        made.save_base(raw=True, force_insert=True, using=using)


def from_row(model: type[models.Model], row: Row) -> models.Model:
    """An unsaved row; a column that is not named has the model's default."""
    named = {f.attname: f for f in model._meta.concrete_fields if f.column in row}
    return model(**{name: _read(field, row[field.column]) for name, field in named.items()})


def clear(connection: BaseDatabaseWrapper, state: Apps) -> None:
    """Delete every row of every table, without asking each for what hangs on it."""
    with connection.cursor() as cursor:
        for model in tables(state):
            name = connection.ops.quote_name(model._meta.db_table)
            cursor.execute(f"DELETE FROM {name}")  # noqa: S608  (a table's own name)


def set_sequences(connection: BaseDatabaseWrapper, state: Apps) -> None:
    """Have the next new row of each table come after the last one that was put in."""
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), tables(state)):
            cursor.execute(statement)


def as_line(row: Row) -> bytes:
    """One row as one line of JSON; equal rows give equal lines."""
    text = json.dumps(row, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return text.encode() + b"\n"


def from_line(line: bytes) -> Row:
    """The row a line holds."""
    row: Row = json.loads(line)
    return row


def _written(field: models.Field[Any, Any], value: Any) -> Any:  # Any: a column's value
    if isinstance(field, models.JSONField):
        return value
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, Decimal | UUID):
        return str(value)
    if isinstance(value, bytes | memoryview):
        return base64.b64encode(bytes(value)).decode()
    if isinstance(field, models.DurationField) and value is not None:
        return value.total_seconds()
    return value


def _read(field: models.Field[Any, Any], value: Any) -> Any:  # Any: as above
    if value is None or isinstance(field, models.JSONField):
        return value
    if isinstance(field, models.BinaryField):
        return base64.b64decode(value)
    target = field.target_field if isinstance(field, models.ForeignKey) else field
    return target.to_python(value)
