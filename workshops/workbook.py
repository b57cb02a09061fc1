"""Everything this chapter knows of one workshop, as tables."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Model

from workshops import exchange
from workshops.models import (
    Animal,
    AnswerChange,
    Cost,
    Day,
    LedgerEntry,
    LocalCheck,
    Meal,
    Ownership,
    SeatChange,
    SignUp,
    Treatment,
    Waiver,
    Workshop,
)
from workshops.tables import Row

# What tells a private link, or is of no use outside.
LEFT_OUT = {"id", "workshop", "form_id"}


def sheets(workshop: Workshop) -> dict[str, list[Row]]:
    """A table for each kind of row; people in the columns that also come in."""
    seats = list(workshop.enrolments.with_answers())
    return {
        "people": exchange.people_table(workshop, seats, with_health=True),
        "course": _table(Workshop, [workshop]),
        "days": _table(Day, workshop.days.all()),
        "hogs": _table(Animal, workshop.animals.all()),
        "owners": _table(
            Ownership,
            Ownership.objects.filter(animal__workshop=workshop).select_related(
                "animal", "household"
            ),
        ),
        "treatments": _table(
            Treatment, Treatment.objects.filter(animal__workshop=workshop).select_related("animal")
        ),
        "local checks": _table(LocalCheck, workshop.local_checks.all()),
        "menu": _table(Meal, Meal.objects.filter(day__workshop=workshop).select_related("day")),
        "sign-ups": _table(SignUp, workshop.sign_ups.select_related("household")),
        "waivers": _table(
            Waiver,
            Waiver.objects.filter(enrolment__workshop=workshop).select_related(
                "enrolment__attendee", "text__workshop"
            ),
        ),
        "seat changes": _table(
            SeatChange,
            SeatChange.objects.filter(enrolment__workshop=workshop).select_related(
                "enrolment__attendee"
            ),
        ),
        "answer changes": _table(
            AnswerChange,
            AnswerChange.objects.filter(enrolment__workshop=workshop).select_related(
                "enrolment__attendee", "by_user", "by_seat__attendee"
            ),
        ),
        "ledger": _table(
            LedgerEntry, workshop.ledger.select_related("household", "reverses", "made_by")
        ),
        "costs": _table(Cost, workshop.costs.all()),
    }


def _table(model: type[Model], rows: Iterable[Model]) -> list[Row]:
    columns = [field for field in model._meta.concrete_fields if field.name not in LEFT_OUT]
    header = [field.name for field in columns]
    return [header, *([_cell(row, name) for name in header] for row in rows)]


def _cell(row: Model, name: str) -> str:
    value = getattr(row, name)
    return "" if value is None else str(value)
