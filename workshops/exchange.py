"""People in and out as tables.

Coming in, every row is judged by the same form as a person's page, told what it would change, and
nothing is written until the organizer says so; then all of it is, or none.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.http import QueryDict

from workshops import enrolling, tables
from workshops.enrolling import Entry
from workshops.forms.people import TYPED_AS, PersonForm, said
from workshops.models import (
    Allergen,
    Enrolment,
    EnrolmentStatus,
    Household,
    Knife,
    Limit,
    PeopleImport,
    TradeJob,
    User,
    Workshop,
)
from workshops.quantities import LENGTH, WEIGHT
from workshops.seating import NoSeatLeft

LISTS: dict[str, Any] = {  # Any: each is an enum class, which has no common narrower type
    "limits": Limit,
    "allergens": Allergen,
    "must_try": TradeJob,
    "rather_not": TradeJob,
}
# The columns, in the order of a file that goes out. Those of NEEDED must be there.
COLUMNS = (
    "given_name", "family_name", "household_name", "email", "phone", "emergency_contact",
    "emergency_phone", "born", "guardian", "height", "lift", "knife", "diet", "limits",
    "allergens", "must_try", "rather_not", "status", "health_note",
)  # fmt: skip
NEEDED = ("given_name", "household_name")


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One row of the file: what it would do, and what is wrong with it."""

    number: int
    name: str
    changes: tuple[str, ...]
    faults: tuple[str, ...]
    entry: Entry | None
    seat: Enrolment | None

    @property
    def does(self) -> str:
        """What would happen, in a word or two."""
        if self.faults:
            return "cannot be brought in"
        if self.seat is None:
            return "new person"
        return "changes" if self.changes else "stays as it is"


@dataclass(frozen=True, slots=True, kw_only=True)
class DryRun:
    """The whole file, judged."""

    rows: tuple[Judged, ...]

    @property
    def faulty(self) -> int:
        """How many rows have something wrong."""
        return sum(bool(row.faults) for row in self.rows)

    @property
    def acting(self) -> int:
        """How many rows would write something."""
        return sum(row.does in {"new person", "changes"} for row in self.rows)


class NotApplied(Exception):
    """Nothing was written; the sentence says why."""


def take_in(
    workshop: Workshop, name: str, content: bytes, *, by: User, now: datetime
) -> PeopleImport:
    """Keep the rows of a file for the dry run. Raises ``tables.UnreadableTable``."""
    header, *rows = tables.read(name, content)
    known = [_column(cell) for cell in header]
    strange = [cell for cell, column in zip(header, known, strict=True) if column not in COLUMNS]
    missing = [column for column in NEEDED if column not in known]
    twice = sorted({column for column in known if column and known.count(column) > 1})
    if strange or missing or twice:
        told = [f"{cell or 'a column without a name'} is not known" for cell in strange]
        told += [f"{column} is missing" for column in missing]
        told += [f"{column} stands twice" for column in twice]
        raise tables.UnreadableTable(
            f"The header does not fit: {'; '.join(told)}. The columns are {', '.join(COLUMNS)}."
        )
    kept = [dict(zip(known, [tables.plain(c) for c in row], strict=False)) for row in rows]
    return PeopleImport.objects.create(
        workshop=workshop, name=name[:200], rows=kept, made_at=now, made_by=by
    )


def dry_run(brought: PeopleImport) -> DryRun:
    """Judge every row against the people as they are now. Writes nothing."""
    workshop = brought.workshop
    people = {_key(seat): seat for seat in Enrolment.objects.for_workshop(workshop).with_answers()}
    first: dict[tuple[str, str, str], int] = {}
    judged = []
    for number, row in enumerate(brought.rows, start=2):
        judged.append(_judge(workshop, row, number, people=people, first=first))
    return DryRun(rows=tuple(judged))


@transaction.atomic
def apply(brought: PeopleImport, *, now: datetime) -> int:
    """Write every row, or none; answers how many. A second time writes nothing.

    The file's rows are wiped: they hold what nobody needs twice.
    """
    locked = PeopleImport.objects.select_for_update(of=("self",)).get(pk=brought.pk)
    if locked.applied_at:
        return locked.written
    run = dry_run(locked)
    if run.faulty:
        raise NotApplied(
            f"{run.faulty} rows have something wrong; mend the file, bring it in anew."
        )
    written = 0
    for row in run.rows:
        written += _write(locked.workshop, row, by=locked.made_by, now=now)
    locked.rows, locked.applied_at, locked.written = [], now, written
    locked.save()
    return written


def drop(brought: PeopleImport) -> None:
    """The organizer thought better of it."""
    brought.delete()


def people_table(
    workshop: Workshop, seats: Sequence[Enrolment], *, with_health: bool
) -> list[list[str]]:
    """Everyone, in the columns that also come in. Uses what ``with_answers`` prefetches."""
    columns = [column for column in COLUMNS if with_health or column != "health_note"]
    return [list(columns), *([_out(workshop, seat, name) for name in columns] for seat in seats)]


def _judge(
    workshop: Workshop,
    row: dict[str, str],
    number: int,
    *,
    people: dict[tuple[str, str, str], Enrolment],
    first: dict[tuple[str, str, str], int],
) -> Judged:
    key = _key_of(row)
    seat = people.get(key)
    data, faults = _form_data(workshop, row, seat)
    if key in first:
        faults.append(f"The same person stands in row {first[key]}; keep one of the two.")
    first.setdefault(key, number)
    form = PersonForm(
        data, workshop=workshop, seat=seat or enrolling.blank_seat(workshop), sees_health=True
    )
    if not form.is_valid():
        faults += form.refusals + [str(one) for one in form.non_field_errors()]
    entry = None if faults else form.entry()
    changes = (
        [said(name) for name in entry.differences(enrolling.entry_of(seat, with_health=True))]
        if entry and seat
        else []
    )
    return Judged(
        number=number,
        name=f"{row.get('given_name', '')} {row.get('family_name', '')}".strip() or "no name",
        changes=tuple(changes),
        faults=tuple(faults),
        entry=entry,
        seat=seat,
    )


def _form_data(
    workshop: Workshop, row: dict[str, str], seat: Enrolment | None
) -> tuple[QueryDict, list[str]]:
    """The row as the person's page would send it; an absent column leaves what is there."""
    data, faults = QueryDict(mutable=True), []
    kept = enrolling.entry_of(seat, with_health=True) if seat else None
    for name in [*COLUMNS, "arrives_at", "leaves_at"]:
        if name in row:
            values, wrong = _values(name, row[name])
            faults += wrong
        else:
            values = _kept(workshop, kept, name)
        data.setlist(name, values)
    if not data.get("status"):
        data["status"] = kept.status if kept else EnrolmentStatus.ENQUIRY
    if not data.get("knife"):
        data["knife"] = str(int(Knife.NONE))
    return data, faults


def _values(name: str, cell: str) -> tuple[list[str], list[str]]:
    """A cell as form values: words or keys of a list, separated by semicolons."""
    if name in LISTS:
        return _listed(name, cell)
    if name == "knife" and cell:
        words = {knife.label: str(int(knife)) for knife in Knife}
        return [words.get(cell, cell)], []
    return [cell], []


def _listed(name: str, cell: str) -> tuple[list[str], list[str]]:
    # Labels hold commas of their own, so only semicolons part them.
    # Under 18 follows from the birth date and is never written.
    choices = [choice for choice in LISTS[name] if choice != Limit.UNDER_18]
    words = {choice.label.casefold(): choice.value for choice in choices}
    keys = {str(choice.value): str(choice.value) for choice in choices}
    found, faults = [], []
    for part in filter(None, (part.strip() for part in cell.split(";"))):
        value = keys.get(part) or words.get(part.casefold())
        if value is None:
            faults.append(
                f"{said(name)}: {part!r} is not known; write {'; '.join(sorted(keys))}, parted by "
                "semicolons."
            )
        else:
            found.append(str(value))
    return found, faults


def _kept(workshop: Workshop, kept: Entry | None, name: str) -> list[str]:
    """What is there already, as the form would send it."""
    if kept is None:
        return []
    ours = {theirs: mine for mine, theirs in TYPED_AS.items()}.get(name, name)
    value = getattr(kept, ours)
    if value in (None, ""):
        return []
    if isinstance(value, tuple):
        return [str(one.value) for one in value]
    if name in {"arrives_at", "leaves_at"}:
        return [f"{value.astimezone(workshop.zone):%Y-%m-%dT%H:%M}"]
    return [_measured(workshop, name, value)]


def _measured(workshop: Workshop, name: str, value: Any) -> str:
    quantity = {"height": LENGTH, "lift": WEIGHT}.get(name)
    if quantity:
        return f"{quantity.typed(value, workshop.units):f}"
    return str(int(value)) if isinstance(value, Knife) else str(value)


def _out(workshop: Workshop, seat: Enrolment, name: str) -> str:
    kept = enrolling.entry_of(seat, with_health=True)
    if name == "knife":
        return Knife(seat.knife).label
    return "; ".join(_kept(workshop, kept, name))


def _write(workshop: Workshop, row: Judged, *, by: User | None, now: datetime) -> int:
    """One row, by the same verbs as the person's page."""
    assert row.entry is not None
    try:
        if row.seat is None:
            enrolling.enrol(workshop, row.entry, _household(workshop, row.entry), now=now)
        elif row.changes:
            # Read anew: an earlier row may have changed the household they share.
            seat = Enrolment.objects.with_answers().get(pk=row.seat.pk)
            seen = enrolling.entry_of(seat, with_health=True).version
            enrolling.amend(seat, row.entry, seen=seen, now=now, by=by)
        else:
            return 0
    except (NoSeatLeft, enrolling.ChangedMeanwhile) as refusal:
        raise NotApplied(
            f"Row {row.number}, {row.name}: {refusal} Nothing was written."
        ) from refusal
    return 1


def _household(workshop: Workshop, entry: Entry) -> Household | None:
    """One of that name and address in this workshop, so that a family comes in as one."""
    return Household.objects.filter(
        attendees__enrolments__workshop=workshop, name=entry.household_name, email=entry.email
    ).first()


def _column(cell: str) -> str:
    return cell.strip().casefold().replace(" ", "_").replace("-", "_")


def _key(seat: Enrolment) -> tuple[str, str, str]:
    person = seat.attendee
    names = (person.given_name, person.family_name, person.household.name)
    return tuple(name.casefold() for name in names)  # type: ignore[return-value]  # three of three


def _key_of(row: dict[str, str]) -> tuple[str, str, str]:
    columns = ("given_name", "family_name", "household_name")
    return tuple(row.get(name, "").casefold() for name in columns)  # type: ignore[return-value]  # three
