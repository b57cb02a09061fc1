"""When to light the fire and the kettle: back from the first hog of the run sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

from django import forms

from scheduling.models import SheetStatus, Step
from stations.models import Station

LAY_MIN = 10
"""To lay the fire and let it catch, or to couple and try the burner (a judgement, no source)."""


class Lengths(forms.Form):
    """What the scald plan found, in minutes; either may be missing."""

    heat = forms.IntegerField(min_value=0, max_value=24 * 60, required=False)
    boil = forms.IntegerField(min_value=0, max_value=24 * 60, required=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """One time of the scald day and what happens then."""

    at: datetime
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaldTimes:
    """The scald day at one station, in time order; ``status`` says whose times they are."""

    moments: tuple[Moment, ...]
    status: str
    gaps_min: tuple[int, ...]


def scald_steps(station: Station) -> list[Step]:
    """The hogs' steps at a station: as posted, else as drafted; one query."""
    rows = (
        Step.objects.filter(station=station, animal__isnull=False)
        .exclude(run_sheet__status=SheetStatus.PAST)
        .select_related("run_sheet", "animal", "stage")
        .order_by("starts_at")
    )
    posted = [row for row in rows if row.run_sheet.status == SheetStatus.POSTED]
    return posted or list(rows)


def scald_times(
    steps: Sequence[Step], *, heat_min: int | None, boil_min: int | None
) -> ScaldTimes | None:
    """Count back from the first hog; None if the run sheet has none at this station."""
    if not steps:
        return None
    first = steps[0]
    moments = [Moment(at=step.starts_at, what=f"{step.animal} goes in") for step in steps]
    if heat_min is not None:
        light = first.starts_at - timedelta(minutes=heat_min + LAY_MIN)
        what = f"Light the fire: {heat_min} min to heat, {LAY_MIN} to lay it and let it catch"
        moments.append(Moment(at=light, what=what))
    if boil_min is not None:
        light = first.starts_at - timedelta(minutes=boil_min + LAY_MIN)
        what = f"Light the kettle: {boil_min} min to the boil, {LAY_MIN} to set it up"
        moments.append(Moment(at=light, what=what))
    gaps = [then.starts_at - step.ends_at for step, then in pairwise(steps)]
    return ScaldTimes(
        moments=tuple(sorted(moments, key=lambda moment: moment.at)),
        status=SheetStatus(first.run_sheet.status).label,
        gaps_min=tuple(int(gap.total_seconds() // 60) for gap in gaps),
    )
