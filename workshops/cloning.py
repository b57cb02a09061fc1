"""A workshop's own rows, copied to new dates: texts, price, days, breaks, staff, costs, menu.

People, hogs, money and checks stay behind: they belong to the course that was. Stations and kit
are the next chapter's, which copies its own and calls this.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import TypeVar

from django.db import transaction
from django.db.models import Model
from django.utils.text import slugify

from workshops import signing_up
from workshops.models import Break, Cost, Day, Meal, StaffMember, Workshop

M = TypeVar("M", bound=Model)


@transaction.atomic
def clone(workshop: Workshop, name: str, first_day: date, *, now: datetime) -> Workshop:
    """The new workshop, closed to sign-ups until the organizer opens it.

    Its days keep their distances: a course of Friday to Sunday with a gap keeps the gap.
    """
    days = list(workshop.days.all())
    text = signing_up.current_waiver(workshop)
    made = copy_of(workshop, name=name, slug=free_slug(name), takes_sign_ups=False)
    made.save()
    for day in days:
        _clone_day(day, made, first_day + (day.date - days[0].date))
    copy_rows(StaffMember.objects.filter(workshop=workshop), workshop=made)
    copy_rows(Cost.objects.filter(workshop=workshop), workshop=made)
    if text:
        signing_up.edit_waiver(made, text.text, now=now)
    return made


def _clone_day(day: Day, made: Workshop, on: date) -> None:
    new = copy_of(day, workshop=made, date=on)
    new.save()
    copy_rows(Break.objects.filter(day=day), day=new)
    copy_rows(Meal.objects.filter(day=day), day=new)


def copy_of(row: M, **changes: object) -> M:
    """An unsaved row with the same values but the changed ones."""
    values = {
        field.attname: getattr(row, field.attname)
        for field in row._meta.concrete_fields
        if not field.primary_key
    }
    made = type(row)(**values)
    for name, value in changes.items():
        setattr(made, name, value)
    return made


def copy_rows(rows: Iterable[M], **changes: object) -> list[M]:
    """Save a copy of each row, with the changes; in the same order."""
    made = [copy_of(row, **changes) for row in rows]
    for row in made:
        row.save()
    return made


def free_slug(name: str) -> str:
    """A slug from the name that no workshop has yet."""
    base = slugify(name)[:40] or "course"
    slug, number = base, 2
    while Workshop.objects.filter(slug=slug).exists():
        slug, number = f"{base}-{number}", number + 1
    return slug
