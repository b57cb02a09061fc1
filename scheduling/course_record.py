"""How a course went: what was promised and what happened, times, costs, incidents."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from scheduling import log_lines
from scheduling.clocking import Times
from scheduling.log_lines import Asked, LogLine
from scheduling.models import RunSheet, Step
from scheduling.odds import EndOfDay, end_of_day, percent
from scheduling.timed import TimedStage, posted_steps, timed_stages, times_by_day
from stations import access as station_access
from workshops import access as people_access
from workshops import budgeting, ledger
from workshops.budgeting import Budget
from workshops.models import Animal, Day, Enrolment, User, Workshop

ON_TIME = timedelta(minutes=5)
"""Up to so much is on time: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayWent:
    """One day: its odds, and how it ended."""

    day: Day
    odds: EndOfDay | None
    planned_end: datetime | None
    ended: datetime | None
    marked: int
    steps: int

    @property
    def sentences(self) -> tuple[str, ...]:
        """What was promised and what happened, in words."""
        if self.planned_end is None:
            return ("Nothing was posted for this day.",)
        if self.ended is None:
            return (
                f"Planned to end at {self.planned_end:%H:%M}. Its last step was not marked, so "
                f"nobody knows when it ended; {self.marked} of {self.steps} steps were timed.",
            )
        late = self.ended - self.planned_end
        said = [
            f"Planned to end at {self.planned_end:%H:%M}, ended at {self.ended:%H:%M}: "
            f"{_by(late)}. {self.marked} of {self.steps} steps were timed."
        ]
        if self.odds:
            said.append(_against(self.odds, self.ended))
        return tuple(said)


def _by(late: timedelta) -> str:
    minutes = round(abs(late).total_seconds() / 60)
    if abs(late) <= ON_TIME:
        return "on time"
    return f"{minutes} min {'later' if late > timedelta(0) else 'earlier'}"


def _against(odds: EndOfDay, ended: datetime) -> str:
    """Where the real end lies among the runs."""
    share = max((part for moment, part in odds.curve if moment <= ended), default=0.0)
    kept = "kept" if ended <= odds.promise else "not kept"
    return (
        f"The promise of {odds.promise:%H:%M} (four runs of five) was {kept}; "
        f"{percent(share)} of the runs had ended by {ended:%H:%M}."
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseRecord:
    """One course, as it was."""

    workshop: Workshop
    days: tuple[DayWent, ...]
    stages: tuple[TimedStage, ...]
    incidents: tuple[LogLine, ...]
    hogs: tuple[Animal, ...]
    seats: tuple[Enrolment, ...]
    budget: Budget | None
    paid: int | None

    @property
    def kept(self) -> int:
        """How many stages the next course takes timings for."""
        return sum(one.kept is not None for one in self.stages)

    @property
    def costs_a_seat(self) -> int | None:
        """Cents a confirmed seat, rounded down; None without seats or for those without money."""
        if self.budget is None or not self.budget.filled:
            return None
        return self.budget.costs // self.budget.filled


def record_of(user: User, workshop: Workshop) -> CourseRecord:
    """A fixed number of queries; money for the organizer alone, health for those who see it."""
    steps, times = posted_steps(workshop), times_by_day(workshop)
    sheets = list(RunSheet.objects.posted().filter(day__workshop=workshop))
    sees_money = user.has_perm(people_access.SEE_MONEY)
    sees_health = user.has_perm(people_access.SEE_HEALTH)
    every = log_lines.lines(Asked(workshop=workshop, sees_health=sees_health))
    return CourseRecord(
        workshop=workshop,
        days=tuple(_days(workshop, sheets, steps, times)),
        stages=tuple(timed_stages(steps, times)),
        incidents=tuple(line for line in every if line.is_urgent),
        hogs=tuple(station_access.carcasses(user, workshop)),
        seats=tuple(people_access.enrolments(user, workshop).confirmed()),
        budget=budgeting.budget(workshop) if sees_money else None,
        paid=sum(one.paid for one in ledger.accounts(workshop)) if sees_money else None,
    )


def _days(
    workshop: Workshop,
    sheets: Sequence[RunSheet],
    steps: Iterable[Step],
    times: dict[int, dict[str, Times]],
) -> Iterable[DayWent]:
    by_day = {sheet.day_id: sheet for sheet in sheets}
    rows = list(steps)
    for day in workshop.days.all():
        day.workshop = workshop
        sheet = by_day.get(day.pk)
        if sheet:
            sheet.day = day
        yield _day(day, sheet, [one for one in rows if one.run_sheet.day_id == day.pk], times)


def _day(
    day: Day, sheet: RunSheet | None, steps: list[Step], times: dict[int, dict[str, Times]]
) -> DayWent:
    """What runs on by itself does not end a day."""
    seen = times.get(day.pk, {})
    worked = [one for one in steps if not one.stage.unattended]
    last = max(worked, key=lambda one: one.ends_at, default=None)
    ends = [seen[one.code].finished for one in worked if one.code in seen]
    over = last is not None and last.code in seen and seen[last.code].finished is not None
    zone = day.workshop.zone
    real = max((end for end in ends if end), default=None) if over else None
    return DayWent(
        day=day,
        odds=end_of_day(sheet) if sheet else None,
        planned_end=last.ends_at.astimezone(zone) if last else None,
        # To the minute, as everything else is said.
        ended=real.astimezone(zone).replace(second=0, microsecond=0) if real else None,
        marked=sum(1 for one in worked if one.code in seen and seen[one.code].finished),
        steps=len(worked),
    )
