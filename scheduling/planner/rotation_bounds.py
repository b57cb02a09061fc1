"""Bounds on the goals of the rotation that come from counting alone, without any search.

Each is weaker than a proof by the solver and holds for every plan of the problem, so a plan that
reaches it is proved best at once.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from itertools import combinations, pairwise
from math import comb

from scheduling.planner.measuring import (
    RotationMeasures,
    attendees,
    demands,
    lift_share,
    told_of_steps_to_come,
)
from scheduling.planner.rotation_problem import DutySpec, FilledBy, TimedStep, Wish
from scheduling.planner.rules import day_of, past_placements


def _turns(measures: RotationMeasures) -> Counter[str]:
    """How many turns at each duty attendees can have: places, or those able, if they are fewer."""
    names = {person.id for person in attendees(measures.problem)}
    able: defaultdict[tuple[str, str], set[str]] = defaultdict(set)
    for one in measures.able:
        if one.person in names:
            able[one.step, one.duty].add(one.person)
    turns: Counter[str] = Counter()
    for step, duty in demands(measures.problem):
        turns[duty.id] += min(duty.most, len(able[step.id, duty.id]))
    return turns


def _crews(measures: RotationMeasures) -> Iterator[tuple[TimedStep, DutySpec, int]]:
    """Attendees that every plan has on each duty: those needed, and in the past those who were.

    Where demands cannot all be met it is open which of them gives way, so nothing is certain.
    """
    problem = measures.problem
    names = {person.id for person in attendees(problem)}
    were = Counter((one.step, one.duty) for one in past_placements(problem) if one.person in names)
    sure = measures.demands_not_met() == 0
    for step, duty in demands(problem):
        if problem.is_past(step):
            yield step, duty, were[step.id, duty.id]
        elif sure and duty.filled_by is FilledBy.ATTENDEES:
            yield step, duty, duty.needed


def most_coverage(measures: RotationMeasures) -> int:
    """Per duty, no more people come to it than it has turns, nor than may do it."""
    turns = _turns(measures)
    done = measures.possible & measures.problem.done
    to_do = Counter(duty for _, duty in measures.possible - done)
    return len(done) + sum(min(count, turns[duty]) for duty, count in to_do.items())


def least_most_missed(measures: RotationMeasures) -> int:
    """What must be missed in all, shared out as evenly as can be, rounded up."""
    missed = len(measures.possible) - most_coverage(measures)
    return -(-missed // max(1, len(attendees(measures.problem))))


def least_chain_share(measures: RotationMeasures) -> int:
    """Per crew, the place where even the strongest bears the largest share."""
    people = {person.id: person for person in measures.problem.people}
    steps = {step.id: step for step in measures.problem.steps}
    least: dict[tuple[str, str], dict[str, int]] = defaultdict(dict)
    for one in measures.able:
        if one.place:
            share = lift_share(people[one.person], steps[one.step].load_kg(one.duty, one.place))
            places = least[one.step, one.duty]
            places[one.place] = min(share, places.get(one.place, share))
    full = {(step.id, duty.id) for step, duty, hands in _crews(measures) if hands >= duty.needed}
    return sum(max(places.values()) for key, places in least.items() if key in full)


def least_changes(measures: RotationMeasures) -> int:
    """Placements that can no longer be, and new hands where too few are left of those posted.

    Who loses one place at a step may fill another there: then the two are one change to tell.
    """
    able = {(one.step, one.duty, one.person, at) for one in measures.able for at in ("", one.place)}
    told = told_of_steps_to_come(measures.problem)
    kept: Counter[tuple[str, str]] = Counter()
    lost: defaultdict[str, set[str]] = defaultdict(set)
    for (person, step), one in told.items():
        if (step, one.duty, person, one.place) in able:
            kept[step, one.duty] += 1
        else:
            lost[step].add(person)
    here = {(one.step, one.person) for one in measures.able}
    missing: Counter[str] = Counter()
    if not measures.demands_not_met():
        for at, duty in demands(measures.problem):
            if not measures.problem.is_past(at):
                missing[at.id] += max(0, duty.needed - kept[at.id, duty.id])
    return sum(
        len(lost[step]) + max(0, missing[step] - sum((step, who) in here for who in lost[step]))
        for step in lost.keys() | missing.keys()
    )


def least_wishes_not_met(measures: RotationMeasures) -> int:
    """Where more people must try a duty than it has turns, the others cannot."""
    turns = _turns(measures)
    could = {(one.person, one.duty) for one in measures.able} - measures.problem.done
    wanted = Counter(
        duty
        for person in attendees(measures.problem)
        for duty, wish in person.wishes
        if wish is Wish.MUST_TRY and (person.id, duty) in could
    )
    return sum(max(0, count - turns[duty]) for duty, count in wanted.items())


def least_standing_about(measures: RotationMeasures) -> int:
    """At each moment, those here and able to work less the hands there is room for."""
    problem = measures.problem
    able = {one.person for one in measures.able}
    here = [person for person in attendees(problem) if person.id in able]
    moments = sorted(
        {moment for step in problem.steps for moment in (step.start, step.end)}
        | {moment for one in here for stay in one.present for moment in (stay.start, stay.end)}
    )
    most = {duty.id: duty.most * (duty.filled_by is FilledBy.ATTENDEES) for duty in problem.duties}
    stood = Counter(one.step for one in problem.posted)
    rooms = {
        # What is past may have had more hands than a rule allows today.
        step: max(sum(most[duty] for duty in step.duties), stood[step.id] * problem.is_past(step))
        for step in problem.steps
    }
    least = 0
    for start, end in pairwise(moments):
        under_way = [step for step in rooms if step.start <= start and end <= step.end]
        if not under_way:
            continue
        room = sum(rooms[step] for step in under_way)
        present = sum(
            any(stay.start <= start and end <= stay.end for stay in one.present) for one in here
        )
        least += (end - start) * max(0, present - room)
    return least


def least_partner_repeats(measures: RotationMeasures) -> int:
    """Meetings that crews make at the least, beyond one for each pair that can meet at all."""
    every = {duty.id for duty in measures.problem.duties}
    named = {duty.id for duty in measures.problem.duties if duty.places}
    return _least_repeats(measures, every) + _least_repeats(measures, named)


def _least_repeats(measures: RotationMeasures, duties: set[str]) -> int:
    names = {person.id for person in attendees(measures.problem)}
    crews: defaultdict[tuple[str, str], set[str]] = defaultdict(set)
    for one in measures.able:
        if one.duty in duties and one.person in names:
            crews[one.step, one.duty].add(one.person)
    meetings = sum(comb(hands, 2) for _, duty, hands in _crews(measures) if duty.id in duties)
    can_meet = {
        pair
        for crew in {frozenset(crew) for crew in crews.values()}
        for pair in combinations(sorted(crew), 2)
    }
    return max(0, meetings - len(can_meet))


def possible_meetings(measures: RotationMeasures) -> int:
    """How many Booleans "these two meet here" a model of the meetings needs."""
    names = {person.id for person in attendees(measures.problem)}
    crews: defaultdict[tuple[str, str], set[str]] = defaultdict(set)
    for one in measures.able:
        if one.person in names:
            crews[one.step, one.duty].add(one.person)
    return sum(
        comb(len(crews[step.id, duty.id]), 2)
        for step, duty in demands(measures.problem)
        if duty.most > 1
    )


def least_stations_visited(measures: RotationMeasures) -> int:
    """At each station in each day, at least the attendees its largest crew needs."""
    largest: dict[tuple[int, str], int] = {}
    together: Counter[TimedStep] = Counter()
    for step, _, hands in _crews(measures):
        together[step] += hands
    for step, hands in together.items():
        where = (day_of(step), step.station)
        largest[where] = max(hands, largest.get(where, 0))
    return sum(largest.values())
