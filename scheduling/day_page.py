"""All that the run-sheet page shows of one day, put together from the modules that know it."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from scheduling import (
    backwards,
    charting,
    clocking,
    comparing,
    lateness,
    lifting,
    odds,
    odds_plot,
)
from scheduling import (
    light as daylight,
)
from scheduling.backwards import Before
from scheduling.comparing import Change
from scheduling.lateness import Standing
from scheduling.lifting import Lift
from scheduling.light import DayLight
from scheduling.models import RunSheet, Step
from scheduling.odds import EndOfDay
from scheduling.odds_plot import Plot
from scheduling.timing_forms import MarkForm, TimeForm
from workshops.models import Day

SOON = timedelta(minutes=20)
"""A step to come within so long has its button at the top of the page (a judgement, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One step with everything that can be said of it and done to it."""

    step: Step
    lift: Lift | None
    why: str
    in_the_dark: bool
    standing: Standing | None
    move_form: TimeForm
    mark_form: MarkForm
    back_form: MarkForm

    @property
    def has_error(self) -> bool:
        """Whether a form of this step came back."""
        return bool(self.refusals)

    @property
    def refusals(self) -> list[str]:
        """What the form that came back was refused for."""
        forms = (self.move_form, self.mark_form)
        return [str(e) for form in forms for errors in form.errors.values() for e in errors]


@dataclass(frozen=True, slots=True, kw_only=True)
class DayPage:
    """The run sheet of a day."""

    sheet: RunSheet
    posted: RunSheet | None
    chart: charting.Chart
    paper_chart: charting.Chart
    lines: tuple[Line, ...]
    light: DayLight
    no_outdoors: bool
    end: EndOfDay | None
    plot: Plot | None
    before: tuple[Before, ...]
    changes: tuple[Change, ...]
    latest: Standing | None
    is_today: bool
    unmarked: int

    @property
    def limits(self) -> list[Mapping[str, object]]:
        """What limits the day, as the planner found by solving again."""
        found: list[Mapping[str, object]] = self.sheet.timetable.get("limits", [])
        return found

    @property
    def quality(self) -> str:
        """How good the times are, in one line."""
        kept = self.sheet.timetable
        if kept.get("by_hand"):
            return "Times were moved by hand since they were planned; nothing is proved of them."
        if kept.get("status") == "proved_best":
            return "Proved best: no plan with these numbers ends its days earlier."
        open_goals = [goal for goal in kept.get("goals", []) if goal["value"] != goal["bound"]]
        return " ".join(f"{goal['name'].capitalize()}: {goal['sentence']}" for goal in open_goals)

    @property
    def at_hand(self) -> list[Line]:
        """The steps whose buttons stand at the top: of each hog the next, and what else is due."""
        if not self.is_today:
            return []
        found: dict[object, Line] = {}
        for line in self.lines:
            if line.standing and line.standing.is_at_hand:
                found.setdefault(line.step.animal_id or line.step.code, line)
        return list(found.values())


def day_page(
    day: Day,
    *,
    draft: RunSheet | None,
    posted: RunSheet | None,
    rows: charting.Rows,
    now: datetime,
    came_back: Mapping[str, TimeForm | MarkForm] | None = None,
) -> DayPage | None:
    """Put the page together; None when nothing is planned. ``came_back`` are refused forms."""
    sheet = draft or posted
    if sheet is None:
        return None
    times = clocking.times_of(day) if posted else {}
    steps = list(sheet.steps.all())
    standings = lateness.standings(posted.steps.all(), times, now=now, soon=SOON) if posted else {}
    is_today = posted is not None and now.astimezone(day.workshop.zone).date() == day.date
    shown = standings if is_today or times else {}
    light = daylight.day_light(day, steps)
    end = odds.end_of_day(sheet)
    why: dict[str, str] = sheet.timetable.get("why", {})
    returned = came_back or {}
    seen = charting.Seen(light=light, standings=shown)
    return DayPage(
        sheet=sheet,
        posted=posted,
        chart=charting.draw(sheet, rows=rows, now=now, seen=seen),
        paper_chart=charting.draw(sheet, rows=rows, now=now, seen=seen, on_paper=True),
        lines=tuple(
            _line(lifted, why, light, shown, returned) for lifted in lifting.lifted_steps(sheet)
        ),
        light=light,
        no_outdoors=not any(step.station.outdoors for step in steps),
        end=end,
        plot=odds_plot.plot(end) if end else None,
        before=tuple(backwards.before_the_day(sheet)),
        changes=tuple(comparing.changes(posted, draft)) if draft and posted else (),
        latest=lateness.latest(shown) if is_today else None,
        is_today=is_today,
        unmarked=len(clocking.as_posted(posted.steps.all(), times, now=now))
        if posted and is_today
        else 0,
    )


def _line(
    lifted: lifting.LiftedStep,
    why: Mapping[str, str],
    light: DayLight,
    standings: Mapping[str, Standing],
    came_back: Mapping[str, TimeForm | MarkForm],
) -> Line:
    step = lifted.step
    returned = came_back.get(step.code)
    zone = step.run_sheet.day.workshop.zone
    start = step.starts_at.astimezone(zone).time()
    move = returned if isinstance(returned, TimeForm) else TimeForm(initial={"at": start})
    marked = returned if isinstance(returned, MarkForm) else None
    marked = marked or MarkForm(initial={"client_id": uuid.uuid4()})
    for number, form in enumerate((move, marked)):
        form.auto_id = f"step{step.pk}-{number}-%s"
    return Line(
        step=step,
        lift=lifted.lift,
        why=why.get(step.code, ""),
        in_the_dark=step.code in light.in_the_dark,
        standing=standings.get(step.code),
        move_form=move,
        mark_form=marked,
        # Another press, so another name.
        back_form=MarkForm(initial={"client_id": uuid.uuid4()}, auto_id=False),
    )
