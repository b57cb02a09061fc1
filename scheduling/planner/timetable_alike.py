"""Hogs that the planner cannot tell apart, and the order in which they may be taken for granted.

Where hogs ask for the same steps in every way, any plan can be told with the first hog first at
each stage. For let a_1 <= a_2 <= ... be the starts of one stage and b_1 <= b_2 <= ... those of the
next: if some pairing of them keeps least <= b - a <= most, so does a_1 with b_1, a_2 with b_2, and
so on; the sum of the waits stays; and how many places and hands are held at a minute does not ask
which hog holds them. A search that looks at one such plan of all finds and proves the best sooner.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Mapping
from dataclasses import replace
from itertools import pairwise

from scheduling.planner.problem import Gap, StepSpec, TimetableProblem
from scheduling.planner.timetable_first import FirstPlan


def alike_in_order(problem: TimetableProblem) -> tuple[tuple[StepSpec, ...], ...]:
    """For each stage of hogs that are alike its steps, in the order of the hogs.

    Not where something asks which hog is which: a pin, a track, a set-up by pairs, a step that may
    stretch, hands held until another step, a gap from one hog to another. A gap that keeps the
    order of the hogs at one stage is no hindrance.

    >>> from scheduling.planner.problem import StationSpec, Window
    >>> day = (Window(start=480, end=1020),)
    >>> steps = tuple(StepSpec(id=f"{hog}:scald", name="Scald", station="t", expected_min=10,
    ...                        windows=day, subject=hog) for hog in ("a", "b"))
    >>> found = alike_in_order(TimetableProblem(
    ...     stations=(StationSpec(id="t", name="Trough"),), steps=steps))
    >>> [[step.id for step in stage] for stage in found]
    [['a:scald', 'b:scald']]
    """
    hogs: dict[str, list[StepSpec]] = defaultdict(list)
    for step in problem.steps:
        if step.subject:
            hogs[step.subject].append(step)
    looks: dict[Hashable, list[str]] = defaultdict(list)
    for subject, look in _looks(problem, hogs).items():
        looks[look].append(subject)
    groups = [group for group in looks.values() if len(group) > 1]
    return tuple(
        stage
        for group in groups
        if _gaps_between_keep_order(problem, hogs, group)
        for stage in zip(*(hogs[subject] for subject in group), strict=True)
    )


def in_order(problem: TimetableProblem, plan: FirstPlan) -> FirstPlan:
    """The same plan, told with the first hog first at each stage."""
    starts, places = dict(plan.starts), dict(plan.places)
    for stage in alike_in_order(problem):
        spots = sorted((plan.starts[step.id], plan.places[step.id]) for step in stage)
        for step, (start, place) in zip(stage, spots, strict=True):
            starts[step.id], places[step.id] = start, place
    return replace(plan, starts=starts, places=places)


def _looks(problem: TimetableProblem, hogs: Mapping[str, list[StepSpec]]) -> dict[str, Hashable]:
    """What a hog asks for, with its own names taken out; none for one that can be told apart."""
    own = {one.id for one in problem.stations if one.set_up_between or one.track}
    gaps: dict[str, set[Hashable]] = defaultdict(set)
    at = _stages(hogs)
    for gap in problem.gaps:
        before, after = at.get(gap.before), at.get(gap.after)
        if before and after and before[0] == after[0]:
            gaps[before[0]].add((before[1], after[1], _terms(gap)))
        elif before and not after:
            gaps[before[0]].add((before[1], gap.after, _terms(gap)))
        elif after and not before:
            gaps[after[0]].add((gap.before, after[1], _terms(gap)))
    return {
        hog: (tuple(_look(step) for step in steps), frozenset(gaps[hog]))
        for hog, steps in hogs.items()
        if not any(_is_told_apart(step, own) for step in steps)
    }


def _stages(hogs: Mapping[str, list[StepSpec]]) -> dict[str, tuple[str, int]]:
    """Of each step the hog, and the how manieth of that hog's steps it is."""
    return {step.id: (hog, n) for hog, steps in hogs.items() for n, step in enumerate(steps)}


def _terms(gap: Gap) -> Hashable:
    return gap.least_min, gap.most_min, gap.carcass_waits, gap.keeps_place


def _look(step: StepSpec) -> StepSpec:
    return replace(step, id="", name="", subject="")


def _is_told_apart(step: StepSpec, own: set[str]) -> bool:
    return (
        step.pinned_start is not None
        or step.stretch_min > 0
        or any(need.until for need in step.needs)
        or not own.isdisjoint(step.stations)
    )


def _gaps_between_keep_order(
    problem: TimetableProblem, hogs: Mapping[str, list[StepSpec]], group: list[str]
) -> bool:
    """Whether gaps between the hogs only say, at whole stages, that each comes after the last."""
    at = _stages(hogs)
    following = list(pairwise(group))
    found: dict[int, list[int]] = defaultdict(list)
    for gap in problem.gaps:
        before, after = at.get(gap.before), at.get(gap.after)
        if not before or not after or before[0] == after[0]:
            continue  # to what is done once: the same for all, or they would not be alike
        if not {before[0], after[0]} & set(group):
            continue
        plain = gap.most_min is None and not gap.carcass_waits and not gap.keeps_place
        next_in_turn = before[1] == after[1] and (before[0], after[0]) in following
        if not plain or not next_in_turn or gap.least_min < 0:
            return False
        found[before[1]].append(gap.least_min)
    return all(len(mins) == len(following) and len(set(mins)) == 1 for mins in found.values())
