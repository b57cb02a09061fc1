"""How every log after the kill is written: once for each press, and corrected without a rubber.

Who races: a phone on bad reception sends the same post twice, and two people may correct one row
at once. So every row carries an id that the phone made, and a row is corrected under its lock.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from django.db import IntegrityError, transaction
from django.db.models import Model

from stations.dipping import Act
from stations.errors import RecordRefused
from stations.models import Noted

M = TypeVar("M", bound=Model)
N = TypeVar("N", bound=Noted)


def columns(act: Act) -> dict[str, Any]:
    """What every row of these logs keeps of a press. Any: columns of several types."""
    return {
        "client_id": act.client_id,
        "at": act.at,
        "received_at": act.now,
        "by_user": act.by.user,
    }


def once(model: type[M], act: Act, write: Callable[[], M], *, of: dict[str, Any]) -> M:
    """What the press writes, or what it has written before; ``of`` is what it must be about.

    Raises RecordRefused for an id that was used for something else: whoever went back and changed
    the number must not be told that it was written.
    """
    if before := sent_before(model, act, of=of):
        return before
    try:
        with transaction.atomic():
            return write()
    except IntegrityError:
        # The same press came through twice at the very same time.
        if before := sent_before(model, act, of=of):
            return before
        raise


def sent_before(model: type[M], act: Act, *, of: dict[str, Any]) -> M | None:
    """The row that this press has made already. Any: the values of ``of`` are rows."""
    before = model._default_manager.filter(client_id=act.client_id).first()
    if before is not None and any(getattr(before, name) != value for name, value in of.items()):
        raise RecordRefused("That button's id was used before. Load the page again, then press it.")
    return before


def correct(row: N, act: Act, *, of: dict[str, Any], **told: Any) -> N:
    """A new row that stands in for ``row``, with what was told; the old one stays to be read.

    It keeps the old row's moment unless ``at`` is told. Raises RecordRefused for a row that was
    corrected before. Any: columns of whichever log it is.
    """
    model = type(row)

    def write() -> N:
        # Two who correct at once: the second waits here, then is told of the first.
        held = model._default_manager.select_for_update().get(pk=row.pk)
        if model._default_manager.filter(corrects=held).exists():
            raise RecordRefused(
                "That entry was corrected before. Load the page again and correct the newer one."
            )
        return model._default_manager.create(
            **columns(act) | {"at": row.at, "corrects": held} | of | told
        )

    return once(model, act, write, of=of | {"corrects_id": row.pk})


def take_back(row: N, act: Act, *, of: dict[str, Any], **told: Any) -> N:
    """The row was a mistake and counts for nothing. Any: as above."""
    return correct(row, act, of=of, is_void=True, **told)
