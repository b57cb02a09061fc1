"""The only writer of what really happened: starts, pauses, finishes, mistakes."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction

from scheduling.models import Actual, Mark, RunSheet, Step
from workshops.models import Day, Enrolment, Topic, User
from workshops.pulse import beat

PAUSING = {Mark.PAUSED, Mark.RESUMED}
AHEAD = timedelta(minutes=2)
"""A phone's clock may run ahead of the laptop's by so much (a judgement, no source)."""


LATE = timedelta(minutes=5)
"""Up to so much is on time: common practice, no source."""


class MarkRefusedError(Exception):
    """The time cannot be right; the sentence says why, and nothing is written."""


Pause = tuple[datetime, datetime | None]
"""From when, and until when; None while it lasts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """When a step really started, paused and finished, as far as it is known."""

    started: datetime | None = None
    finished: datetime | None = None
    pauses: tuple[Pause, ...] = ()

    @property
    def paused_since(self) -> datetime | None:
        """When the pause that lasts now began."""
        if self.finished or not self.pauses or self.pauses[-1][1]:
            return None
        return self.pauses[-1][0]

    def paused_until(self, moment: datetime) -> timedelta:
        """How long it has stood still up to a moment, in all."""
        spans = (max(timedelta(0), (end or moment) - start) for start, end in self.pauses)
        return sum(spans, timedelta(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """One press of a button: what, when, by whom, and the press's own name."""

    mark: Mark
    at: datetime
    by: User | None
    client_id: uuid.UUID
    by_enrolment: Enrolment | None = None


def standing(rows: Iterable[Actual]) -> dict[str, Times]:
    """What counts now, by step; rows in the order they were written.

    Of a start or a finish the newest row; of pauses all that were not taken back.
    """
    newest: dict[tuple[str, str], datetime | None] = {}
    stops: dict[str, list[tuple[str, datetime]]] = {}
    for row in rows:
        seen = stops.setdefault(row.code, [])
        if row.mark not in PAUSING:
            newest[row.code, row.mark] = row.at
        elif row.at is not None:
            seen.append((row.mark, row.at))
        elif seen:
            seen.pop()
    return {
        code: Times(
            started=newest.get((code, Mark.STARTED)),
            finished=newest.get((code, Mark.FINISHED)),
            pauses=_pauses(seen),
        )
        for code, seen in stops.items()
    }


def _pauses(seen: list[tuple[str, datetime]]) -> tuple[Pause, ...]:
    """Pairs of a pause and the going on after it."""
    pauses: list[Pause] = []
    for mark, at in seen:
        if mark == Mark.PAUSED:
            pauses.append((at, None))
        elif pauses and pauses[-1][1] is None:
            pauses[-1] = (pauses[-1][0], at)
    return tuple(pauses)


def times_of(day: Day) -> dict[str, Times]:
    """The same for one day: one query."""
    return standing(Actual.objects.filter(day=day))


@transaction.atomic
def mark(day: Day, code: str, seen: Seen, *, now: datetime) -> Actual:
    """Write that a step of the posted sheet started or finished.

    The second arrival of a press answers with the row of the first. Raises
    :class:`MarkRefusedError` for a step that is not posted and for a time that cannot be right.
    """
    earlier = Actual.objects.filter(client_id=seen.client_id).first()
    if earlier:
        return earlier
    step = _posted_step(day, code)
    _check(step, seen, times_of(day).get(code, Times()), now=now)
    # A phone a little ahead means now.
    at = min(seen.at, now)
    values = {"day": day, "code": code, "mark": seen.mark, "at": at, "by": seen.by}
    try:
        with transaction.atomic():
            made = Actual.objects.create(
                client_id=seen.client_id, by_enrolment=seen.by_enrolment, **values
            )
            beat(day.workshop_id, Topic.CLOCK)
            return made
    except IntegrityError:
        # The same press came in twice at once.
        return Actual.objects.get(client_id=seen.client_id)


@transaction.atomic
def take_back(day: Day, code: str, *, by: User | None, client_id: uuid.UUID) -> Actual:
    """Take the newest mark of a step back; its row stays, and a new one says that it was wrong."""
    earlier = Actual.objects.filter(client_id=client_id).first()
    if earlier:
        return earlier
    known = times_of(day).get(code, Times())
    if known.finished:
        which = Mark.FINISHED
    elif known.pauses:
        which = Mark.RESUMED if known.pauses[-1][1] else Mark.PAUSED
    elif known.started:
        which = Mark.STARTED
    else:
        raise MarkRefusedError("There is no time to take back for this step.")
    made = Actual.objects.create(day=day, code=code, mark=which, by=by, client_id=client_id)
    beat(day.workshop_id, Topic.CLOCK)
    return made


@transaction.atomic
def mark_as_planned(day: Day, *, by: User | None, now: datetime) -> int:
    """Take what nobody marked, and should have happened by now, as it was posted.

    Not the steps of a hog that come after one that was marked late: they cannot have been on time.
    Returns how many steps were marked. Pressing twice adds nothing.
    """
    posted = Step.objects.filter(run_sheet__in=RunSheet.objects.posted().filter(day=day))
    steps = as_posted(posted.order_by("starts_at"), times_of(day), now=now)
    rows = []
    for step in steps:
        marks = [(Mark.STARTED, step.starts_at)]
        if step.ends_at <= now:
            marks.append((Mark.FINISHED, step.ends_at))
        rows += [Actual(day=day, code=step.code, mark=which, at=at, by=by) for which, at in marks]
    Actual.objects.bulk_create(rows)
    beat(day.workshop_id, Topic.CLOCK)
    return len(steps)


def as_posted(steps: Iterable[Step], known: Mapping[str, Times], *, now: datetime) -> list[Step]:
    """The steps that nobody marked and that may have gone as posted; ``steps`` in time order."""
    ordered = list(steps)
    late_from = _late_from(ordered, known)
    return [
        step
        for step in ordered
        if step.starts_at <= now
        and known.get(step.code, Times()) == Times()
        and not (step.animal_id in late_from and step.starts_at >= late_from[step.animal_id])
    ]


def _late_from(steps: Iterable[Step], known: Mapping[str, Times]) -> dict[int | None, datetime]:
    """By hog: the posted start of the first step that really started, or ended, late."""
    late: dict[int | None, datetime] = {}
    for step in steps:
        times = known.get(step.code, Times())
        started = times.started and times.started - step.starts_at > LATE
        ended = times.finished and times.finished - step.ends_at > LATE
        if step.animal_id is not None and (started or ended):
            late.setdefault(step.animal_id, step.starts_at)
    return late


def _posted_step(day: Day, code: str) -> Step:
    step = (
        Step.objects.filter(run_sheet__in=RunSheet.objects.posted().filter(day=day), code=code)
        .select_related("stage", "animal", "run_sheet__day__workshop")
        .first()
    )
    if step is None:
        raise MarkRefusedError(
            "This step is not on the posted run sheet. Post the plan first; then mark its times."
        )
    return step


def _check(step: Step, seen: Seen, known: Times, *, now: datetime) -> None:
    zone = step.run_sheet.day.workshop.zone

    def clock(moment: datetime) -> str:
        return f"{moment.astimezone(zone):%H:%M}"

    at = seen.at
    if at > now + AHEAD:
        raise MarkRefusedError(
            f"{step} cannot have {seen.mark} at {clock(at)}: it is {clock(now)}. "
            "Type a time that is past."
        )
    if at < step.run_sheet.day.midnight:
        raise MarkRefusedError(f"{clock(at)} is before the day of {step} began.")
    if seen.mark in PAUSING:
        _check_pause(step, seen, known, clock)
    if seen.mark == Mark.FINISHED and known.started and at <= known.started:
        raise MarkRefusedError(
            f"{step} started at {clock(known.started)} and cannot have finished at {clock(at)}. "
            "Type a later time, or take the start back."
        )
    if seen.mark == Mark.STARTED and known.finished and at >= known.finished:
        raise MarkRefusedError(
            f"{step} finished at {clock(known.finished)} and cannot have started at {clock(at)}. "
            "Type an earlier time, or take the finish back."
        )


def _check_pause(step: Step, seen: Seen, known: Times, clock: Callable[[datetime], str]) -> None:
    """A pause lies inside a step that runs, and is over before the next begins."""
    if known.started is None or known.finished:
        raise MarkRefusedError(f"{step} is not running, so it has no pause. Press Started first.")
    since = known.paused_since
    if seen.mark == Mark.PAUSED and since:
        raise MarkRefusedError(f"{step} has been paused since {clock(since)}. Press Go on first.")
    if seen.mark == Mark.RESUMED and since is None:
        raise MarkRefusedError(f"{step} is not paused.")
    last = since or (known.pauses[-1][1] if known.pauses else None) or known.started
    if seen.at < last:
        raise MarkRefusedError(
            f"{step} cannot have {seen.mark.label} at {clock(seen.at)}, before what was marked at "
            f"{clock(last)}. Type a later time."
        )
