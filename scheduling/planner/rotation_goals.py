"""What a good rotation is: the goals in order, each as an expression of the model.

Order, and why. First the demands themselves: as few broken locks and short hands as can be, none
when the course is possible. Then coverage, since trying everything is what people came for. Then
chains that are balanced, where loads or heights are known: a badly matched crew is a danger. Then
few changes against what people were told (first of all where the problem asks to keep the posted
plan). Then idle hands: optional hands are filled before work is made even, because evenness
reached with few hands would either be spoiled by filling up afterwards or forbid it. Then even
work, even heavy work, and last a mix of partners, which needs only exchanges among equals.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import combinations
from math import gcd

from ortools.sat.python.cp_model import IntVar, LinearExpr

from scheduling.planner.measuring import (
    RotationMeasures,
    compared,
    demands,
    lift_share,
    possible_pairs,
    time_here,
)
from scheduling.planner.problem import DutySpec, PersonSpec, Placed, RotationProblem, TimedStep
from scheduling.planner.rotation_model import RotationModel, total
from scheduling.planner.rules import answers


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """One goal: how the model says it, how a plan measures it, its share of the time.

    ``proving`` is the part of that share that goes into proving before improving: much where
    proofs are quick, little where the bound stays far. ``limit`` is the value that no plan can
    beat, known without any search. What only breaks ties is not
    ``reported``.
    """

    name: str
    say: Callable[[RotationModel], LinearExpr]
    measure: Callable[[RotationMeasures], int]
    share: int
    proving: float = 0.5
    minimise: bool = True
    reported: bool = True
    limit: Callable[[RotationMeasures], int] = lambda measures: 0


def aims(problem: RotationProblem) -> list[Aim]:
    """The goals of this problem in order, after its demands are met as far as they can be."""
    covered = [*_COVERAGE, *([_CHAINS_BALANCED] if _chains_can_differ(problem) else [])]
    if not problem.posted:
        return [*covered, *_THE_REST]
    if problem.keep_posted:
        return [_FEW_CHANGES, *covered, *_THE_REST]
    return [*covered, _FEW_CHANGES, *_THE_REST]


def _chains_can_differ(problem: RotationProblem) -> bool:
    """Whether anything is known by which one chain crew is better matched than another."""
    loads = any(step.place_loads for step in problem.steps)
    lifts = any(person.lift_kg is not None for person in problem.people)
    chains = any(duty.across for duty in problem.duties)
    heights = sum(person.height_cm is not None for person in problem.people)
    return (loads and lifts) or (chains and heights > 1)


# --- the demands, as far as they can be met -------------------------------------------------


def _locks_broken(model: RotationModel) -> LinearExpr:
    return total(model.locks_broken.values())


def _hands_short(model: RotationModel) -> LinearExpr:
    return total(model.hands_short.values())


def _short_early(model: RotationModel) -> LinearExpr:
    # A missing hand is the dearer the earlier its step, so that the first steps are whole.
    from_the_last = reversed(model.hands_short.values())
    return total(rank * short for rank, short in enumerate(from_the_last, start=1))


def _measure_short_early(measures: RotationMeasures) -> int:
    from_the_last = reversed(measures.shortages().values())
    return sum(rank * short for rank, short in enumerate(from_the_last, start=1))


# --- coverage -------------------------------------------------------------------------------


def coverage(model: RotationModel) -> LinearExpr:
    """How many (attendee, core duty) pairs are covered."""
    possible = sorted(possible_pairs(model.problem, model.take))
    done = [pair for pair in possible if pair in model.problem.done]
    to_do = [pair for pair in possible if pair not in model.problem.done]
    for pair in to_do:
        covered = model.cp.new_bool_var(f"{pair[0]} comes to {pair[1]}")
        model.covered[pair] = covered
        # Linear, not only a Boolean "or": the relaxation needs it for a useful bound.
        model.cp.add(covered <= model.count(model.by_pair[pair]))
    _no_more_learners_than_places(model)
    return total(model.covered.values()) + len(done)


def _no_more_learners_than_places(model: RotationModel) -> None:
    """Redundant: a duty is newly covered at most once per place. Closes most of the bound."""
    for duty in model.problem.duties:
        learners = [covered for (_, name), covered in model.covered.items() if name == duty.id]
        places = duty.most * sum(duty.id in step.duties for step in model.problem.steps)
        if len(learners) > places:
            model.cp.add(total(learners) <= places)


def most_missed(model: RotationModel) -> LinearExpr:
    """Core duties missed by the attendee who misses most; needs ``coverage`` said before."""
    most = model.cp.new_int_var(0, len(model.duties), "most missed")
    for name in model.attendees:
        mine = [covered for (person, _), covered in model.covered.items() if person == name]
        model.cp.add(most >= len(mine) - total(mine))
    return most


# --- the chains -----------------------------------------------------------------------------


def chains_balanced(model: RotationModel) -> LinearExpr:
    """Per chain crew: the worst share of a comfortable lift, and the heights across each chain.

    One per cent of a lift weighs as much as one centimetre: common practice, no source.
    """
    people = {person.id: person for person in model.problem.people}
    parts: list[LinearExpr] = []
    for step, duty in demands(model.problem):
        crew = _Crew(model, people, step, duty)
        if duty.places and crew.shares:
            parts.append(crew.worst_share())
        parts.extend(crew.apart(*ends) for ends in duty.across)
    return total(parts)


class _Crew:
    """The people who may stand at each place of one duty of one step."""

    def __init__(
        self, model: RotationModel, people: dict[str, PersonSpec], step: TimedStep, duty: DutySpec
    ) -> None:
        self.model = model
        self.where = f"{duty.id} at {step.id}"
        self.heights: dict[str, list[tuple[IntVar, int]]] = {place: [] for place in duty.places}
        self.shares: dict[str, list[tuple[IntVar, int]]] = {}
        for one in model.by_duty[step.id, duty.id]:
            person, taken = people[one.person], model.take[one]
            share = lift_share(person, step.load_kg(duty.id, one.place))
            if share:
                self.shares.setdefault(one.place, []).append((taken, share))
            if person.height_cm is not None and one.place in self.heights:
                self.heights[one.place].append((taken, round(person.height_cm)))

    def worst_share(self) -> LinearExpr:
        """The largest share of a lift; a place has at most one person, so its sum is theirs."""
        most = max(share for shares in self.shares.values() for _, share in shares)
        worst = self.model.cp.new_int_var(0, most, f"worst share of {self.where}")
        for shares in self.shares.values():
            self.model.cp.add(worst >= total(share * taken for taken, share in shares))
        return worst + 0

    def apart(self, one: str, other: str) -> LinearExpr:
        """Centimetres between two ends; nothing where an end is empty or its height not known."""
        known = [height for end in (one, other) for _, height in self.heights[end]]
        tallest = max(known, default=0)
        apart = self.model.cp.new_int_var(0, tallest, f"{one} to {other} of {self.where}")
        for here, there in ((one, other), (other, one)):
            # The tallest height cancels the difference unless someone of known height is there.
            unknown = 1 - total(taken for taken, _ in self.heights[there])
            self.model.cp.add(apart >= self._height(here) - self._height(there) - tallest * unknown)
        return apart + 0

    def _height(self, place: str) -> LinearExpr:
        return total(height * taken for taken, height in self.heights[place])


# --- the posted plan ------------------------------------------------------------------------


def changes(model: RotationModel) -> LinearExpr:
    """How many (person, step) differ from what was posted: what people must be told."""
    posted = {(one.person, one.step): one for one in model.problem.posted}
    told = [_kept(model, one) for one in posted.values()]
    fresh = [one for one in model.take if (one.person, one.step) not in posted]
    return len(told) - total(told) + model.count(fresh)


def _kept(model: RotationModel, posted: Placed) -> LinearExpr:
    same = model.by_hand.get((posted.step, posted.duty, posted.person), [])
    return model.count(one for one in same if answers(one, posted))


# --- work -----------------------------------------------------------------------------------


def standing_about(model: RotationModel) -> LinearExpr:
    """Minutes in which an attendee is here, work is under way and they have no place."""
    here = time_here(model.problem)
    able = compared(model.problem, model.by_person)
    working = (_minutes(model, model.by_person[name]) for name in able)
    return sum(here[name] for name in able) - total(working)


def _minutes(model: RotationModel, candidates: Iterable[Placed]) -> LinearExpr:
    lasts = {step.id: step.end - step.start for step in model.problem.steps}
    return total(lasts[one.step] * model.take[one] for one in candidates)


def work_spread(model: RotationModel) -> LinearExpr:
    """Busiest less idlest attendee, in minutes for equal time here."""
    return _spread(model, {duty.id for duty in model.problem.duties})


def heavy_spread(model: RotationModel) -> LinearExpr:
    """The same for heavy minutes, among the attendees who may do heavy duties."""
    return _spread(model, {duty.id for duty in model.problem.duties if duty.heavy})


def _spread(model: RotationModel, duties: set[str]) -> LinearExpr:
    mine = {
        name: [one for one in model.by_person.get(name, []) if one.duty in duties]
        for name in model.attendees
    }
    here = compared(model.problem, (name for name in mine if mine[name]))
    if not here:
        return total(())
    longest = max(here.values())
    busiest = model.cp.new_int_var(0, longest, "busiest")
    idlest = model.cp.new_int_var(0, longest, "idlest")
    for name, stay in here.items():
        # minutes * longest / stay, cleared of the fraction; see measuring.spread.
        shared = gcd(longest, stay)
        share = (longest // shared) * _minutes(model, mine[name])
        model.cp.add((stay // shared) * busiest >= share)
        model.cp.add((stay // shared) * idlest <= share)
    return busiest - idlest


# --- partners -------------------------------------------------------------------------------


def partner_repeats(model: RotationModel) -> LinearExpr:
    """Meetings after a pair's first; after their first on the chains, counted once more."""
    together: dict[tuple[str, str], list[IntVar]] = {}
    on_chains: dict[tuple[str, str], list[IntVar]] = {}
    for step, duty in demands(model.problem):
        for pair, meets in _meetings(model, step.id, duty).items():
            together.setdefault(pair, []).append(meets)
            if duty.places:
                on_chains.setdefault(pair, []).append(meets)
    repeats = [
        _beyond_the_first(model, meetings)
        for counts in (together, on_chains)
        for meetings in counts.values()
        if len(meetings) > 1
    ]
    return total(repeats)


def _beyond_the_first(model: RotationModel, meetings: list[IntVar]) -> IntVar:
    beyond = model.cp.new_int_var(0, len(meetings) - 1, "repeats")
    model.cp.add(beyond >= total(meetings) - 1)
    return beyond


def _meetings(model: RotationModel, step: str, duty: DutySpec) -> dict[tuple[str, str], IntVar]:
    """One Boolean per pair of attendees who may meet on this duty of this step."""
    held = {
        name: model.count(model.by_hand[step, duty.id, name])
        for name in model.attendees
        if (step, duty.id, name) in model.by_hand
    }
    if duty.most < 2 or len(held) < 2:
        return {}
    meets = {
        pair: model.cp.new_bool_var(f"{pair} meet on {duty.id} at {step}")
        for pair in combinations(held, 2)
    }
    for (one, other), both in meets.items():
        model.cp.add(both >= held[one] + held[other] - 1)
    _count_the_partners(model, meets, held, (step, duty))
    return meets


def _count_the_partners(
    model: RotationModel,
    meets: dict[tuple[str, str], IntVar],
    held: dict[str, LinearExpr],
    demand: tuple[str, DutySpec],
) -> None:
    """Redundant: who is placed meets all the others there. Gives the relaxation its bound."""
    step, duty = demand
    short = model.hands_short[step, duty.id]
    for name, placed in held.items():
        mine = [both for pair, both in meets.items() if name in pair]
        model.cp.add(total(mine) >= (duty.needed - 1) * placed - short)
    # n people make n (n - 1) / 2 pairs: the chords of that curve at k and k + 1.
    hands = total(held.values())
    for k in range(1, duty.most):
        model.cp.add(total(meets.values()) >= k * hands - k * (k + 1) // 2)


ALL_DEMANDS = Aim(
    name="demands not met",
    say=lambda model: _locks_broken(model) + _hands_short(model),
    measure=lambda measures: len(measures.locks_broken()) + measures.hands_short(),
    share=40,
)
# Used when the demands cannot all be met: which of them give way.
DEMANDS_IN_ORDER = (
    Aim(
        name="locks broken",
        say=_locks_broken,
        measure=lambda measures: len(measures.locks_broken()),
        share=10,
    ),
    Aim(name="hands short", say=_hands_short, measure=RotationMeasures.hands_short, share=10),
    Aim(
        name="hands short, the earlier the dearer",
        say=_short_early,
        measure=_measure_short_early,
        reported=False,
        share=10,
    ),
)
_COVERAGE = (
    Aim(
        name="coverage",
        say=coverage,
        measure=RotationMeasures.coverage,
        share=40,
        proving=0.5,
        minimise=False,
        limit=lambda measures: len(measures.possible),
    ),
    Aim(
        name="core duties missed by one person",
        say=most_missed,
        measure=RotationMeasures.most_missed,
        share=15,
        proving=0.9,
    ),
)
_CHAINS_BALANCED = Aim(
    name="chains balanced",
    say=chains_balanced,
    measure=RotationMeasures.chains_balanced,
    share=15,
)
_FEW_CHANGES = Aim(
    name="changes to the posted plan",
    say=changes,
    measure=lambda measures: len(measures.changes()),
    share=15,
    proving=0.7,
)
_THE_REST = (
    Aim(
        name="minutes standing about",
        say=standing_about,
        measure=RotationMeasures.standing_about,
        share=10,
        proving=0.9,
    ),
    Aim(
        name="spread of work",
        say=work_spread,
        measure=RotationMeasures.work_spread,
        share=25,
        proving=0.1,
    ),
    Aim(
        name="spread of heavy work",
        say=heavy_spread,
        measure=RotationMeasures.heavy_spread,
        share=10,
        proving=0.2,
    ),
    Aim(
        name="partners met again",
        say=partner_repeats,
        measure=RotationMeasures.partner_repeats,
        share=25,
        proving=0.3,
    ),
)
