"""What a course costs and brings in, and how many seats it takes to break even."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import IntegrityError, transaction

from workshops.models import AnimalStatus, Cost, CostBasis, StaffRole, Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One cost, times what it grows with."""

    cost: Cost
    count: int

    @property
    def total(self) -> int:
        """In cents."""
        return self.cost.cents * self.count


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """A course's sums, in cents, at the seats confirmed now."""

    lines: tuple[Line, ...]
    price: int
    per_seat: int
    seats: int
    filled: int
    fees: int

    @property
    def costs(self) -> int:
        """What it costs with the seats confirmed now."""
        return sum(line.total for line in self.lines)

    @property
    def left(self) -> int:
        """What is left over now; below zero, what is missing."""
        return self.fees - self.costs

    @property
    def fixed(self) -> int:
        """What it costs whoever comes."""
        return self.costs - self.per_seat * self.filled

    @property
    def break_even(self) -> int | None:
        """The fewest seats at today's price that cover the costs; None if no number does."""
        return break_even(fixed=self.fixed, price=self.price, per_seat=self.per_seat)

    @property
    def sentence(self) -> str:
        """Whether it pays, in words."""
        needed = self.break_even
        if needed is None:
            return (
                "A seat costs as much as it brings in, so no number of seats covers the rest; "
                "raise the price or lower what each seat costs."
            )
        if needed > self.seats:
            return (
                f"It takes {needed} seats to break even and there are {self.seats}; "
                "raise the price, lower a cost or open more seats."
            )
        return f"{needed} of {self.seats} seats cover the costs; {self.filled} are confirmed."


def break_even(*, fixed: int, price: int, per_seat: int) -> int | None:
    """The smallest whole n with n * (price - per_seat) >= fixed, or None.

    All in cents, none below zero.

    >>> break_even(fixed=200_000, price=48_500, per_seat=8_500)
    5
    >>> break_even(fixed=200_001, price=48_500, per_seat=8_500)
    6
    >>> break_even(fixed=1, price=100, per_seat=100) is None
    True
    """
    if fixed <= 0:
        return 0
    margin = price - per_seat
    return -(-fixed // margin) if margin > 0 else None


class NameTaken(Exception):
    """The budget has a line of that name already."""

    def __init__(self) -> None:
        super().__init__("The budget has a line of that name; change that one.")


def write(cost: Cost) -> None:
    """Save a line of the budget, or raise ``NameTaken``.

    The database decides: another tab may add the same name between a look and the save.
    """
    try:
        with transaction.atomic():
            cost.save()
    except IntegrityError as error:
        raise NameTaken from error


def budget(workshop: Workshop) -> Budget:
    """The sums. Five queries, however many lines there are."""
    confirmed = list(workshop.enrolments.confirmed())
    costs = list(workshop.costs.all())
    counts = counts_of(workshop, seats=len(confirmed))
    price = workshop.seat_price_cents
    return Budget(
        lines=tuple(Line(cost=cost, count=counts[CostBasis(cost.basis)]) for cost in costs),
        price=price,
        per_seat=sum(cost.cents for cost in costs if cost.basis == CostBasis.PER_SEAT),
        seats=workshop.seats,
        filled=len(confirmed),
        fees=sum(seat.fee(price) for seat in confirmed),
    )


def counts_of(workshop: Workshop, *, seats: int) -> dict[CostBasis, int]:
    """How many of each thing that a cost may grow with. Three queries."""
    days = workshop.days.count()
    hogs: Sequence[str] = list(workshop.animals.values_list("status", flat=True))
    helpers = workshop.staff.filter(role=StaffRole.HELPER).count()
    return {
        CostBasis.ONCE: 1,
        CostBasis.PER_HOG: sum(AnimalStatus(status).takes_part for status in hogs),
        CostBasis.PER_SEAT: seats,
        CostBasis.PER_HELPER_DAY: helpers * days,
        CostBasis.PER_DAY: days,
    }
