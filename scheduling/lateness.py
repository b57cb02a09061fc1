"""How each step stands against the posted plan: waiting, due, running, over; and how late."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import models

from scheduling.clocking import Times
from scheduling.models import Step

ON_TIME_MIN = 5
"""Up to so many minutes is on time: common practice, no source."""


class Phase(models.TextChoices):
    """Where a step is in its own life."""

    WAITING = "waiting", "to come"
    DUE = "due", "due"
    RUNNING = "running", "running"
    OVER = "over", "done"


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
        return self.late_min > ON_TIME_MIN

    @property
    def may_start(self) -> bool:
        """Whether the button to press next is "started"."""
        return self.phase in {Phase.WAITING, Phase.DUE}

    @property
    def may_finish(self) -> bool:
        """Whether the button to press next is "finished"."""
        return self.phase == Phase.RUNNING

    @property
    def ends_at(self) -> datetime:
        """When it ended, or is expected to."""
        if self.times.finished:
            return self.times.finished
        if self.times.started:
            return self.times.started + timedelta(minutes=self.step.minutes)
        return self.step.ends_at


def standings(
    steps: Iterable[Step],
    times: Mapping[str, Times],
    *,
    now: datetime,
    soon: timedelta = timedelta(0),
) -> dict[str, Standing]:
    """Each step's standing, by its code; steps must be loaded with their sheet's day."""
    return {
        step.code: _standing(step, times.get(step.code, Times()), now=now, soon=soon)
        for step in steps
    }


def _standing(step: Step, times: Times, *, now: datetime, soon: timedelta) -> Standing:
    zone = step.run_sheet.day.workshop.zone

    def clock(moment: datetime) -> str:
        return f"{moment.astimezone(zone):%H:%M}"

    if times.finished:
        late = _minutes(times.finished - step.ends_at)
        began = f"{clock(times.started)} to " if times.started else "until "
        phase, words = Phase.OVER, f"done, {began}{clock(times.finished)}"
    elif times.started:
        over = _minutes(now - times.started) - step.minutes
        late = max(_minutes(times.started - step.starts_at), _minutes(now - step.ends_at))
        phase, words = Phase.RUNNING, f"running since {clock(times.started)}"
        if over > 0:
            words += f", {over} min longer than planned"
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
    if late > ON_TIME_MIN:
        words += f", {late} min late"
    return Standing(step=step, phase=phase, times=times, late_min=max(0, late), sentence=words)


def _minutes(length: timedelta) -> int:
    return int(length.total_seconds() // 60)


def latest(found: Mapping[str, Standing]) -> Standing | None:
    """The running or due step that is latest, if any is late: what to look at first."""
    open_ones = [one for one in found.values() if one.phase in {Phase.DUE, Phase.RUNNING}]
    late = [one for one in open_ones if one.is_late and not one.step.stage.unattended]
    return max(late, key=lambda one: one.late_min, default=None)
