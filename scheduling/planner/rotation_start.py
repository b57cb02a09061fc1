"""A first plan without a search: step by step, the person for whom the turn is worth most.

It keeps every rule but may leave hands short; the search that follows fills what can be filled.
"""

from __future__ import annotations

from scheduling.planner.rotation_board import NOBODY, Board
from scheduling.planner.rotation_problem import Placed


def fill(board: Board) -> None:
    """Place people on an empty board, or on one that holds the locks and the past alone.

    Needed hands come first, demand by demand in the order of time; among demands that start
    together staff comes first (mentors), then the demand with the fewest people to spare.
    """
    by_time = sorted(range(len(board.demands)), key=lambda n: _rank(board, n))
    for demand in by_time:
        _hands(board, demand, board.demands[demand][1].needed)
    for demand in by_time:
        _hands(board, demand, board.demands[demand][1].most)


def keep_posted(board: Board) -> None:
    """Place people as posted where the rules still let it, and fill what is short beside it.

    Some placements need others to be there first (a first-timer a mentor, a second heavy duty the
    lighter one before it), so those that did not go in are tried again while any other does.
    """
    waiting = sorted(board.problem.posted, key=lambda told: _stands_alone(board, told))
    placed = True
    while placed:
        left = [told for told in waiting if not _as_told(board, told)]
        placed = len(left) < len(waiting)
        waiting = left
    if any(board.rules.together):
        _send_away_the_lonely(board)
    for demand in sorted(range(len(board.demands)), key=lambda n: _rank(board, n)):
        _hands(board, demand, board.demands[demand][1].needed)


def _stands_alone(board: Board, told: Placed) -> tuple[bool, bool, Placed]:
    """Light before heavy, and first-timers last: most then go in at once."""
    demand = board.number.get((told.step, told.duty), NOBODY)
    person = board.people.get(told.person, NOBODY)
    heavy = demand != NOBODY and board.demands[demand][1].heavy
    return heavy, person != NOBODY and board.rules.first_timer[person], told


def _as_told(board: Board, told: Placed) -> bool:
    """Put a person where they were told, if the rules let it; whether they are there now."""
    demand = board.number.get((told.step, told.duty), NOBODY)
    person = board.people.get(told.person, NOBODY)
    if NOBODY in (demand, person):
        return False
    named = [i for i in board.slots_of[demand] if told.place in ("", board.slots[i].place)]
    if any(board.who[index] == person for index in named):
        return True
    free = [index for index in named if board.who[index] == NOBODY]
    return bool(free) and board.change([(free[0], person)])


def _send_away_the_lonely(board: Board) -> None:
    """Take off whoever is at a step without those of their household who could be there, too."""
    for index, person in enumerate(board.who):
        if person == NOBODY or index in board.locked:
            continue
        step = board.demands[board.slots[index].demand][0].id
        here = [
            other
            for other, slot in enumerate(board.slots)
            if board.demands[slot.demand][0].id == step
        ]
        there = {board.who[other] for other in here}
        could = {mate for other in here for mate in board.allowed[other]}
        if board.rules.together[person] & could - there:
            board.change([(index, NOBODY)])


def _rank(board: Board, demand: int) -> tuple[int, bool, int, int]:
    step, duty = board.demands[demand]
    slots = board.slots_of[demand]
    spare = min((len(board.allowed[index]) for index in slots), default=0) - duty.needed
    staff = any(board.rules.staff[person] for index in slots for person in board.allowed[index])
    return step.start, not staff, spare, demand


def _hands(board: Board, demand: int, wanted: int) -> None:
    """Fill the demand's free slots until it has the hands wanted, or nobody is left for it."""
    slots = board.slots_of[demand]
    missing = wanted - sum(board.who[index] != NOBODY for index in slots)
    for index in slots:
        if missing <= 0:
            return
        if board.who[index] == NOBODY and _fill_one(board, index):
            missing -= 1


def _fill_one(board: Board, index: int) -> bool:
    demand = board.slots[index].demand
    open_to = [person for person in board.allowed[index] if board.rules.fits(person, demand)]
    worth = sorted(open_to, key=lambda person: _worth(board, person, index))
    return any(_with_household(board, person, index) for person in worth)


def _worth(board: Board, person: int, index: int) -> tuple[bool, int, int, int]:
    """Small for whom the turn is worth most: new to it, missed most, worked least."""
    duty = board.demands[board.slots[index].demand][1]
    tally = board.tally
    new = duty.id in tally.to_cover[person] and not tally.turns[person][duty.id]
    heavy = tally.heavy.minutes[person] if duty.heavy else 0
    return not new, heavy, tally.work.minutes[person], -tally.missed[person]


def _with_household(board: Board, person: int, index: int) -> bool:
    """Place the person, and with them those of their household who are to be there, too."""
    changes = [(index, person)]
    step = board.demands[board.slots[index].demand][0]
    here = [
        other
        for demand, (one, _) in enumerate(board.demands)
        if one.id == step.id
        for other in board.slots_of[demand]
    ]
    there = {board.who[other] for other in here}
    for mate in sorted(board.rules.together[person] - there):
        could = [other for other in here if mate in board.allowed[other]]
        taken = {other for other, _ in changes}
        free = [o for o in could if o not in taken and board.who[o] == NOBODY]
        if could and not free:
            return False
        if free:
            changes.append((free[0], mate))
    return board.change(changes)
