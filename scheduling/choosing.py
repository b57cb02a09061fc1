"""Who may take a place from someone, and what would speak against each of the others."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from scheduling.gathering import gather, placed, rotation_problem, rows_of
from scheduling.models import Placement, RunSheet
from scheduling.planner.check_rotation import check_rotation
from scheduling.planner.problem import Placed
from scheduling.planner.rules import Rule
from workshops.models import Enrolment


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One person who could be put at the place: what they leave for it, what it would break."""

    seat: Enrolment
    leaves: str
    breaks: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """What happens, in words."""
        if self.breaks:
            return " ".join(self.breaks)
        return f"Changes places: was {self.leaves} of this step." if self.leaves else "Is free."


def choices(sheet: RunSheet, placement: Placement) -> tuple[Choice, ...]:
    """Every confirmed attendee but the one who holds the place, those who break no rule first.

    Each is tried: put there, changing places as ``placing.give_place`` does, and every hard rule
    re-checked. ``sheet`` must have its steps loaded; costs what gathering a workshop costs.
    """
    method = gather(sheet.day.workshop)
    # Locks are the lead's own word; this page is the lead changing it.
    problem = replace(rotation_problem(method, [sheet]), locks=())
    rows = placed(rows_of([sheet]))
    held = next(row for row in rows if _is(row, placement))
    today = {breach.sentence for breach in check_rotation(problem, rows)}
    duties = {duty.id: duty.name for duty in problem.duties}
    found = []
    for seat in method.enrolments:
        key = f"a{seat.pk}"
        if key == held.person:
            continue
        tried = tuple(_changed(rows, held, key))
        mine = next((r for r in rows if r.step == held.step and r.person == key), None)
        broken = [
            breach
            for breach in check_rotation(problem, tried)
            if breach.sentence not in today and breach.rule is not Rule.LOCKS
        ]
        found.append(
            Choice(
                seat=seat,
                leaves=f"{duties[mine.duty]} {mine.place}".strip().lower() if mine else "",
                breaks=tuple(breach.sentence for breach in broken),
            )
        )
    return tuple(sorted(found, key=lambda one: (bool(one.breaks), one.seat.attendee.given_name)))


def _is(row: Placed, placement: Placement) -> bool:
    return (row.step, row.duty, row.place, row.person) == (
        placement.step.code,
        str(placement.duty_id),
        placement.place,
        placement.person_key,
    )


def _changed(rows: Iterable[Placed], held: Placed, key: str) -> Iterable[Placed]:
    """The rows with that person at the held place, and its holder where that person was."""
    for row in rows:
        if row == held:
            yield replace(row, person=key)
        elif row.step == held.step and row.person == key:
            yield replace(row, person=held.person)
        else:
            yield row
