"""Each goal of the rotation as an expression; ``rotation_goals.py`` has their order."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations
from math import gcd

from ortools.sat.python.cp_model import IntVar, LinearExpr

from scheduling.planner.linear import total
from scheduling.planner.measuring import (
    compared,
    demands,
    lift_share,
    possible_pairs,
    time_here,
    told_of_steps_to_come,
)
from scheduling.planner.rotation_model import RotationModel
from scheduling.planner.rotation_problem import (
    DutySpec,
    PersonSpec,
    Placed,
    TimedStep,
    Wish,
)
from scheduling.planner.rules import answers, day_of


def locks_broken(model: RotationModel) -> LinearExpr:
    """Locks that are not kept."""
    return total(model.locks_broken.values())


def hands_short(model: RotationModel) -> LinearExpr:
    """Hands missing in all."""
    return total(model.hands_short.values())


def unwatched(model: RotationModel) -> LinearExpr:
    """Supervised steps without the lead or a helper."""
    return total(model.unwatched.values())


def short_early(model: RotationModel) -> LinearExpr:
    """A missing hand is the dearer the earlier its step, so that the first steps are whole."""
    from_the_last = reversed(model.hands_short.values())
    return total(rank * short for rank, short in enumerate(from_the_last, start=1))


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
    """How many (person, step) to come differ from what was posted: what people must be told."""
    posted = told_of_steps_to_come(model.problem)
    told = [_kept(model, one) for one in posted.values()]
    fresh = [
        one for one in model.take if one not in model.past and (one.person, one.step) not in posted
    ]
    return len(told) - total(told) + model.count(fresh)


def _kept(model: RotationModel, posted: Placed) -> LinearExpr:
    same = model.by_hand.get((posted.step, posted.duty, posted.person), [])
    return model.count(one for one in same if answers(one, posted))


# --- wishes ---------------------------------------------------------------------------------


def wishes_not_met(model: RotationModel) -> LinearExpr:
    """Duties that someone must try and never does, and turns at what they would rather not."""
    parts: list[LinearExpr] = []
    for person in model.problem.people:
        for duty, wish in person.wishes:
            turns = model.by_pair.get((person.id, duty), [])
            if wish is Wish.RATHER_NOT:
                parts.append(model.count(turns))
            elif turns and (person.id, duty) not in model.problem.done:
                missed = model.cp.new_bool_var(f"{person.id} never tries {duty}")
                model.cp.add(missed + model.count(turns) >= 1)
                parts.append(missed + 0)
    return total(parts)


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


def dirty_spread(model: RotationModel) -> LinearExpr:
    """The same for minutes of dirty work, among the attendees who may do it."""
    return _spread(model, {duty.id for duty in model.problem.duties if duty.dirty})


def _spread(model: RotationModel, duties: set[str]) -> LinearExpr:
    mine = {
        name: [one for one in model.by_person.get(name, []) if one.duty in duties]
        for name in model.attendees
    }
    here = compared(model.problem, (name for name in mine if mine[name]))
    if not here:
        return total(())
    longest = max(here.values())
    # What was posted of the past may have had somebody in two places, and so busier than can be.
    most = longest * (1 + len(model.past))
    busiest = model.cp.new_int_var(0, most, "busiest")
    idlest = model.cp.new_int_var(0, most, "idlest")
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
    if (step, duty.id) not in model.hands_short:
        return  # past: who met there is known
    short = model.hands_short[step, duty.id]
    for name, placed in held.items():
        mine = [both for pair, both in meets.items() if name in pair]
        model.cp.add(total(mine) >= (duty.needed - 1) * placed - short)
    # n people make n (n - 1) / 2 pairs: the chords of that curve at k and k + 1.
    hands = total(held.values())
    for k in range(1, duty.most):
        model.cp.add(total(meets.values()) >= k * hands - k * (k + 1) // 2)


# --- stations -------------------------------------------------------------------------------


def stations_visited(model: RotationModel) -> LinearExpr:
    """Stations that each attendee works at in each day, summed."""
    names = set(model.attendees)
    visits: dict[tuple[str, int, str], IntVar] = {}
    for one, taken in model.take.items():
        if one.person in names:
            step = model.steps[one.step]
            key = (one.person, day_of(step), step.station)
            if key not in visits:
                visits[key] = model.cp.new_bool_var(f"{one.person} at {key[2]} on day {key[1]}")
            model.cp.add_implication(taken, visits[key])
    return total(visits.values())
