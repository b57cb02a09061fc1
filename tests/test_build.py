"""The builders themselves: every one makes rows that the models accept."""

from __future__ import annotations

import inspect

import pytest

from tests import build, cast
from workshops.models import Limit


@pytest.mark.django_db
def test_every_builder_makes_rows_that_pass_validation() -> None:
    """A default that the model would refuse would hide what a test is about."""
    rows = [
        make()
        for name, make in inspect.getmembers(build, inspect.isfunction)
        if name.startswith("make_")
        and all(
            parameter.default is not parameter.empty or parameter.kind is parameter.VAR_KEYWORD
            for parameter in inspect.signature(make).parameters.values()
        )
    ]
    assert len(rows) >= 17
    for row in rows:
        row.full_clean()


@pytest.mark.django_db
def test_the_minor_is_under_18_on_each_day() -> None:
    """The minor's age follows from the birth date and the built workshop's dates."""
    workshop = build.make_workshop()
    minor = cast.make_minor(workshop)
    assert all(Limit.UNDER_18 in minor.limits_on(day.date) for day in workshop.days.all())
