"""One more station like another: a second trough, a second bench, a whole second track."""

from __future__ import annotations

from string import ascii_uppercase

from django.db import transaction

from stations.models import HandlingSetup, HazardNote, Stage, Station, Trough
from workshops.cloning import copy_of, copy_rows
from workshops.models import Workshop

LOOKS = 10


class TwinRefusedError(Exception):
    """No further station can be made; the sentence says why."""


@transaction.atomic
def twin(station: Station, *, seen: int) -> Station:
    """A station like this one, where each of its stages may be done as well.

    Trough, how a hog is moved there and safety notes come along; the duties stay those of the
    stages. ``seen`` is how many stations there were when it was asked for: a second press makes no
    second twin. Raises :class:`TwinRefusedError`.
    """
    workshop = Workshop.objects.select_for_update().get(pk=station.workshop_id)
    there = list(Station.objects.filter(workshop=workshop))
    if len(there) != seen:
        raise TwinRefusedError(
            f"There are {len(there)} stations now, not {seen} as when you looked. Look again."
        )
    letters = {one.letter for one in there}
    letter = next((one for one in ascii_uppercase if one not in letters), None)
    if letter is None:
        raise TwinRefusedError("Every letter from A to Z is taken; retire a station first.")
    made = copy_of(
        station,
        name=_free_name(station.name, {one.name for one in there}),
        letter=letter,
        look=len(there) % LOOKS + 1,
    )
    made.save()
    copy_rows(Trough.objects.filter(station=station), station=made)
    copy_rows(HandlingSetup.objects.filter(station=station), station=made)
    copy_rows(HazardNote.objects.filter(station=station, duty__isnull=True), station=made)
    done_there = Stage.objects.filter(workshop=workshop, retired=False)
    for stage in done_there.filter(station=station) | done_there.filter(or_at=station):
        stage.or_at.add(made)
    return made


def _free_name(name: str, taken: set[str]) -> str:
    """The name with the next number that no station has: "Trough 2"."""
    stem = name.rstrip(" 0123456789")[:56]
    number = 2
    while f"{stem} {number}" in taken:
        number += 1
    return f"{stem} {number}"
