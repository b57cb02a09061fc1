"""What the rules say to other hands on a posted day: who may swap places, who may take over.

Nothing is written here. Every try is the whole day with the hands changed, and every hard rule
re-checked without the solver; what is broken already is not held against the change.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from scheduling import clocking
from scheduling.gathering import gather, placed, rotation_problem, rows_of
from scheduling.models import Placement, RunSheet, Step
from scheduling.models.swaps import Spot
from scheduling.planner.breaches import Breach
from scheduling.planner.check_rotation import check_rotation
from scheduling.planner.problem import Placed, RotationProblem
from scheduling.planner.rules import Rule, reasons_against
from workshops.models import Enrolment

# What a breach of these says about someone, everyone sees on the board. The others rest on what a
# person told the lead alone: limits, age, lift, practice, household.
FOR_ALL_TO_KNOW = {
    Rule.HANDS_NEEDED,
    Rule.NAMED_PLACES,
    Rule.ONE_PLACE_AT_A_TIME,
    Rule.REST_AFTER_HEAVY,
    Rule.HEAVY_IN_A_ROW,
    Rule.WALKING,
    Rule.TIME_CAP,
    Rule.MEAL_BREAK,
    Rule.SUPERVISED,
    Rule.PAST,
    Rule.LOCKS,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A posted day with everything that is needed to try other hands on it."""

    sheet: RunSheet
    seats: tuple[Enrolment, ...]
    rows: tuple[Placement, ...]
    problem: RotationProblem
    begun: frozenset[str]
    broken_already: frozenset[str]

    def breaks(self, hands: Mapping[int, Enrolment]) -> tuple[Breach, ...]:
        """Each rule that would be broken anew with these people at these placements (by id)."""
        tried = tuple(_with(self.rows, hands))
        found = check_rotation(self.problem, tried)
        return tuple(one for one in found if one.sentence not in self.broken_already)

    def like(self, other: Placement) -> Placement | None:
        """The same place of the same attendee in this version, with its step."""
        key = _key(other)
        return next((row for row in self.rows if row.enrolment_id and _key(row) == key), None)

    def at(self, spot: Spot) -> Placement | None:
        """The placement of whoever has that place, if the plan still has them there."""
        return next((row for row in self.rows if holds(row, row.step, spot)), None)

    def has_begun(self, step: Step, *, now: datetime) -> bool:
        """Whether its time has come by the plan, or someone has marked it as started."""
        return step.starts_at <= now or step.code in self.begun


def read(sheet: RunSheet) -> Table:
    """Everything for the tries; ``sheet`` must have its steps loaded. A fixed number of queries."""
    method = gather(sheet.day.workshop)
    problem = rotation_problem(method, [sheet])
    rows = tuple(rows_of([sheet]))
    times = clocking.times_of(sheet.day)
    return Table(
        sheet=sheet,
        seats=method.enrolments,
        rows=rows,
        problem=problem,
        begun=frozenset(code for code, seen in times.items() if seen.started),
        broken_already=frozenset(one.sentence for one in check_rotation(problem, placed(rows))),
    )


def _key(row: Placement) -> tuple[str, int, str, int | None]:
    return row.step.code, row.duty_id, row.place, row.enrolment_id


def holds(row: Placement, step: Step, spot: Spot) -> bool:
    """Whether this placement of this step is that place, and of that person still."""
    there = (step.code, row.duty_id, row.place, row.enrolment_id)
    return there == (spot.step_code, spot.duty_id, spot.place, spot.has.pk)


def _with(rows: Iterable[Placement], hands: Mapping[int, Enrolment]) -> Iterable[Placed]:
    for row, one in zip(rows, placed(rows), strict=True):
        new = hands.get(row.pk)
        yield one if new is None else replace(one, person=f"a{new.pk}")


# --- swapping two places ------------------------------------------------------------------------
@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """Someone else's place, and what speaks against swapping for it, in words for the asker."""

    row: Placement
    against: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """Why not."""
        return " ".join(self.against)


def against_swap(table: Table, mine: Placement, theirs: Placement) -> tuple[str, ...]:
    """What the rules say to the two changing places, as the asker may know it."""
    asker, other = mine.enrolment, theirs.enrolment
    if asker is None or other is None:
        return ("That place is the staff's. Ask the lead.",)
    broken = table.breaks({mine.pk: other, theirs.pk: asker})
    return told_to(table, asker, theirs, broken, other=other)


def told_to(
    table: Table,
    asker: Enrolment,
    theirs: Placement,
    broken: Iterable[Breach],
    *,
    other: Enrolment,
) -> tuple[str, ...]:
    """The breaches in words for the asker: their own limits plainly, nobody else's at all."""
    said = []
    name = other.attendee.given_name
    mine = _own_reasons(table, asker, theirs)
    for breach in broken:
        if breach.rule in FOR_ALL_TO_KNOW:
            said.append(breach.sentence)
        elif breach.rule in mine:
            said.append(f"{theirs.title} at {theirs.step}: {breach.rule.sentence}")
        else:
            said.append(f"{name} cannot take your place by the rules. Ask the lead, or another.")
    return tuple(dict.fromkeys(said))


def _own_reasons(table: Table, asker: Enrolment, theirs: Placement) -> frozenset[Rule]:
    person = next((one for one in table.problem.people if one.id == f"a{asker.pk}"), None)
    duty = next((one for one in table.problem.duties if one.id == str(theirs.duty_id)), None)
    step = next((one for one in table.problem.steps if one.id == theirs.step.code), None)
    if person is None or duty is None or step is None:
        return frozenset()
    return frozenset(reasons_against(person, duty, step, theirs.place))


def offers(table: Table, mine: Placement, *, now: datetime) -> list[Offer]:
    """Every place of another attendee that has not begun, in the order of the day."""
    found = []
    for row in table.rows:
        same_work = (row.step.code, row.title) == (mine.step.code, mine.title)
        if row.enrolment_id in {None, mine.enrolment_id} or same_work:
            continue
        if not table.has_begun(row.step, now=now):
            found.append(Offer(row=row, against=against_swap(table, mine, row)))
    return found


# --- a rest -------------------------------------------------------------------------------------
def substitute(table: Table, mine: Placement) -> Enrolment | None:
    """The best one to take over whom every rule allows, or nobody.

    Best is who has the fewest minutes of duty that day, then who has not had this duty today;
    both are judgements, no source. The lead's own locks do not count: the lead confirms.
    """
    minutes: dict[int, int] = defaultdict(int)
    tried: set[int] = set()
    for row in table.rows:
        if row.enrolment_id is not None:
            minutes[row.enrolment_id] += row.step.minutes
            if row.duty_id == mine.duty_id:
                tried.add(row.enrolment_id)
    at_work = {row.enrolment_id for row in table.rows if row.step.code == mine.step.code}
    free = [seat for seat in table.seats if seat.pk not in at_work]
    free.sort(key=lambda seat: (minutes[seat.pk], seat.pk in tried, seat.attendee.given_name))
    return next((seat for seat in free if not against_rest(table, mine, seat)), None)


def against_rest(table: Table, mine: Placement, seat: Enrolment) -> bool:
    """Whether a rule speaks against that person taking the place."""
    return bool(beside_locks(table.breaks({mine.pk: seat})))


def beside_locks(broken: Iterable[Breach]) -> tuple[Breach, ...]:
    """The breaches but those of the lead's own locks, for what the lead confirms anyway."""
    return tuple(one for one in broken if one.rule is not Rule.LOCKS)
