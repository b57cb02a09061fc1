"""A short local search: give a turn to someone else, or let two people change turns.

A change is kept if the plan is no worse, goal by goal in their order; so the search walks along
plans that are equally good until it meets a better one. Rules are never broken on the way. The
number of tries is fixed beforehand, never the time, so that it ends the same way each time.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable

from scheduling.planner.rotation_board import NOBODY, Board

Value = Callable[[], int]
SHARE_OF_SWAPS = 0.5  # either kind alone leaves plans that the other could still better


def improve(board: Board, goals: Iterable[str], *, tries: int, seed: int) -> int:
    """Improve a board by small changes, the goals in their order of weight.

    Args:
        board: the plan in hand; it is changed in place and never made worse.
        goals: the names of goals, first the one that counts most.
        tries: how many changes to try, 0 or more.
        seed: the same board, tries and seed end in the same plan.

    Returns:
        How many changes were kept.
    """
    read = board.tally.values()
    chance = random.Random(seed)  # noqa: S311  # nothing secret: the same seed, the same plan
    return _Walk(board, [read[name] for name in goals], chance).run(tries)


class _Walk:
    def __init__(self, board: Board, values: list[Value], chance: random.Random) -> None:
        self.board = board
        self.values = values
        self.chance = chance
        fixed = board.locked
        self.free = [n for n in range(len(board.slots)) if n not in fixed and board.allowed[n]]
        self.bound = [bool(mates) for mates in board.rules.together]

    def run(self, tries: int) -> int:
        """Try so many changes; stop where everything is as good as counting allows."""
        if not self.free:
            return 0
        kept = 0
        best = self._score()
        for _ in range(tries):
            changes = self._pick()
            if not changes:
                continue
            before = [(index, self.board.who[index]) for index, _ in changes]
            if not self.board.change(changes):
                continue
            found = self._score_against(best)
            if found is None:
                self.board.put_back(before)
            else:
                kept += 1
                best = found
        return kept

    def _score(self) -> list[int]:
        return [value() for value in self.values]

    def _score_against(self, best: list[int]) -> list[int] | None:
        """The score, or None as soon as it is seen to be worse than the best."""
        found: list[int] = []
        better = False
        for value, least in zip(self.values, best, strict=True):
            found.append(value())
            if not better:
                if found[-1] > least:
                    return None
                better = found[-1] < least
        return found

    def _pick(self) -> list[tuple[int, int]]:
        """A change that the plainest rules do not speak against, or nothing."""
        first = self.chance.choice(self.free)
        if self.chance.random() < SHARE_OF_SWAPS:
            return self._swap(first, self.chance.choice(self.free))
        person = self.chance.choice(self.board.allowed[first])
        there = self.board.who[first]
        if person == there or self.bound[person] or (there != NOBODY and self.bound[there]):
            return []
        held = self.board.rules.held[person]
        demand = self.board.slots[first].demand
        in_the_way = held & self.board.rules.clash[demand]
        if in_the_way:
            return self._instead(first, person, in_the_way)
        return [(first, person)]

    def _instead(self, first: int, person: int, in_the_way: int) -> list[tuple[int, int]]:
        """The person leaves the one demand in the way, and who is moved takes their place."""
        if in_the_way & (in_the_way - 1):
            return []
        board = self.board
        for second in board.slots_of[in_the_way.bit_length() - 1]:
            if board.who[second] == person:
                return self._swap(first, second)
        return []

    def _swap(self, first: int, second: int) -> list[tuple[int, int]]:
        board = self.board
        one, other = board.who[first], board.who[second]
        if one == other or first == second or second in board.locked:
            return []
        for person, index in ((one, second), (other, first)):
            if person != NOBODY and (self.bound[person] or person not in board.allowed[index]):
                return []
        return [(first, other), (second, one)]
