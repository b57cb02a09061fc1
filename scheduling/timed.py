"""How long each stage really took beside how long it was planned, and what next year is to plan.

The only writer of the minutes that a clone of the course takes over.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from statistics import median

from django.db import transaction

from scheduling.clocking import Times, standing
from scheduling.models import Actual, Step
from stations.models import NextTiming, Stage
from workshops.models import Workshop

ENOUGH = 3
"""From so many timings on, their own least and most are the range (a judgement, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """Least, expected and most minutes."""

    least: int
    expected: int
    most: int

    def __str__(self) -> str:
        return f"{self.least}, {self.expected}, {self.most} min"


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedStage:
    """One stage: planned, timed, and what follows for the next course."""

    stage: Stage
    minutes: tuple[int, ...]
    planned: Range
    kept: NextTiming | None

    @property
    def suggested(self) -> Range:
        """What these timings say; few of them only widen what was planned."""
        return suggested(self.planned, self.minutes)

    @property
    def words(self) -> str:
        """How it went, in words."""
        timed = f"timed {len(self.minutes)} {'time' if len(self.minutes) == 1 else 'times'}"
        middle = round(median(self.minutes))
        if middle > self.planned.most:
            return f"{timed}: longer than the most that was planned"
        if middle < self.planned.least:
            return f"{timed}: shorter than the least that was planned"
        return f"{timed}: within what was planned"


def suggested(planned: Range, minutes: Iterable[int]) -> Range:
    """The range for the next course: the middle timing, and the shortest and longest.

    With fewer than three timings the planned ends stay where they are wider: one lucky hog is no
    range.

    Args:
        planned: the range that was planned with, minutes.
        minutes: what was timed, whole minutes, 1 or more; at least one.

    >>> str(suggested(Range(least=5, expected=8, most=12), [9, 14, 10]))
    '9, 10, 14 min'
    >>> str(suggested(Range(least=5, expected=8, most=12), [14]))
    '5, 14, 14 min'
    """
    timed = sorted(minutes)
    least, most = timed[0], timed[-1]
    if len(timed) < ENOUGH:
        least, most = min(least, planned.least), max(most, planned.most)
    return Range(least=least, expected=round(median(timed)), most=most)


def took(step: Step, times: Times) -> int | None:
    """Whole minutes from start to finish without the pauses, rounded up; None if not timed.

    A step whose start and finish are the posted ones was taken as planned: nobody timed it.
    """
    if times.started is None or times.finished is None:
        return None
    if (times.started, times.finished) == (step.starts_at, step.ends_at):
        return None
    worked = times.finished - times.started - times.paused_until(times.finished)
    return max(1, math.ceil(worked.total_seconds() / 60))


def posted_steps(workshop: Workshop) -> list[Step]:
    """Every step of what is posted, in the order of the days: one query."""
    steps = Step.objects.filter(
        run_sheet__day__workshop=workshop, run_sheet__status="posted"
    ).select_related("stage__next_timing", "station", "animal", "run_sheet__day__workshop")
    return list(steps.order_by("starts_at", "station__order", "code"))


def times_by_day(workshop: Workshop) -> dict[int, dict[str, Times]]:
    """What really happened, by day and step: one query."""
    rows: dict[int, list[Actual]] = {}
    for row in Actual.objects.filter(day__workshop=workshop):
        rows.setdefault(row.day_id, []).append(row)
    return {day: standing(found) for day, found in rows.items()}


def timed_stages(
    steps: Iterable[Step], times: Mapping[int, Mapping[str, Times]]
) -> list[TimedStage]:
    """Each stage that was timed at least once, in the order of the work."""
    minutes: dict[int, list[int]] = {}
    stages: dict[int, Stage] = {}
    for step in steps:
        of_day = times.get(step.run_sheet.day_id, {})
        found = took(step, of_day.get(step.code, Times()))
        if found is not None:
            stages[step.stage_id] = step.stage
            minutes.setdefault(step.stage_id, []).append(found)
    ordered = sorted(stages.values(), key=lambda stage: (stage.day_number, stage.order))
    return [
        TimedStage(
            stage=stage,
            minutes=tuple(minutes[stage.pk]),
            planned=Range(least=stage.least_min, expected=stage.expected_min, most=stage.most_min),
            kept=getattr(stage, "next_timing", None),
        )
        for stage in ordered
    ]


@transaction.atomic
def keep_for_next(workshop: Workshop, *, now: datetime) -> int:
    """Let a clone of this course plan with what was timed; answers for how many stages.

    Pressing twice writes the same. This course's own minutes stay as they were planned.
    """
    found = timed_stages(posted_steps(workshop), times_by_day(workshop))
    for one in found:
        values = one.suggested
        NextTiming.objects.update_or_create(
            stage=one.stage,
            defaults={
                "least_min": values.least,
                "expected_min": values.expected,
                "most_min": values.most,
                "timed": len(one.minutes),
                "kept_at": now,
            },
        )
    return len(found)


def drop_for_next(workshop: Workshop) -> int:
    """A clone plans with this course's own minutes again."""
    return NextTiming.objects.filter(stage__workshop=workshop).delete()[0]
