"""What attendees ask for from their cards: to swap two places, or to be relieved of one."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from django.conf import settings
from django.db import models
from django.db.models import Q

from stations.models import Duty
from workshops.models import Day, Enrolment

if TYPE_CHECKING:
    from typing import Self

STILL_SHOWN = timedelta(hours=2)
"""For so long the card says how a request ended: a judgement, no source."""


class SwapKind(models.TextChoices):
    """What is asked for."""

    PLACES = "places", "swap places"
    REST = "rest", "a rest"


class SwapState(models.TextChoices):
    """How far it has come."""

    ASKED = "asked", "asked"
    AGREED = "agreed", "for the lead to confirm"
    CONFIRMED = "confirmed", "confirmed"
    DECLINED = "declined", "declined"
    GONE = "gone", "no longer stands"

    @property
    def is_open(self) -> bool:
        """Whether anything can still come of it."""
        return self in OPEN


OPEN = (SwapState.ASKED, SwapState.AGREED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """One place that a request is about: who has it, who would take it."""

    has: Enrolment
    takes: Enrolment | None
    step_code: str
    duty_id: int
    place: str
    starts_at: datetime


class SwapQuerySet(models.QuerySet["Swap"]):
    """Questions about many requests."""

    def open(self) -> Self:
        """Those that someone still has to answer."""
        return self.filter(state__in=OPEN)

    def of(self, seat: Enrolment) -> Self:
        """Those that this person asked for or is asked about."""
        return self.filter(Q(asker=seat) | Q(other=seat))

    def fresh(self, *, now: datetime) -> Self:
        """The open ones, and those that ended a short while ago."""
        return self.filter(Q(state__in=OPEN) | Q(settled_at__gte=now - STILL_SHOWN))

    def with_people(self) -> Self:
        """With both names: one query in all."""
        return self.select_related("asker__attendee", "other__attendee", "day__workshop")


class Swap(models.Model):
    """One request. ``step_code`` names the step in every version of the plan.

    ``starts_at`` and the words are as they stood when it was asked: a request whose step has moved
    or whose people stand elsewhere since is refused, never applied to another plan.
    A rest may have no ``other``: then nobody was found, and the lead must know all the same.
    """

    client_id = models.UUIDField(unique=True)
    day = models.ForeignKey(Day, on_delete=models.CASCADE, related_name="swaps")
    kind = models.CharField(max_length=6, choices=SwapKind.choices)
    state = models.CharField(max_length=9, choices=SwapState.choices, default=SwapState.ASKED)
    asker = models.ForeignKey(Enrolment, on_delete=models.CASCADE, related_name="swaps_asked")
    step_code = models.CharField(max_length=80)
    duty = models.ForeignKey(Duty, on_delete=models.CASCADE, related_name="swaps_from")
    place = models.CharField(max_length=30, blank=True)
    starts_at = models.DateTimeField()
    what = models.CharField(max_length=200)
    other = models.ForeignKey(
        Enrolment, on_delete=models.CASCADE, null=True, blank=True, related_name="swaps_of"
    )
    other_step_code = models.CharField(max_length=80, blank=True)
    other_duty = models.ForeignKey(
        Duty, on_delete=models.CASCADE, null=True, blank=True, related_name="swaps_to"
    )
    other_place = models.CharField(max_length=30, blank=True)
    other_starts_at = models.DateTimeField(null=True, blank=True)
    other_what = models.CharField(max_length=200, blank=True)
    asked_at = models.DateTimeField()
    agreed_at = models.DateTimeField(null=True, blank=True)
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True
    )
    why = models.CharField(max_length=400, blank=True)

    objects = SwapQuerySet.as_manager()

    class Meta:
        ordering = ["asked_at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["day", "asker", "step_code"],
                condition=Q(state__in=["asked", "agreed"]),
                name="one_open_request_a_place",
                violation_error_message="You have asked about this place already.",
            ),
            models.CheckConstraint(
                condition=Q(kind="rest", other_step_code="")
                | Q(kind="places", other__isnull=False, other_duty__isnull=False),
                name="swap_of_two_places",
                violation_error_message="A swap names both people and both places.",
            ),
            models.CheckConstraint(
                condition=Q(state__in=["asked", "agreed"], settled_at__isnull=True)
                | Q(state__in=["confirmed", "declined", "gone"], settled_at__isnull=False),
                name="swap_settled_has_a_time",
                violation_error_message="A request that is settled says when.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.asker_name}: {SwapKind(self.kind).label}, {self.what}"

    @property
    def asker_name(self) -> str:
        """Who asks."""
        return self.asker.attendee.given_name

    @property
    def other_name(self) -> str:
        """With whom, or who takes over."""
        return self.other.attendee.given_name if self.other else ""

    @property
    def request(self) -> str:
        """What was asked for, for the log."""
        if self.kind == SwapKind.REST:
            return f"{self.asker_name} asks for a rest from {self.what}."
        return (
            f"{self.asker_name} asks {self.other_name} to swap {self.what} for {self.other_what}."
        )

    @property
    def sentence(self) -> str:
        """What it would change, for the lead."""
        if self.kind == SwapKind.PLACES:
            return (
                f"{self.asker_name} takes {self.other_what}; {self.other_name} takes {self.what}."
            )
        if self.other is None:
            return f"{self.asker_name} needs a rest from {self.what}."
        return f"{self.asker_name} needs a rest: {self.other_name} takes {self.what}."

    @property
    def spots(self) -> tuple[Spot, ...]:
        """The asker's place, and the other's where two are swapped."""
        mine = Spot(
            has=self.asker,
            takes=self.other,
            step_code=self.step_code,
            duty_id=self.duty_id,
            place=self.place,
            starts_at=self.starts_at,
        )
        if self.other is None or self.other_duty_id is None or self.other_starts_at is None:
            return (mine,)
        theirs = Spot(
            has=self.other,
            takes=self.asker,
            step_code=self.other_step_code,
            duty_id=self.other_duty_id,
            place=self.other_place,
            starts_at=self.other_starts_at,
        )
        return (mine, theirs)

    def is_asked_of(self, seat: Enrolment) -> bool:
        """Whether this person is the one to say yes or no."""
        return self.state == SwapState.ASKED and self.other_id == seat.pk

    def standing_for(self, seat: Enrolment) -> str:
        """How it stands, in words for one of the two."""
        if self.why and not SwapState(self.state).is_open:
            return self.why
        match SwapState(self.state):
            case SwapState.ASKED:
                return "" if self.other_id == seat.pk else f"Waiting for {self.other_name}."
            case SwapState.AGREED if self.kind == SwapKind.REST and self.other is None:
                return "The lead is told. Nobody else is free for it by the rules: go and speak."
            case SwapState.AGREED:
                return "For the lead to confirm. Until then you keep your place."
            case SwapState.CONFIRMED:
                return "The lead has confirmed it."
            case SwapState.DECLINED:
                return "Declined. You keep your place."
            case _:
                return "It no longer stands. You keep your place."
