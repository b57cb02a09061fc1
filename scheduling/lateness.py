"""How each step stands against the posted plan: waiting, due, running, over; and how late."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import models

from scheduling.clocking import LATE, Times
from scheduling.models import Step


class Phase(models.TextChoices):
    """Where a step is in its own life."""

    WAITING = "waiting", "to come"
    DUE = "due", "due"
    PASSED = "passed", "not marked, taken as done"
    RUNNING = "running", "running"
    PAUSED = "paused", "paused"
    OVER = "over", "done"


GOING = {Phase.RUNNING, Phase.PAUSED}


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """One step against the clock."""

    step: Step
    phase: Phase
    times: Times
    late_min: int
    sentence: str
    soon: bool = False

    @property
    def is_late(self) -> bool:
        """Late enough to say so."""
        return self.late_min > LATE.total_seconds() / 60

    @property
    def late_words(self) -> str:
        """How late, in words."""
        return f"{length(self.late_min)} late"

    @property
    def may_start(self) -> bool:
        """Whether the button to press next is "started"."""
        return self.phase in {Phase.WAITING, Phase.DUE}

    @property
    def may_finish(self) -> bool:
        """Whether the button to press next is "finished"."""
        return self.phase in GOING

    @property
    def may_pause(self) -> bool:
        """Whether it runs, so that it can stand still."""
        return self.phase == Phase.RUNNING

    @property
    def may_go_on(self) -> bool:
        """Whether it stands still."""
        return self.phase == Phase.PAUSED

    @property
    def is_at_hand(self) -> bool:
        """Whether someone will press its button now or soon."""
        if self.phase in GOING:
            return not self.step.stage.unattended
        return self.phase == Phase.DUE or (self.phase == Phase.WAITING and self.soon)

    @property
    def ends_at(self) -> datetime:
        """When it ended, or is expected to."""
        if self.times.finished:
            return self.times.finished
        if self.times.started:
            paused = self.times.paused_until(self.times.paused_since or self.times.started)
            return self.times.started + timedelta(minutes=self.step.minutes) + paused
        return self.step.ends_at


def standings(
    steps: Iterable[Step],
    times: Mapping[str, Times],
    *,
    now: datetime,
    soon: timedelta = timedelta(0),
) -> dict[str, Standing]:
    """Each step's standing, by its code; steps must be loaded with their sheet's day.

    A step of a hog that nobody marked is taken as done when a later step of that hog is marked.
    """
    ordered = list(steps)
    passed = passed_by(ordered, times)
    return {
        step.code: _passed(step)
        if step.code in passed
        else _standing(step, times.get(step.code, Times()), now=now, soon=soon)
        for step in ordered
    }


def passed_by(steps: Iterable[Step], times: Mapping[str, Times]) -> dict[str, datetime]:
    """The unmarked steps of each hog before its last marked one, and when that one was marked."""
    passed: dict[str, datetime] = {}
    reached: dict[int, datetime] = {}
    for step in sorted(steps, key=lambda step: step.starts_at, reverse=True):
        if step.animal_id is None:
            continue
        mine = times.get(step.code, Times())
        seen = mine.started or mine.finished
        if seen:
            reached[step.animal_id] = seen
        elif step.animal_id in reached:
            passed[step.code] = reached[step.animal_id]
    return passed


def _passed(step: Step) -> Standing:
    return Standing(
        step=step, phase=Phase.PASSED, times=Times(), late_min=0, sentence=Phase.PASSED.label
    )


def _standing(step: Step, times: Times, *, now: datetime, soon: timedelta) -> Standing:
    zone = step.run_sheet.day.workshop.zone

    def clock(moment: datetime) -> str:
        return f"{moment.astimezone(zone):%H:%M}"

    if times.finished:
        late = _minutes(times.finished - step.ends_at)
        began = f"{clock(times.started)} to " if times.started else "until "
        phase, words = Phase.OVER, f"done, {began}{clock(times.finished)}"
    elif times.started:
        over = _minutes(now - times.started - times.paused_until(now)) - step.minutes
        late = max(_minutes(times.started - step.starts_at), _minutes(now - step.ends_at))
        phase, words = Phase.RUNNING, f"running since {clock(times.started)}"
        if since := times.paused_since:
            phase, words = Phase.PAUSED, f"paused since {clock(since)}"
        if over > 0:
            words += f", {length(over)} longer than planned"
    elif now >= step.starts_at:
        late = _minutes(now - step.starts_at)
        phase, words = Phase.DUE, "not marked as started"
    else:
        return Standing(
            step=step,
            phase=Phase.WAITING,
            times=times,
            late_min=0,
            sentence="",
            soon=step.starts_at <= now + soon,
        )
    if late > LATE.total_seconds() / 60:
        words += f", {length(late)} late"
    return Standing(step=step, phase=phase, times=times, late_min=max(0, late), sentence=words)


def _minutes(span: timedelta) -> int:
    return int(span.total_seconds() // 60)


def length(minutes: int) -> str:
    """Minutes in words.

    >>> length(45), length(125)
    ('45 min', '2 h 5 min')
    """
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest} min" if hours else f"{rest} min"


def latest(found: Mapping[str, Standing]) -> Standing | None:
    """The running or due step that is latest, if any is late: what to look at first."""
    open_ones = [one for one in found.values() if one.phase in {Phase.DUE, *GOING}]
    late = [one for one in open_ones if one.is_late and not one.step.stage.unattended]
    return max(late, key=lambda one: one.late_min, default=None)
