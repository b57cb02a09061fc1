"""Runs the planners on rows and keeps what they say in drafts, with how good it is and why."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime

from scheduling import asking, drafting, odds
from scheduling.gathering import (
    Method,
    gather,
    rotation_problem,
    step_code,
    timetable_problem,
)
from scheduling.models import RunSheet
from scheduling.planner import rotation, timetable
from scheduling.planner.answer import Goal, Status
from scheduling.planner.check_timetable import check_timetable
from scheduling.planner.conflicts import explain
from scheduling.planner.errors import BadProblem
from scheduling.planner.freeing import what_frees
from scheduling.planner.limits import what_limits
from scheduling.planner.problem import TimetableProblem
from scheduling.planner.timetable_rules import Refusal
from stations import heating
from workshops.models import Day, User, Workshop

# Looking for what limits the days solves the course again for each thing that might.
LIMITS_SECONDS = 10.0
# Finding what would free a day that cannot be done solves it again for each change tried.
FREEING_SECONDS = 10.0
NOTHING_ALONE: dict[str, object] = {
    "sentence": "One more of any single station, or of any group of hands, would not end the day "
    "earlier.",
    "saves_min": 0,
}

Progress = Callable[[int, str], None]


class NoPlanError(Exception):
    """The planner found that no plan can meet the demands; ``sentences`` say which."""

    def __init__(self, sentences: list[str]) -> None:
        self.sentences = sentences
        super().__init__(" ".join(sentences))


def silent(percent: int, message: str) -> None:
    """Progress that nobody watches."""


def _goals(goals: tuple[Goal, ...]) -> list[dict[str, object]]:
    return [
        {
            "name": goal.name,
            "value": goal.value,
            "bound": goal.bound,
            "sentence": goal.sentence(),
            "seconds": round(goal.seconds, 2),
        }
        for goal in goals
    ]


def _kept(status: Status, goals: tuple[Goal, ...], refusals: list[str]) -> dict[str, object]:
    return {"status": status.value, "goals": _goals(goals), "refusals": refusals}


def plan_course(
    workshop: Workshop,
    *,
    by: User | None = None,
    progress: Progress | None = None,
    seconds: float = 10.0,
    pins: Mapping[str, datetime] | None = None,
) -> list[RunSheet]:
    """Time every step of the course and place every crew, as drafts of all days.

    ``pins`` are steps to be pinned to a time from now on, beside those that are pinned already.
    Raises :class:`NoPlanError` when no timetable fits; crews that cannot all be filled are kept as
    far as they go, with the sentences that say what is missing.
    """
    say = progress or silent
    say(5, "Gathering hogs, stations and people")
    if not workshop.days.exists() or not workshop.stages.exists():
        raise NoPlanError(["The workshop needs days and stages before it can be planned."])
    method = gather(workshop)
    say(15, "Timing every step")
    drafts = time_course(method, by=by, seconds=seconds, pins=pins)
    say(45, "Placing crews")
    place_course(method, drafts, seconds=seconds)
    say(95, "Writing the drafts")
    return list(
        RunSheet.objects.drafts().with_steps().filter(day__workshop=workshop).order_by("day__date")
    )


def time_course(
    method: Method,
    *,
    by: User | None,
    seconds: float,
    pins: Mapping[str, datetime] | None = None,
) -> list[RunSheet]:
    """Solve the timetable and write each day's steps into its draft."""
    drafts = {day.pk: drafting.draft_for(day, by=by) for day in method.days}
    pinned = _pins(method, drafts.values())
    pinned |= {code: method.clock.minute(moment) for code, moment in (pins or {}).items()}
    try:
        problem = timetable_problem(method, pinned=pinned)
    except BadProblem as refusal:
        raise NoPlanError([str(refusal)]) from refusal
    answer = timetable.solve(problem, seconds=seconds)
    if not answer.starts:
        raise NoPlanError([answer.sentence(), *_refused(problem, answer)])
    if found := check_timetable(problem, answer.starts, answer.places):
        raise NoPlanError(list(found))
    slack, settled = answer.slack, asking.settled(problem, answer.starts, answer.places)
    kept = _kept(answer.status, answer.goals, []) | {
        "set_ups": heating.set_up_sentences(method.stations, method.animals)
    }
    times = {step.id: answer.starts[step.id] for step in problem.steps}
    kept["meals"] = {
        meal.id: method.clock.moment(answer.starts[meal.id]).isoformat() for meal in problem.meals
    }
    facts = odds.facts(method, settled, times)
    limits = _limits(method, problem, answer)
    for day in method.days:
        rows = [
            drafting.StepTimes(
                code=step_code(stage, animal),
                stage=stage,
                animal=animal,
                starts_at=method.clock.moment(answer.starts[step_code(stage, animal)]),
                ends_at=method.clock.moment(
                    answer.starts[step_code(stage, animal)] + stage.expected_min
                ),
                slack_min=slack.get(step_code(stage, animal)),
                station_id=int(answer.places[step_code(stage, animal)]),
                pinned=step_code(stage, animal) in pinned,
            )
            for stage in method.stages
            if method.day_of(stage) == day
            for animal in method.subjects(stage)
        ]
        drafting.write_times(drafts[day.pk], rows, kept | facts[day.pk] | limits[day.pk])
    return _fresh(drafts.values())


def _refused(problem: TimetableProblem, answer: timetable.TimetableAnswer) -> list[str]:
    """Each demand that stands in the way; of one clash, also what alone would free it, as tried."""
    tried: dict[Refusal, str] = {}
    if answer.clash_is_smallest or len(answer.refusals) == 1:
        tried = {
            one.refusal: one.sentence
            for one in what_frees(problem, answer, seconds=FREEING_SECONDS)
        }
    return [f"{one.sentence()} {tried.get(one, '')}".rstrip() for one in answer.refusals]


def _limits(
    method: Method, problem: TimetableProblem, answer: timetable.TimetableAnswer
) -> dict[int, dict[str, object]]:
    """What holds up each day, as found by planning again with one more of it."""
    said: dict[date, list[dict[str, object]]] = {day.date: [] for day in method.days}
    for one in what_limits(problem, answer, seconds=LIMITS_SECONDS):
        on = method.clock.moment(one.start).astimezone(method.workshop.zone).date()
        said[on].append({"sentence": one.sentence, "saves_min": one.saves_min})
    return {day.pk: {"limits": said[day.date] or [NOTHING_ALONE]} for day in method.days}


def _pins(method: Method, drafts: Iterable[RunSheet]) -> dict[str, int]:
    return {
        step.code: method.clock.minute(step.starts_at)
        for sheet in drafts
        for step in sheet.steps.all()
        if step.pinned
    }


def _fresh(drafts: Iterable[RunSheet]) -> list[RunSheet]:
    ids = [sheet.pk for sheet in drafts]
    return list(RunSheet.objects.with_steps().filter(pk__in=ids).order_by("day__date"))


def place_course(method: Method, drafts: list[RunSheet], *, seconds: float) -> None:
    """Solve the rotation over all days at once and write each day's crews."""
    answer = rotation.solve(rotation_problem(method, drafts), seconds=seconds)
    refusals = _unmet(answer)
    for sheet in drafts:
        codes = {step.code for step in sheet.steps.all()}
        placed = [item for item in answer.placed if item.step in codes]
        drafting.write_crews(sheet, placed, _kept(answer.status, answer.goals, refusals))


def _unmet(answer: rotation.RotationAnswer) -> list[str]:
    """Each demand that is not met, and before them the smallest clash with its ways out."""
    sentences = [refusal.sentence() for refusal in answer.refusals]
    clash = explain(answer.measures) if sentences else None
    return [clash.sentence(), *sentences] if clash else sentences


def place_day(
    day: Day,
    *,
    by: User | None = None,
    now: datetime | None = None,
    progress: Progress | None = None,
    seconds: float = 6.0,
) -> RunSheet:
    """Place the day's crews again for who is here and what hurts, changing as little as it can.

    What was posted to start before ``now`` is past and stays. Where the demands cannot all be met,
    the draft goes as far as it can and keeps the smallest clash in words, with what would free it.
    """
    say = progress or silent
    say(10, "Looking at who is here")
    method = gather(day.workshop)
    draft = drafting.draft_for(day, by=by)
    sheets = list(RunSheet.objects.posted().with_steps().filter(day__workshop=day.workshop))
    problem = rotation_problem(
        method,
        [draft],
        posted=[sheet for sheet in sheets if sheet.day_id == day.pk],
        elsewhere=[sheet for sheet in sheets if sheet.day_id != day.pk],
        now=now,
    )
    say(30, "Placing crews")
    answer = rotation.solve(problem, seconds=seconds)
    say(70, "Looking at what clashes" if answer.refusals else "Writing the draft")
    refusals = _unmet(answer)
    drafting.write_crews(draft, answer.placed, _kept(answer.status, answer.goals, refusals))
    say(95, "Draft ready")
    return RunSheet.objects.with_steps().get(pk=draft.pk)
