"""What was asked for, in words for the one who looks: the two themselves, or the lead."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from scheduling import access, swaps
from scheduling.models import RunSheet, Swap, SwapKind, SwapState
from workshops.models import Day, Enrolment


@dataclass(frozen=True, slots=True, kw_only=True)
class OnCard:
    """One request on the card of one of the two."""

    swap: Swap
    seat: Enrolment
    moved: str

    @property
    def is_mine(self) -> bool:
        """Whether this person asked."""
        return self.swap.asker_id == self.seat.pk

    @property
    def sentence(self) -> str:
        """What it is about, said to this person."""
        swap = self.swap
        if swap.kind == SwapKind.PLACES and self.is_mine:
            return (
                f"You asked {swap.other_name} to swap: you take {swap.other_what}, "
                f"{swap.other_name} takes {swap.what}."
            )
        if swap.kind == SwapKind.PLACES:
            return (
                f"{swap.asker_name} asks to swap: you take {swap.what}, "
                f"{swap.asker_name} takes {swap.other_what}."
            )
        if not self.is_mine:
            return f"{swap.asker_name} needs a rest: you may be asked to take {swap.what}."
        takes_over = f" {swap.other_name} would take over." if swap.other else ""
        return f"You asked for a rest from {swap.what}.{takes_over}"

    @property
    def standing(self) -> str:
        """How it stands."""
        return self.moved or self.swap.standing_for(self.seat)

    @property
    def may_answer(self) -> bool:
        """Whether yes or no is this person's to say, and can still be said."""
        return self.swap.is_asked_of(self.seat) and not self.moved

    @property
    def may_take_back(self) -> bool:
        """Whether the asker can still think better of it."""
        return self.is_mine and SwapState(self.swap.state).is_open


def on_card(seat: Enrolment, sheets: Iterable[RunSheet], *, now: datetime) -> list[OnCard]:
    """Everything this person asked for or is asked, as the posted ``sheets`` stand: one query."""
    by_day = {sheet.day_id: sheet for sheet in sheets}
    return [
        OnCard(swap=swap, seat=seat, moved=swaps.standing(swap, by_day.get(swap.day_id), now=now))
        for swap in access.card_swaps(seat, now=now)
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class ForLead:
    """One request as the lead sees it."""

    swap: Swap
    moved: str

    @property
    def may_confirm(self) -> bool:
        """Whether one tap can do it."""
        return (
            self.swap.state == SwapState.AGREED and self.swap.other is not None and not self.moved
        )

    @property
    def standing(self) -> str:
        """Why there is nothing to confirm, where there is not."""
        if self.moved:
            return self.moved
        if self.swap.state == SwapState.ASKED:
            return f"Waiting for {self.swap.other_name} to say yes."
        if self.swap.other is None:
            return swaps.NOBODY_FREE
        return ""

    @property
    def no_word(self) -> str:
        """What the other button says: a refusal, or that it has been seen."""
        return "No" if self.may_confirm else "Put away"


def for_lead(day: Day, posted: RunSheet | None, *, now: datetime) -> list[ForLead]:
    """What is open on a day, what can be confirmed first: one query."""
    found = [
        ForLead(swap=swap, moved=swaps.standing(swap, posted, now=now))
        for swap in access.day_swaps(day)
    ]
    return sorted(found, key=lambda one: not one.may_confirm)
