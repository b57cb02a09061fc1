"""What the docstrings say of queries is so, however many rows there are."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from pytest_django import DjangoAssertNumQueries

from tests.build import (
    FIRST_DAY,
    NOW,
    make_animal,
    make_enrolment,
    make_link,
    make_ownership,
    make_waiver_text,
)
from workshops import access, budgeting, changes, ledger
from workshops.models import Cost, CostBasis, Enrolment, LedgerKind, User, Workshop

pytestmark = pytest.mark.django_db


def grow(workshop: Workshop, seat: Enrolment) -> None:
    """Four more of whatever a page may list."""
    household, first = seat.attendee.household, workshop.days.all()[0]
    make_waiver_text(workshop)
    for number in range(4):
        make_ownership(make_animal(workshop), household)
        make_link(make_enrolment(workshop, household=household))
        make_enrolment(workshop)
        Cost.objects.create(
            workshop=workshop, name=f"Cost {Cost.objects.count()}", basis=CostBasis.ONCE, cents=1
        )
        workshop.ledger.create(
            household=household, kind=LedgerKind.PAYMENT, cents=100, on=FIRST_DAY, made_at=NOW
        )
        seat.changes.create(status=seat.status, at=NOW)
        for one in workshop.animals.all():
            one.treatments.create(product=f"P{number}", on=FIRST_DAY, withdrawal_days=1)
        first.meals.create(name=f"Dish {first.meals.count()}", contains=["milk"])


@pytest.mark.parametrize(
    ("promised", "ask"),
    [
        (5, lambda organizer, workshop, seat: budgeting.budget(workshop)),
        (3, lambda organizer, workshop, seat: budgeting.counts_of(workshop, seats=1)),
        (2, lambda organizer, workshop, seat: ledger.account(workshop, seat.attendee.household)),
        (2, lambda organizer, workshop, seat: ledger.accounts(workshop)),
        (2, lambda organizer, workshop, seat: changes.lines(seat)),
        (2, lambda organizer, workshop, seat: list(workshop.enrolments.with_people())),
        (5, lambda organizer, workshop, seat: list(workshop.enrolments.with_answers())),
        (4, lambda organizer, workshop, seat: list(access.animals(organizer, workshop))),
        (2, lambda organizer, workshop, seat: access.private_link(seat.link.word, now=NOW)),
    ],
)
def test_a_question_costs_what_its_docstring_says(
    organizer: User,
    attendee: Enrolment,
    django_assert_num_queries: DjangoAssertNumQueries,
    promised: int,
    ask: Callable[[User, Workshop, Enrolment], object],
) -> None:
    """The same with few rows and with many."""
    workshop = attendee.workshop
    assert attendee.link.word
    assert organizer.has_perm(access.SEE_MONEY)  # asked once, then known
    for _ in range(2):
        grow(workshop, attendee)
        with django_assert_num_queries(promised):
            ask(organizer, workshop, attendee)
