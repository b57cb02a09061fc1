"""The ledger, the budget and their pages."""

from __future__ import annotations

import uuid
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.build import (
    FIRST_DAY,
    NOW,
    make_animal,
    make_enrolment,
    make_household,
    make_staff,
    make_workshop,
)
from workshops import budgeting, ledger, linking, money, seating
from workshops.forms.money import CostForm
from workshops.models import (
    Cost,
    CostBasis,
    EnrolmentStatus,
    Household,
    LedgerEntry,
    LedgerKind,
    User,
    Workshop,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def course() -> Workshop:
    return make_workshop(slug="winter", seats=10, seat_price_cents=48500)


@pytest.fixture
def household(course: Workshop) -> Household:
    """Two confirmed seats, so 970.00."""
    made = make_household(name="Reed")
    for _ in range(2):
        seat = make_enrolment(course, household=made, status=EnrolmentStatus.ENQUIRY)
        seating.settle(seat, EnrolmentStatus.CONFIRMED, now=NOW)
    return made


def put(
    course: Workshop, household: Household, by: User, kind: LedgerKind, cents: int
) -> LedgerEntry:
    draft = ledger.Draft(kind=kind, cents=cents, on=FIRST_DAY, note="", form_id=uuid.uuid4())
    return ledger.post(course, household, draft, by=by, now=NOW)


def test_what_a_household_owes_follows_from_seats_and_entries(
    course: Workshop, household: Household, organizer: User
) -> None:
    """970.00 of fees, 40.00 more, 20.00 less, 500.00 paid, 10.00 of it given back: 500.00."""
    for kind, cents in (
        (LedgerKind.CHARGE, 4000),
        (LedgerKind.REDUCTION, 2000),
        (LedgerKind.PAYMENT, 50000),
        (LedgerKind.REFUND, 1000),
    ):
        put(course, household, organizer, kind, cents)
    account = ledger.account(course, household)
    assert (account.charged, account.paid, account.owed) == (99000, 49000, 50000)
    assert account.sentence == "USD 500.00 is still to be paid."
    (listed,) = ledger.accounts(course)
    assert listed == account


def test_the_price_is_that_of_the_day_the_seat_was_confirmed(
    course: Workshop, household: Household
) -> None:
    """A dearer course next week changes nothing for those who are in."""
    Workshop.objects.update(seat_price_cents=99900)
    course.refresh_from_db()
    assert ledger.account(course, household).owed == 97000


def test_a_mistake_is_reversed_once_and_both_rows_stay(
    organizer_client: Client, course: Workshop, household: Household, organizer: User
) -> None:
    """Pressed twice, the second press is told; nothing is deleted."""
    entry = put(course, household, organizer, LedgerKind.PAYMENT, 5000)
    url = reverse("entry-reverse", args=[course.slug, entry.pk])
    organizer_client.post(url)
    page = organizer_client.post(url, follow=True).content.decode()
    assert "was reversed already" in page
    assert ledger.account(course, household).owed == 97000
    assert LedgerEntry.objects.count() == 2


def test_an_amount_that_arrives_twice_is_written_once(
    organizer_client: Client, course: Workshop, household: Household
) -> None:
    """The phone sends again when the first answer is lost."""
    form = {"kind": "payment", "amount": "48.50", "on": "2030-01-02", "form_id": uuid.uuid4()}
    url = reverse("account", args=[course.slug, household.pk])
    for _ in range(2):
        assert organizer_client.post(url, form).status_code == 302
    assert LedgerEntry.objects.get().cents == 4850


@pytest.mark.parametrize("amount", ["0", "-5", "1.234", "lots", "99999999999", "NaN", "Infinity"])
def test_an_impossible_amount_is_refused(
    organizer_client: Client, course: Workshop, household: Household, amount: str
) -> None:
    """With what would do."""
    form: dict[str, Any] = {"kind": "payment", "amount": amount, "on": "2030-01-02"}
    url = reverse("account", args=[course.slug, household.pk])
    page = organizer_client.post(url, form | {"form_id": uuid.uuid4()}).content.decode()
    assert "Write an amount from 0.01 to 10,000,000.00, such as 485 or 48.50." in page
    assert not LedgerEntry.objects.exists()


def test_a_household_sees_its_own_account_and_where_to_pay(
    client: Client, course: Workshop, household: Household
) -> None:
    """On its own page, and nobody else's."""
    Workshop.objects.update(payment_link="https://pay.example.org/hogs")
    other = make_enrolment(course, household=make_household(name="Other"))
    seat = course.enrolments.filter(attendee__household=household)[0]
    page = client.get(reverse("seat", args=[linking.renew(seat).word])).content.decode()
    assert "USD 970.00 is still to be paid." in page
    assert "https://pay.example.org/hogs" in page
    assert str(other.attendee.household) not in page


# --- the budget ----------------------------------------------------------------------------------
def test_the_budget_adds_up(course: Workshop, household: Household) -> None:
    """Two hogs at 300, 25 a seat, 120 a helper and day (one helper, three days), 90 once.

    600 + 50 + 360 + 90 = 1100 costs against 970 of fees. Fixed 1050, margin 460: 2.28, so 3.
    """
    for _ in range(2):
        make_animal(course)
    make_staff(course)
    for name, basis, amount in (
        ("Hog", CostBasis.PER_HOG, "300"),
        ("Food", CostBasis.PER_SEAT, "25"),
        ("Helper", CostBasis.PER_HELPER_DAY, "120"),
        ("Fuel", CostBasis.ONCE, "90"),
    ):
        Cost.objects.create(
            workshop=course, name=name, basis=basis, cents=money.cents(Decimal(amount))
        )
    budget = budgeting.budget(course)
    assert (budget.costs, budget.fees, budget.left) == (110000, 97000, -13000)
    assert (budget.fixed, budget.break_even) == (105000, 3)
    assert budget.sentence == "3 of 10 seats cover the costs; 2 are confirmed."


def test_a_course_that_can_never_pay_is_told(course: Workshop) -> None:
    """Too few seats, or a seat that costs what it brings."""
    once = Cost.objects.create(workshop=course, name="Fuel", basis=CostBasis.ONCE, cents=500_000)
    said = budgeting.budget(course).sentence
    assert said.startswith("It takes 11 seats to break even and there are 10;")
    Cost.objects.create(workshop=course, name="Food", basis=CostBasis.PER_SEAT, cents=48500)
    assert "no number of seats" in budgeting.budget(course).sentence
    once.delete()


def test_a_cost_is_added_changed_and_taken_off(organizer_client: Client, course: Workshop) -> None:
    """A plan may change; a name stands once."""
    typed = {"name": "Feed", "amount": "12.50", "basis": "per_hog"}
    add = reverse("cost-add", args=[course.slug])
    organizer_client.post(add, typed)
    page = organizer_client.post(add, typed).content.decode()
    assert "The budget has a line of that name; change that one." in page
    cost = Cost.objects.get()
    url = reverse("cost", args=[course.slug, cost.pk])
    organizer_client.post(url, typed | {"amount": "13"})
    assert Cost.objects.get().cents == 1300
    organizer_client.post(reverse("cost-remove", args=[course.slug, cost.pk]))
    assert not Cost.objects.exists()


def test_a_name_taken_a_moment_before_saving_is_told(course: Workshop) -> None:
    """Two tabs add one line at once: the second keeps what it typed, with the reason."""
    typed = {"name": "Feed", "amount": "12.50", "basis": "per_hog"}
    forms = [CostForm(typed, cost=Cost(workshop=course)) for _ in range(2)]
    assert all(form.is_valid() for form in forms)
    assert [form.is_kept() for form in forms] == [True, False]
    assert forms[1].refusals == ["Name: The budget has a line of that name; change that one."]
    assert Cost.objects.count() == 1


def test_the_money_page_costs_the_same_for_one_household_and_for_five(
    organizer_client: Client, course: Workshop
) -> None:
    """No query a row."""
    counts = []
    for households in (1, 4):
        for _ in range(households):
            make_enrolment(course)
            Cost.objects.create(
                workshop=course, name=f"C{Cost.objects.count()}", basis="once", cents=1
            )
        with CaptureQueriesContext(connection) as caught:
            organizer_client.get(reverse("money", args=[course.slug]))
        counts.append(len(caught))
    assert counts[0] == counts[1]
