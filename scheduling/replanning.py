"""Running late: the rest of the day timed anew from now, as a draft that only the lead posts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from django.db import transaction

from scheduling import clocking, drafting, lateness, planning, retiming
from scheduling.clocking import Times
from scheduling.gathering import Method, gather
from scheduling.models import Placement, RunSheet, Step
from scheduling.planner.problem import StepSpec, TimetableProblem
from scheduling.planner.push_back import Seen, push_back
from scheduling.planner.replan_times import replan
from workshops.models import Day, User

REPLAN_SECONDS = 2.0


def replan_day(
    day: Day, *, now: datetime, by: User | None = None, progress: planning.Progress | None = None
) -> RunSheet:
    """Keep what has happened, move the rest as little as it must, and place crews that clash.

    A draft that was there is replaced. Raises :class:`planning.NoPlanError` when nothing is posted.
    """
    say = progress or planning.silent
    say(10, "Reading what has happened")
    method = gather(day.workshop)
    posted = RunSheet.objects.posted().with_steps().filter(day=day).first()
    if posted is None:
        raise planning.NoPlanError(["Nothing is posted for this day; post a plan first."])
    actual = clocking.times_of(day)
    problem, starts = _of_this_day(method, posted)
    minute = method.clock.minute(now)
    say(30, "Timing the rest of the day")
    found, said = _timed_again(problem, starts, seen_by_minutes(method, posted, actual), minute)
    draft = write(method, day, found, actual, now=now, by=by)
    drafting.note(draft, {"replanned": said})
    say(50, "Placing crews")
    return planning.place_day(day, by=by, now=now)


def _timed_again(
    problem: TimetableProblem, told: Mapping[str, int], seen: Mapping[str, Seen], now: int
) -> tuple[Mapping[str, int], list[str]]:
    """New starts with as few told times moved as can be, and what is said of them.

    Where the search finds nothing in its time, the order is kept and everything waits its turn.
    """
    again = replan(problem, told, seen, now, seconds=REPLAN_SECONDS)
    if again.starts and not again.faults():
        return again.starts, [again.sentence(), *again.breaches, *again.notes]
    return push_back(problem, told, seen, now), [
        "No better order was found in time, so every step waits its turn in the posted order."
    ]


def _of_this_day(method: Method, posted: RunSheet) -> tuple[TimetableProblem, dict[str, int]]:
    """The day alone: what is told of other days stays."""
    problem, starts = retiming.course_as_it_stands(method, draft=posted)
    mine = {step.code for step in posted.steps.all()} & set(starts)
    steps = tuple(step for step in problem.steps if step.id in mine)
    gaps = tuple(gap for gap in problem.gaps if {gap.before, gap.after} <= mine)
    return replace(problem, steps=steps, gaps=gaps), {code: starts[code] for code in mine}


def seen_by_minutes(
    method: Method, posted: RunSheet, actual: Mapping[str, Times]
) -> dict[str, Seen]:
    """What has happened, in the planner's minutes.

    A step marked as finished but never as started is taken to have lasted as planned: the start
    was forgotten, not missing. So is one that its hog has passed: it ended when the next began.
    """
    seen: dict[str, Seen] = {}
    passed = lateness.passed_by(posted.steps.all(), actual)
    for step in posted.steps.all():
        times = actual.get(step.code, Times(finished=passed.get(step.code)))
        started = times.started or (
            times.finished and times.finished - (step.ends_at - step.starts_at)
        )
        if started:
            begun = method.clock.minute(started)
            ended = method.clock.minute(times.finished) if times.finished else None
            # Two marks within one minute are a step of a minute.
            seen[step.code] = (begun, None if ended is None else max(ended, begun + 1))
    return seen


@transaction.atomic
def write(
    method: Method,
    day: Day,
    starts: Mapping[str, int],
    actual: Mapping[str, Times],
    *,
    now: datetime,
    by: User | None,
) -> RunSheet:
    """The new times into a fresh draft; who has begun a step stays there."""
    draft = drafting.fresh_draft(day, by=by)
    times = {
        step.code: _span(method, step, starts[step.code], actual.get(step.code, Times()), now)
        for step in draft.steps.all()
        if step.code in starts
    }
    drafting.shift(draft, times)
    begun = [code for code, seen in actual.items() if seen.started or seen.finished]
    Placement.objects.filter(step__run_sheet=draft, step__code__in=begun).update(locked=True)
    problem, known = _of_this_day(method, draft)
    problem = as_it_happened(
        problem, seen_by_minutes(method, draft, actual), method.clock.minute(now)
    )
    retiming.keep_facts(draft, method, problem, known, by_hand=False)
    return draft


def as_it_happened(
    problem: TimetableProblem, seen: Mapping[str, Seen], now: int
) -> TimetableProblem:
    """The problem with the lengths that are known: of what is over, of what has run so long."""
    return replace(
        problem,
        steps=tuple(
            _known_length(step, *seen[step.id], now) if step.id in seen else step
            for step in problem.steps
        ),
    )


def _known_length(step: StepSpec, begun: int, ended: int | None, now: int) -> StepSpec:
    if ended is not None:
        length = max(1, ended - begun)
        return replace(step, least_min=length, expected_min=length, most_min=length)
    so_far = max(1, now - begun)
    least, most = step.least_min or step.expected_min, step.most_min or step.expected_min
    return replace(
        step,
        least_min=max(least, so_far),
        expected_min=max(step.expected_min, so_far),
        most_min=max(most, so_far),
    )


def _span(
    method: Method, step: Step, start: int, times: Times, now: datetime
) -> tuple[datetime, datetime]:
    """From the new start, or as it really was."""
    begins = method.clock.moment(start)
    length = step.ends_at - step.starts_at
    if times.finished:
        return begins, max(times.finished, begins + timedelta(minutes=1))
    if times.started:
        return begins, max(begins + length, now)
    return begins, begins + length
