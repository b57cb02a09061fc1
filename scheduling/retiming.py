"""Times changed by hand: move a step, pin it, let it go. Writes drafts through ``drafting``."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import replace
from datetime import datetime

from django.db import transaction

from scheduling import asking, drafting, odds
from scheduling.gathering import Method, gather, timetable_problem
from scheduling.models import RunSheet, Step
from scheduling.planner.check_timetable import check_timetable
from scheduling.planner.problem import TimetableProblem
from scheduling.planner.timetable_answer import last_ends
from scheduling.planner.timetable_network import latest_starts, places_of
from workshops.models import Day, User


class MoveRefusedError(Exception):
    """The time breaks a rule; ``sentences`` say which, and nothing is written."""

    def __init__(self, sentences: list[str]) -> None:
        self.sentences = sentences
        super().__init__(" ".join(sentences))


def course_as_it_stands(
    method: Method, *, draft: RunSheet | None = None
) -> tuple[TimetableProblem, dict[str, int]]:
    """The whole course as planned: the given draft, and what is posted (else drafted) elsewhere.

    Steps that no sheet holds are left out of the problem, and so are their gaps. Where the planner
    chose a station or moved a meal, that is no choice any more: people were told.
    """
    sheets: dict[int, RunSheet] = {}
    found = RunSheet.objects.filter(day__workshop=method.workshop).prefetch_related("steps")
    for sheet in found.filter(status__in=["draft", "posted"]).order_by("status"):
        sheets[sheet.day_id] = sheet  # "posted" comes after "draft" and counts
    if draft is not None:
        sheets[draft.day_id] = draft
    rows = [step for sheet in sheets.values() for step in sheet.steps.all()]
    starts = {step.code: method.clock.minute(step.starts_at) for step in rows}
    pins = {step.code: starts[step.code] for step in rows if step.pinned}
    whole = timetable_problem(method, pinned=pins)
    wished = {meal.id: meal.wished for meal in whole.meals}
    moved = {
        code: method.clock.minute(at)
        for sheet in sheets.values()
        for code, at in sheet.meal_starts.items()
    }
    places = {step.code: str(step.station_id) for step in rows}
    as_told = asking.settled(whole, wished | moved, places)
    problem = without(as_told, {step.id for step in whole.steps} - starts.keys())
    return problem, {step.id: starts[step.id] for step in problem.steps}


def times_broken(method: Method, draft: RunSheet, *, posted: RunSheet | None = None) -> list[str]:
    """The rules on times that a draft breaks and that what is ``posted`` of its day does not.

    A day that is planned again while it runs was held against what had happened when that was
    done, and says itself what cannot be kept; no rule is asked of it again here.
    """
    if draft.timetable.get("replanned"):
        return []
    known = _faults(method, posted) if posted else {}
    return [line for line in _faults(method, draft) if line not in known]


def _faults(method: Method, sheet: RunSheet) -> dict[str, None]:
    """What the times of a day break, other days as they stand; not what those break by themselves.

    In the order in which the checker tells it.
    """
    problem, starts = course_as_it_stands(method, draft=sheet)
    mine = {step.code for step in sheet.steps.all()}
    others = without(problem, mine)
    elsewhere = set(check_timetable(others, {step.id: starts[step.id] for step in others.steps}))
    found = check_timetable(problem, starts)
    return {in_clock_time(line, method): None for line in found if line not in elsewhere}


def without(problem: TimetableProblem, codes: Collection[str]) -> TimetableProblem:
    """The problem less some steps, and the gaps to them."""
    steps = tuple(step for step in problem.steps if step.id not in codes)
    known = {step.id for step in steps}
    gaps = tuple(gap for gap in problem.gaps if {gap.before, gap.after} <= known)
    return replace(problem, steps=steps, gaps=gaps)


@transaction.atomic
def move(day: Day, code: str, *, to: datetime, by: User | None) -> None:
    """Start a step of the draft at another time and pin it there, if every rule still holds.

    A draft is made of what is posted if there is none. Raises :class:`MoveRefusedError` with the
    rules that it would break; nothing is written then.
    """
    draft = drafting.draft_for(day, by=by)
    drafting.take_turn(draft)
    method = gather(draft.day.workshop)
    step = _step(draft, code)
    problem, starts = course_as_it_stands(method, draft=draft)
    if code not in starts:
        raise MoveRefusedError([f"{step} is no longer a stage of this course; plan it again."])
    free = replace(
        problem,
        steps=tuple(replace(s, pinned_start=None) if s.id == code else s for s in problem.steps),
    )
    before = set(check_timetable(free, starts))
    moved = starts | {code: method.clock.minute(to)}
    broken = [line for line in check_timetable(free, moved) if line not in before]
    if broken:
        raise MoveRefusedError([in_clock_time(line, method) for line in broken])
    length = step.ends_at - step.starts_at
    step.starts_at, step.ends_at, step.pinned = to, to + length, True
    step.save(update_fields=["starts_at", "ends_at", "pinned"])
    pinned = replace(
        free,
        steps=tuple(
            replace(s, pinned_start=moved[code]) if s.id == code else s for s in free.steps
        ),
    )
    keep_facts(draft, method, pinned, moved, by_hand=True)


@transaction.atomic
def set_pin(day: Day, code: str, *, pinned: bool, by: User | None) -> None:
    """Keep a step at its time when the course is planned again, or let it go."""
    draft = drafting.draft_for(day, by=by)
    drafting.take_turn(draft)
    step = _step(draft, code)
    step.pinned = pinned
    step.save(update_fields=["pinned"])


def keep_facts(
    draft: RunSheet,
    method: Method,
    problem: TimetableProblem,
    starts: Mapping[str, int],
    *,
    by_hand: bool,
) -> None:
    """Write slack, reasons and odds anew beside times that the planner did not make."""
    slack = slacks(problem, starts)
    rows = list(draft.steps.all())
    for row in rows:
        row.slack_min = slack.get(row.code)
    Step.objects.bulk_update(rows, ["slack_min"])
    found = odds.facts(method, problem, starts)[draft.day_id]
    kept = {key: value for key, value in draft.timetable.items() if key != "limits"}
    draft.timetable = kept | found | {"by_hand": by_hand}
    RunSheet.objects.filter(pk=draft.pk).update(timetable=draft.timetable)


def slacks(problem: TimetableProblem, starts: Mapping[str, int]) -> dict[str, int | None]:
    """By how much each step can start later without its day ending later.

    None for all where the times break a rule: the way back through the plan has no end then.
    """
    if check_timetable(problem, starts):
        return {step.id: None for step in problem.steps}
    places = {step.id: step.station for step in problem.steps} | places_of(problem, starts)
    latest = latest_starts(problem, starts, places, last_ends(problem, starts))
    return {code: latest[code] - start for code, start in starts.items()}


def in_clock_time(sentence: str, method: Method) -> str:
    """The checker counts minutes, from the first midnight and below nought; people do not."""
    zone = method.workshop.zone

    def clock(found: re.Match[str]) -> str:
        moment = method.clock.moment(int(found[2])).astimezone(zone)
        return f"{found[1]} {moment:%H:%M}"

    said = re.sub(
        r"starts -(\d+) min after (.+) ends; at least 0 min are asked for",
        r"starts \1 min before \2 ends; it may start only after that",
        sentence,
    )
    return re.sub(r"(starts at|fixed to|from|to) (\d+)\b(?! min)", clock, said)


def _step(draft: RunSheet, code: str) -> Step:
    # The row of the prefetched list, so that what is written is what is read afterwards.
    found = next((step for step in draft.steps.all() if step.code == code), None)
    if found is None:
        raise MoveRefusedError(["This step is not in the draft any more; look at it again."])
    return found
