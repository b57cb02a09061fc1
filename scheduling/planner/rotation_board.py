"""A rotation as it is being changed: who stands where, what the rules leave, what it is worth.

Everything is counted up and down as people come and go, so that a change costs microseconds. The
same goals are measured at leisure in ``measuring.py``; a test holds the two against each other.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from scheduling.planner.board_rules import BoardRules
from scheduling.planner.board_tally import Tally
from scheduling.planner.measuring import demands, locks_to_keep
from scheduling.planner.rotation_problem import Placed, RotationProblem
from scheduling.planner.rules import answers, candidates, past_placements

NOBODY = -1


@dataclass(frozen=True, slots=True)
class Slot:
    """One hand of one duty of one step: the demand by number, and the place where it is named."""

    demand: int
    place: str


class Board:
    """The plan in hand. Demands and people go by their number in the problem, slots by theirs."""

    def __init__(self, problem: RotationProblem) -> None:
        self.problem = problem
        self.demands = demands(problem)
        self.number = {(s.id, d.id): n for n, (s, d) in enumerate(self.demands)}
        self.people = {person.id: n for n, person in enumerate(problem.people)}
        self.rules = BoardRules(problem, self.demands)
        self.tally = Tally(problem, self.demands, candidates(problem))
        self.slots = [
            Slot(n, place)
            for n, (step, duty) in enumerate(self.demands)
            if not problem.is_past(step)
            for place in duty.places or ("",) * duty.most
        ]
        self.slots_of: defaultdict[int, list[int]] = defaultdict(list)
        for index, slot in enumerate(self.slots):
            self.slots_of[slot.demand].append(index)
        self.allowed = self._allowed()
        self.who = [NOBODY] * len(self.slots)
        self.locked: set[int] = set()
        self._past()
        self._locks()

    def _allowed(self) -> list[tuple[int, ...]]:
        able: defaultdict[tuple[int, str], list[int]] = defaultdict(list)
        for one in candidates(self.problem):
            able[self.number[one.step, one.duty], one.place].append(self.people[one.person])
        return [tuple(able[slot.demand, slot.place]) for slot in self.slots]

    def _past(self) -> None:
        for one in past_placements(self.problem):
            demand, person = self.number[one.step, one.duty], self.people[one.person]
            self.rules.come(person, demand, past=True)
            self.tally.come(person, demand, one.place)
        self.rules.forgive_lost_meals()

    def _locks(self) -> None:
        for lock in locks_to_keep(self.problem):
            person = self.people[lock.person]
            if self.rules.together[person]:
                continue  # their household must come with them: the solver sees to it
            for index in self.slots_of[self.number[lock.step, lock.duty]]:
                placed = self.as_placed(index, person)
                free = self.who[index] == NOBODY and answers(placed, lock)
                if free and self.change([(index, person)]):
                    self.locked.add(index)
                    break

    # --- coming and going -------------------------------------------------------------------

    def fits(self, person: int, index: int) -> bool:
        """Whether a person may take a free slot beside all that they hold already."""
        return person in self.allowed[index] and self.rules.fits(person, self.slots[index].demand)

    def come(self, person: int, index: int) -> None:
        """Put a person in a free slot."""
        slot = self.slots[index]
        self.who[index] = person
        self.rules.come(person, slot.demand)
        self.tally.come(person, slot.demand, slot.place)

    def go(self, index: int) -> int:
        """Take whoever is there out of a slot, and say who it was."""
        slot, person = self.slots[index], self.who[index]
        self.who[index] = NOBODY
        self.rules.go(person, slot.demand)
        self.tally.go(person, slot.demand, slot.place)
        return person

    def change(self, changes: Iterable[tuple[int, int]]) -> bool:
        """Give slots to other people (or nobody), all or none; say whether the rules let it."""
        changes = list(changes)
        before = [(index, self.who[index]) for index, _ in changes]
        for index, person in before:
            if person != NOBODY:
                self.go(index)
        for index, person in changes:
            if person == NOBODY:
                continue
            if not self.fits(person, index):
                self.put_back(before)
                return False
            self.come(person, index)
        touched = {self.slots[index].demand for index, _ in changes}
        gone = [(person, self.slots[i].demand) for i, person in before if person != NOBODY]
        if self.rules.holds_after(touched, gone):
            return True
        self.put_back(before)
        return False

    def put_back(self, before: Iterable[tuple[int, int]]) -> None:
        """Undo a change: each slot has its person of before, whatever the rules say."""
        before = list(before)
        for index, _ in before:
            if self.who[index] != NOBODY:
                self.go(index)
        for index, person in before:
            if person != NOBODY:
                self.come(person, index)

    def load(self, placed: Iterable[Placed]) -> None:
        """Take over a plan that keeps the rules, whatever was on the board before."""
        for index, person in enumerate(self.who):
            if person != NOBODY:
                self.go(index)
        for one in placed:
            demand, person = self.number[one.step, one.duty], self.people[one.person]
            for index in self.slots_of[demand]:
                if self.who[index] == NOBODY and self.slots[index].place == one.place:
                    self.come(person, index)
                    break
        self.hold_locks()

    def hold_locks(self) -> None:
        """Fix every slot that answers a lock, also where it was filled without one in mind."""
        locks = locks_to_keep(self.problem)
        self.locked = {
            index
            for index, person in enumerate(self.who)
            if person != NOBODY
            and any(answers(self.as_placed(index, person), lock) for lock in locks)
        }

    # --- what it looks like -----------------------------------------------------------------

    def as_placed(self, index: int, person: int) -> Placed:
        """A person in a slot, as a placement."""
        slot = self.slots[index]
        step, duty = self.demands[slot.demand]
        name = self.problem.people[person].id
        return Placed(step=step.id, duty=duty.id, person=name, place=slot.place)

    def placed(self) -> tuple[Placed, ...]:
        """The plan in hand, the past included."""
        held = (self.as_placed(i, who) for i, who in enumerate(self.who) if who != NOBODY)
        return tuple(sorted((*past_placements(self.problem), *held)))
