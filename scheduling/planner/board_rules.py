"""The hard rules on a board: which demands a person may hold together, as bits of one number.

The demands are numbered in the order of time; a person's day is a number with a bit for each demand
they hold, so that "is any of them in the way" is one ``and``.
"""

from __future__ import annotations

from collections import defaultdict

from scheduling.planner.rotation_problem import (
    DutySpec,
    HouseholdWish,
    Part,
    RotationProblem,
    TimedStep,
)
from scheduling.planner.rule import Rule
from scheduling.planner.rules import (
    Between,
    asked,
    day_of,
    free_stretches,
    is_first_timer,
    is_here_for,
    is_mentor,
)


class BoardRules:
    """What the rules leave open, for the people and demands of one board."""

    def __init__(self, problem: RotationProblem, demands: list[tuple[TimedStep, DutySpec]]) -> None:
        self.problem = problem
        self.demands = demands
        self.held = [0] * len(problem.people)
        self.crew: list[list[int]] = [[] for _ in demands]
        self.clash = self._clashes()
        self.heavy = sum(1 << n for n, (_, duty) in enumerate(demands) if duty.heavy)
        days: defaultdict[int, int] = defaultdict(int)
        for n, (step, _) in enumerate(demands):
            days[day_of(step)] |= 1 << n
        self.day = [days[day_of(step)] for step, _ in demands]
        self.row = problem.keeps(Rule.HEAVY_IN_A_ROW)
        self.caps = [
            (sum(1 << n for n, (_, duty) in enumerate(demands) if duty.id in cap.duties), cap)
            for cap in problem.caps
        ]
        self.minutes = [step.end - step.start for step, _ in demands]
        self.past = 0
        self._index_meals()
        self._index_company()

    def _clashes(self) -> list[int]:
        between = Between(self.problem)
        # What lies further apart than the longest rest or walk clashes with nothing.
        reach = max([between.rest_min, *between.walks.values()], default=0)
        clash = [0] * len(self.demands)
        for n, (step, duty) in enumerate(self.demands):
            for m in range(n, len(self.demands)):
                other, other_duty = self.demands[m]
                if other.start >= step.end + reach:
                    break
                if between.against(step, duty, other, other_duty):
                    clash[n] |= 1 << m
                    clash[m] |= 1 << n
        return clash

    def _index_meals(self) -> None:
        number: defaultdict[str, int] = defaultdict(int)
        for n, (step, _) in enumerate(self.demands):
            number[step.id] |= 1 << n
        meals = self.problem.meals if self.problem.keeps(Rule.MEAL_BREAK) else ()
        steps = self.problem.steps
        stretches = [
            [sum(number[name] for name in met) for met in free_stretches(meal, steps)]
            for meal in meals
        ]
        self.meals: list[list[list[int]]] = [
            [
                stretch
                for meal, stretch in zip(meals, stretches, strict=True)
                if stretch and is_here_for(person, meal)
            ]
            for person in self.problem.people
        ]

    def _index_company(self) -> None:
        people = self.problem.people
        numbers = {person.id: n for n, person in enumerate(people)}
        self.apart: list[set[int]] = [set() for _ in people]
        for one, other in asked(self.problem, HouseholdWish.APART):
            self.apart[numbers[one]].add(numbers[other])
            self.apart[numbers[other]].add(numbers[one])
        self.together: list[set[int]] = [set() for _ in people]
        for one, other in asked(self.problem, HouseholdWish.TOGETHER):
            self.together[numbers[one]].add(numbers[other])
            self.together[numbers[other]].add(numbers[one])
        self.first_timer = [is_first_timer(person) for person in people]
        self.sharp_steps = {step.id for step, duty in self.demands if duty.sharp}
        self.learning: defaultdict[str, int] = defaultdict(int)
        self.mentors: defaultdict[str, int] = defaultdict(int)
        self.staff = [person.part is not Part.ATTENDEE for person in people]

    def forgive_lost_meals(self) -> None:
        """Owe nobody a meal that the past has already taken."""
        for n, mine in enumerate(self.meals):
            owed = (
                [stretch for stretch in stretches if not stretch & self.held[n]]
                for stretches in mine
            )
            self.meals[n] = [stretches for stretches in owed if stretches]

    # --- coming and going -------------------------------------------------------------------

    def come(self, person: int, demand: int, *, past: bool = False) -> None:
        """A person takes a demand."""
        self.held[person] |= 1 << demand
        if past:
            self.past |= 1 << demand
            return
        self.crew[demand].append(person)
        self._count_mentors(person, demand, 1)

    def go(self, person: int, demand: int) -> None:
        """A person leaves a demand."""
        self.held[person] &= ~(1 << demand)
        self.crew[demand].remove(person)
        self._count_mentors(person, demand, -1)

    def _count_mentors(self, person: int, demand: int, by: int) -> None:
        step, duty = self.demands[demand]
        if step.id not in self.sharp_steps:
            return
        if duty.sharp and self.first_timer[person]:
            self.learning[step.id] += by
        if is_mentor(self.problem.people[person], duty):
            self.mentors[step.id] += by

    # --- what is open -----------------------------------------------------------------------

    def fits(self, person: int, demand: int) -> bool:
        """Whether a person may take a demand beside all that they hold."""
        held = self.held[person]
        if held & self.clash[demand]:
            return False
        if self.row and self.heavy >> demand & 1 and self._heavy_beside(held, demand) & 3:
            return False
        if self.apart[person] and not self.apart[person].isdisjoint(self.crew[demand]):
            return False
        return self._leaves_time(person, held | 1 << demand, demand)

    def _heavy_beside(self, held: int, demand: int) -> int:
        """Bit 0: the duty before it in the day is heavy; bit 1: the duty after it is."""
        today = held & self.day[demand]
        before = today & ((1 << demand) - 1)
        after = today >> (demand + 1)
        found = 0
        if before and self.heavy >> (before.bit_length() - 1) & 1:
            found |= 1
        if after and self.heavy >> (demand + (after & -after).bit_length()) & 1:
            found |= 2
        return found

    def _leaves_time(self, person: int, held: int, demand: int) -> bool:
        for stretches in self.meals[person]:
            if all(stretch & held for stretch in stretches):
                return False
        for bits, cap in self.caps:
            if bits >> demand & 1 and self._spent(held & bits & self.day[demand]) > cap.most_min:
                return False
        return True

    def _spent(self, held: int) -> int:
        spent = 0
        while held:
            lowest = held & -held
            spent += self.minutes[lowest.bit_length() - 1]
            held ^= lowest
        return spent

    def holds_after(self, touched: set[int], gone: list[tuple[int, int]]) -> bool:
        """Whether what is left after a change still keeps the rules that a leaving can break."""
        if self.row:
            for person, demand in gone:
                held = self.held[person]
                if not held >> demand & 1 and self._heavy_beside(held, demand) == 3:
                    return False
        return all(self.has_mentors(demand) for demand in touched)

    def has_mentors(self, demand: int) -> bool:
        """Whether the first-timers at the step of a demand have mentors enough."""
        step = self.demands[demand][0].id
        room = self.problem.learners_per_mentor * self.mentors[step]
        return self.learning[step] <= room
