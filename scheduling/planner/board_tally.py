"""What a board is worth, counted up and down as people come and go."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable

from scheduling.planner.measuring import (
    attendees,
    compared,
    height_apart,
    lift_share,
    possible_pairs,
    time_here,
    told_of_steps_to_come,
)
from scheduling.planner.rotation_problem import (
    DutySpec,
    Part,
    PersonSpec,
    Placed,
    RotationProblem,
    TimedStep,
    Wish,
)
from scheduling.planner.rules import day_of, watches_over


class Shares:
    """Minutes of one kind of work per person, and how far apart they are."""

    def __init__(self, problem: RotationProblem, able: Iterable[str]) -> None:
        here = compared(problem, able)
        self.minutes = [0] * len(problem.people)
        self.here = [(n, here[p.id]) for n, p in enumerate(problem.people) if p.id in here]
        self.longest = max(here.values(), default=0)
        self.alike = [n for n, stay in self.here if stay == self.longest]
        self.other = [(n, stay) for n, stay in self.here if stay != self.longest]

    def spread(self) -> int:
        """Busiest less idlest; see ``measuring.spread``."""
        if not self.here:
            return 0
        shares = [self.minutes[n] for n in self.alike]
        most, least = max(shares), min(shares)
        for n, stay in self.other:
            share = self.minutes[n] * self.longest
            most, least = max(most, -(-share // stay)), min(least, share // stay)
        return most - least


class Tally:
    """Every goal of the rotation, as numbers that a coming or a going changes."""

    def __init__(
        self,
        problem: RotationProblem,
        demands: list[tuple[TimedStep, DutySpec]],
        able: tuple[Placed, ...],
    ) -> None:
        self.problem = problem
        self.demands = demands
        self.people = problem.people
        count = len(problem.people)
        self.learner = [person.part is Part.ATTENDEE for person in problem.people]
        self.minutes = [step.end - step.start for step, _ in demands]
        self.hands = [0] * len(demands)
        self.short = sum(d.needed for s, d in demands if not problem.is_past(s))
        self.turns: list[defaultdict[str, int]] = [defaultdict(int) for _ in range(count)]
        self._index_coverage(able)
        self._index_work(able)
        self._index_company(count)
        self._index_told()

    def _index_coverage(self, able: tuple[Placed, ...]) -> None:
        numbers = {person.id: n for n, person in enumerate(self.people)}
        possible = possible_pairs(self.problem, able)
        done = self.problem.done
        self.to_cover = [
            {duty for name, duty in possible if name == person.id and (name, duty) not in done}
            for person in self.people
        ]
        self.missed = [len(duties) for duties in self.to_cover]
        self.covered = len(possible & done)
        could = {(one.person, one.duty) for one in able} - done
        self.wishes = [dict(person.wishes) for person in self.people]
        self.unmet = sum(
            wish is Wish.MUST_TRY and (person.id, duty) in could
            for person in self.people
            for duty, wish in person.wishes
        )
        self.could = {(numbers[name], duty) for name, duty in could}

    def _index_work(self, able: tuple[Placed, ...]) -> None:
        duties = {duty.id: duty for duty in self.problem.duties}
        here = time_here(self.problem)
        self.work = Shares(self.problem, (one.person for one in able))
        self.heavy = Shares(self.problem, (o.person for o in able if duties[o.duty].heavy))
        self.dirty = Shares(self.problem, (o.person for o in able if duties[o.duty].dirty))
        names = {person.id for person in attendees(self.problem)}
        self.idle = sum(here[name] for name in {one.person for one in able} & names)
        self.station = [(day_of(step), step.station) for step, _ in self.demands]
        self.at: list[defaultdict[tuple[int, str], int]] = [defaultdict(int) for _ in self.people]
        self.visits = 0

    def _index_company(self, count: int) -> None:
        self.crew: list[dict[int, str]] = [{} for _ in self.demands]
        self.met = [[0] * count for _ in range(count)]
        self.met_on_chains = [[0] * count for _ in range(count)]
        self.repeats = 0
        self.balance = 0
        self.match_chains = any(
            step.place_loads or duty.across for step, duty in self.demands if duty.places
        )
        to_come = [step for step in self.problem.steps if not self.problem.is_past(step)]
        supervised = [step for step in to_come if step.supervised]
        self.watchers = {step.id: 0 for step in supervised}
        self.watches = [
            [one.id for one in supervised if watches_over(step, one)] for step, _ in self.demands
        ]
        self.unwatched = len(supervised)

    def _index_told(self) -> None:
        numbers = {person.id: n for n, person in enumerate(self.people)}
        told = told_of_steps_to_come(self.problem)
        self.told = {(numbers.get(name, -1), step): one for (name, step), one in told.items()}
        self.changes = len(told)

    # --- coming and going -------------------------------------------------------------------

    def come(self, person: int, demand: int, place: str) -> None:
        """A person takes a place of a demand."""
        self._count(person, demand, place, 1)
        if self.match_chains and place:
            before = self._balance(demand)
            self.crew[demand][person] = place
            self.balance += self._balance(demand) - before
        else:
            self.crew[demand][person] = place

    def go(self, person: int, demand: int, place: str) -> None:
        """A person leaves a place of a demand."""
        if self.match_chains and place:
            before = self._balance(demand)
            del self.crew[demand][person]
            self.balance += self._balance(demand) - before
        else:
            del self.crew[demand][person]
        self._count(person, demand, place, -1)

    def _count(self, person: int, demand: int, place: str, by: int) -> None:
        step, duty = self.demands[demand]
        if not self.problem.is_past(step):
            self._count_demand(person, demand, place, by)
        if self.learner[person]:
            self._count_learner(person, demand, by)
        elif self.watches[demand]:
            for watched in self.watches[demand]:
                self.watchers[watched] += by
                if self.watchers[watched] == (1 if by > 0 else 0):
                    self.unwatched -= by
        self._count_turn(person, duty.id, by)

    def _count_demand(self, person: int, demand: int, place: str, by: int) -> None:
        step, duty = self.demands[demand]
        reached = max(self.hands[demand], self.hands[demand] + by)
        self.hands[demand] += by
        if reached <= duty.needed:
            self.short -= by
        if self.told or self.problem.posted:
            told = self.told.get((person, step.id))
            if told is None:
                self.changes += by
            elif told.duty == duty.id and told.place in ("", place):
                self.changes -= by

    def _count_turn(self, person: int, duty: str, by: int) -> None:
        turns = self.turns[person]
        turns[duty] += by
        first = turns[duty] == (1 if by > 0 else 0)
        if first and duty in self.to_cover[person]:
            self.covered += by
            self.missed[person] -= by
        wish = self.wishes[person].get(duty)
        if wish is Wish.RATHER_NOT:
            self.unmet += by
        elif wish is Wish.MUST_TRY and first and (person, duty) in self.could:
            self.unmet -= by

    def _count_learner(self, person: int, demand: int, by: int) -> None:
        duty, minutes = self.demands[demand][1], by * self.minutes[demand]
        self.idle -= minutes
        self.work.minutes[person] += minutes
        if duty.heavy:
            self.heavy.minutes[person] += minutes
        if duty.dirty:
            self.dirty.minutes[person] += minutes
        station = self.station[demand]
        self.at[person][station] += by
        if self.at[person][station] == (1 if by > 0 else 0):
            self.visits += by
        for other in self.crew[demand]:
            if self.learner[other] and other != person:
                self._count_meeting(self.met, person, other, by)
                if duty.places:
                    self._count_meeting(self.met_on_chains, person, other, by)

    def _count_meeting(self, met: list[list[int]], one: int, other: int, by: int) -> None:
        times = met[one][other]
        met[one][other] = met[other][one] = times + by
        if max(times, times + by) > 1:
            self.repeats += by

    def _balance(self, demand: int) -> int:
        step, duty = self.demands[demand]
        at: dict[str, PersonSpec] = {
            place: self.people[person] for person, place in self.crew[demand].items()
        }
        shares = (lift_share(one, step.load_kg(duty.id, place)) for place, one in at.items())
        apart = sum(height_apart(at.get(one), at.get(other)) for one, other in duty.across)
        return max(shares, default=0) + apart

    def values(self) -> dict[str, Callable[[], int]]:
        """How each goal is read off, by its name; small is good, so coverage is negative."""
        return {
            "demands not met": lambda: self.short + self.unwatched,
            "coverage": lambda: -self.covered,
            "core duties missed by one person": lambda: max(self.missed, default=0),
            "chains balanced": lambda: self.balance,
            "changes to the posted plan": lambda: self.changes,
            "wishes not met": lambda: self.unmet,
            "minutes standing about": lambda: self.idle,
            "spread of work": self.work.spread,
            "spread of heavy work": self.heavy.spread,
            "spread of dirty work": self.dirty.spread,
            "partners met again": lambda: self.repeats,
            "stations in a day": lambda: self.visits,
        }
