"""What a rotation cannot meet, in words: which demand, who could, and what keeps the others.

Counted on the best draft there is, so that the numbers add up: of all the people a duty is meant
for, each is either left for it or counted once under the first reason that keeps them from it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain

from scheduling.planner.breaches import known_by_id
from scheduling.planner.check_rotation_crews import crew_breaches
from scheduling.planner.check_rotation_days import day_breaches
from scheduling.planner.measuring import RotationMeasures
from scheduling.planner.problem import (
    DutySpec,
    FilledBy,
    Limit,
    Part,
    PersonSpec,
    Placed,
    RotationProblem,
    TimedStep,
)
from scheduling.planner.rules import (
    Between,
    Rule,
    answers,
    is_here,
    is_meant_for,
    limits_against,
    overlap,
    reasons_against,
    too_soon,
)

# What keeps a person from a duty, said of one and of several.
_SAYINGS = {
    Rule.FILLED_BY: ("has another part on the course", "have another part on the course"),
    Rule.PRESENCE: ("is away", "are away"),
    Rule.ADULTS: ("is under 18", "are under 18"),
    Rule.LIMITS: ("has limits that rule it out", "have limits that rule it out"),
    Rule.KNIFE_FLOOR: ("has too little knife experience", "have too little knife experience"),
    Rule.LIFT_FLOOR: ("has too small a comfortable lift", "have too small a comfortable lift"),
    Rule.LIFT_AT_PLACE: (
        "has a comfortable lift below the load there",
        "have a comfortable lift below the load there",
    ),
    Rule.ONE_PLACE_AT_A_TIME: ("is placed elsewhere then", "are placed elsewhere then"),
    Rule.LOCKS: ("is locked elsewhere then", "are locked elsewhere then"),
    Rule.REST_AFTER_HEAVY: ("rests between heavy duties", "rest between heavy duties"),
    Rule.WALKING: ("is still walking from elsewhere", "are still walking from elsewhere"),
    Rule.HEAVY_IN_A_ROW: (
        "has another heavy duty next to it",
        "have another heavy duty next to it",
    ),
    Rule.TIME_CAP: ("has had the most of it for a day", "have had the most of it for a day"),
    Rule.MEAL_BREAK: ("needs the time to eat", "need the time to eat"),
    Rule.MENTOR: (
        "has no mentor beside them for a first time with a knife",
        "have no mentor beside them for a first time with a knife",
    ),
    Rule.HOUSEHOLD: (
        "asked to be placed with or without another",
        "asked to be placed with or without another",
    ),
    Rule.HANDS_NEEDED: ("is one more than its hands", "are more than its hands"),
    Rule.NAMED_PLACES: ("has a place someone else is in", "have places others are in"),
}
_LIMIT_SAYINGS = {
    Limit.NO_LIFTING: ("may not lift", "may not lift"),
    Limit.NO_KNIVES: ("may not use a knife", "may not use a knife"),
    Limit.AWAY_FROM_KILL: ("stays away from the kill", "stay away from the kill"),
    Limit.NO_HOT_WATER: ("stays away from hot water", "stay away from hot water"),
    Limit.SEATED_ONLY: ("works seated", "work seated"),
}
_POOLS = {
    FilledBy.ATTENDEES: ("attendee", "attendees"),
    FilledBy.STAFF: ("lead or helper", "leads and helpers"),
    FilledBy.LEAD: ("lead", "leads"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One rule that keeps some people from a demand; each person is counted under one reason."""

    rule: Rule
    people: tuple[str, ...]
    sayings: tuple[str, str]

    def __str__(self) -> str:
        return f"{len(self.people)} {self.sayings[len(self.people) > 1]}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """A demand or a lock that the best draft cannot meet.

    ``rule`` is the rule that gives way: hands needed, named places or locks. ``could`` are the
    people whom no limit, floor or absence keeps from the duty; ``left`` are those of them whom
    the rest of the draft leaves for it. ``fact`` and ``remedy`` are whole sentences.
    """

    rule: Rule
    step: str
    duty: str
    needed: int
    left: tuple[str, ...]
    could: tuple[str, ...]
    reasons: tuple[Reason, ...]
    fact: str
    remedy: str

    def sentence(self) -> str:
        """Say what cannot be met, why, and what would help."""
        return f"{self.fact} {self.remedy}"


def refusals(measures: RotationMeasures) -> tuple[Refusal, ...]:
    """What this plan leaves unmet: broken locks, unwatched steps, then short hands in time."""
    worded = _Wording(measures)
    locks = [worded.lock(lock) for lock in measures.locks_broken()]
    unwatched = [worded.unwatched(step) for step in measures.unwatched()]
    short = [worded.demand(*key) for key, hands in measures.shortages().items() if hands]
    return (*locks, *unwatched, *short)


class _Wording:
    """The plan looked at from one demand at a time."""

    def __init__(self, measures: RotationMeasures) -> None:
        problem = measures.problem
        self.problem: RotationProblem = problem
        self.known = known_by_id(problem)
        self.between = Between(problem)
        self.placed = measures.placed
        self.people = {person.id: person for person in problem.people}
        self.duties = {duty.id: duty for duty in problem.duties}
        self.steps = {step.id: step for step in problem.steps}

    # --- short hands ------------------------------------------------------------------------

    def demand(self, step_id: str, duty_id: str) -> Refusal:
        """Word a duty that is short of hands."""
        step, duty = self.steps[step_id], self.duties[duty_id]
        meant = [one for one in self.problem.people if is_meant_for(duty, one.part)]
        kept = {person.id: self._kept_from(person, duty, step) for person in meant}
        reasons = _gather(kept)
        left = tuple(name for name, why in kept.items() if why is None)
        return Refusal(
            rule=Rule.NAMED_PLACES if duty.places else Rule.HANDS_NEEDED,
            step=step.id,
            duty=duty.id,
            needed=duty.needed,
            left=left,
            could=tuple(p.id for p in meant if not any(reasons_against(p, duty, step))),
            reasons=reasons,
            fact=_fact(step, duty, len(meant), reasons, len(left)),
            remedy=self._remedy(duty, duty.needed - len(left), reasons),
        )

    def _kept_from(
        self, person: PersonSpec, duty: DutySpec, step: TimedStep
    ) -> tuple[Rule, tuple[str, str]] | None:
        static = next(reasons_against(person, duty, step), None)
        if static is not None:
            return static, _saying(static, person, duty)
        here = [one for one in self.placed if one.person == person.id]
        if any((one.step, one.duty) == (step.id, duty.id) for one in here):
            return None
        clashes = chain(self._clashes(here, duty, step), self._if_added(person, duty, step))
        rule = next(clashes, None)
        return None if rule is None else (rule, _SAYINGS[rule])

    def _clashes(self, here: list[Placed], duty: DutySpec, step: TimedStep) -> Iterator[Rule]:
        """What in the rest of the plan keeps the person placed at ``here`` from a duty."""
        meanwhile = [one for one in here if overlap(self.steps[one.step], step)]
        if any(answers(one, lock) for one in meanwhile for lock in self.problem.locks):
            yield Rule.LOCKS
        if meanwhile:
            yield Rule.ONE_PLACE_AT_A_TIME
        rest_min = self.problem.rest_after_heavy_min
        heavy = (one for one in here if self.duties[one.duty].heavy and duty.heavy)
        if any(too_soon(self.steps[one.step], step, rest_min) for one in heavy):
            yield Rule.REST_AFTER_HEAVY
        held = ((self.steps[one.step], self.duties[one.duty]) for one in here)
        if any(self.between.against(*one, step, duty) is Rule.WALKING for one in held):
            yield Rule.WALKING

    def _if_added(self, person: PersonSpec, duty: DutySpec, step: TimedStep) -> Iterator[Rule]:
        """The rules about a day and a crew that would break if the person took the duty, too."""
        added = Placed(step=step.id, duty=duty.id, person=person.id)
        mine = [one for one in self.placed if one.person == person.id]
        crew = [one for one in self.placed if one.step == step.id]
        for breach in day_breaches(self.known, (*mine, added)):
            yield breach.rule
        before = {breach.sentence for breach in crew_breaches(self.known, tuple(crew))}
        for breach in crew_breaches(self.known, (*crew, added)):
            if breach.sentence not in before:
                yield breach.rule

    def _remedy(self, duty: DutySpec, missing: int, reasons: tuple[Reason, ...]) -> str:
        """The change that frees most people, as advice."""
        more = f"Add {_counted(missing, *_POOLS[duty.filled_by])}"
        rules = {reason.rule for reason in reasons}
        if rules & {Rule.ONE_PLACE_AT_A_TIME, Rule.LOCKS}:
            return f"{more}, free someone placed elsewhere, or move the step to another time."
        if Rule.REST_AFTER_HEAVY in rules:
            return f"{more}, or leave more time after the heavy step before it."
        if Rule.PRESENCE in rules:
            return f"{more}, or move the step to when more people are here."
        return f"{more}, or ask for fewer hands."

    # --- stations without staff -------------------------------------------------------------

    def unwatched(self, step_id: str) -> Refusal:
        """Word a supervised step that has neither the lead nor a helper."""
        step = self.steps[step_id]
        staff = [one for one in self.problem.people if one.part is not Part.ATTENDEE]
        here = [one for one in staff if is_here(one, step)]
        among = {one.id for one in here}
        then = (one for one in self.placed if overlap(self.steps[one.step], step))
        placed = {one.person for one in then if one.person in among}
        left = tuple(name for name in sorted(among) if name not in placed)
        counted = (
            f"of {_counted(len(staff), *_POOLS[FilledBy.STAFF])}, {len(here)} "
            f"{'is' if len(here) == 1 else 'are'} here and {len(placed)} placed elsewhere then"
        )
        return Refusal(
            rule=Rule.SUPERVISED,
            step=step.id,
            duty="",
            needed=1,
            left=left,
            could=tuple(one.id for one in here),
            reasons=(),
            fact=f"{step.name} needs the lead or a helper at its station; {counted}.",
            remedy="Add a helper, give the station a duty that a helper takes, or move the step.",
        )

    # --- locks ------------------------------------------------------------------------------

    def lock(self, lock: Placed) -> Refusal:
        """Word a lock that cannot be kept."""
        person, duty, step = self.people[lock.person], self.duties[lock.duty], self.steps[lock.step]
        rule, saying = self._against_lock(lock, person, duty, step)
        at = f" ({lock.place})" if lock.place else ""
        return Refusal(
            rule=Rule.LOCKS,
            step=step.id,
            duty=duty.id,
            needed=1,
            left=(),
            could=(),
            reasons=(Reason(rule=rule, people=(person.id,), sayings=(saying, saying)),),
            fact=f"{person.name} is locked to {duty.name}{at} at {step.name}, but {saying}.",
            remedy="Take the lock away, or change what stands against it.",
        )

    def _against_lock(
        self, lock: Placed, person: PersonSpec, duty: DutySpec, step: TimedStep
    ) -> tuple[Rule, str]:
        static = next(reasons_against(person, duty, step, lock.place), None)
        if static is not None:
            return static, _saying(static, person, duty)[0]
        # At another place of the same duty they stand because of this lock, not against it.
        here = [
            one
            for one in self.placed
            if one.person == person.id and (one.step, one.duty) != (step.id, duty.id)
        ]
        for rule in chain(self._clashes(here, duty, step), self._if_added(person, duty, step)):
            return rule, _SAYINGS[rule][0]
        crew = [one for one in self.placed if (one.step, one.duty) == (step.id, duty.id)]
        if any(lock.place and one.place == lock.place for one in crew):
            return Rule.NAMED_PLACES, "someone else is locked to that place"
        if len(crew) >= duty.most:
            return Rule.HANDS_NEEDED, f"its {_counted(duty.most, 'hand is', 'hands are')} taken"
        return Rule.LOCKS, "the other locks leave no room for it"


def _saying(rule: Rule, person: PersonSpec, duty: DutySpec) -> tuple[str, str]:
    ruling = sorted(limits_against(person, duty) - {Limit.UNDER_18})
    if rule is Rule.LIMITS and len(ruling) == 1:
        return _LIMIT_SAYINGS[ruling[0]]
    return _SAYINGS[rule]


def _gather(kept: dict[str, tuple[Rule, tuple[str, str]] | None]) -> tuple[Reason, ...]:
    """Group people under what keeps them, in the order of the rules."""
    grouped: dict[tuple[Rule, tuple[str, str]], list[str]] = {}
    for person, why in kept.items():
        if why is not None:
            grouped.setdefault(why, []).append(person)
    order = list(Rule)
    return tuple(
        Reason(rule=rule, people=tuple(people), sayings=sayings)
        for (rule, sayings), people in sorted(
            grouped.items(), key=lambda item: (order.index(item[0][0]), item[0][1])
        )
    )


def _fact(
    step: TimedStep, duty: DutySpec, meant: int, reasons: tuple[Reason, ...], left: int
) -> str:
    opening = f"{step.name}: {duty.name} needs {duty.needed}"
    if not meant:
        return f"{opening}; there is no {_POOLS[duty.filled_by][0]} on the course."
    kept = ", ".join(str(reason) for reason in reasons)
    ending = "1 is left" if left == 1 else f"{left or 'none'} are left"
    of = _counted(meant, *_POOLS[duty.filled_by])
    return f"{opening}; of {of}, {kept}: {ending}." if kept else f"{opening}; of {of}, {ending}."


def _counted(count: int, one: str, several: str) -> str:
    return f"{count} {one if count == 1 else several}"
