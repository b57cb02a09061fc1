"""A person's seat in one workshop, and what they may and can do there."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from workshops.models.courses import Workshop
from workshops.models.people import Attendee

if TYPE_CHECKING:
    from typing import Self


class EnrolmentStatus(models.TextChoices):
    """How far a seat has come."""

    ENQUIRY = "enquiry", "enquiry"
    WAITING = "waiting", "waiting"
    OFFERED = "offered", "offered"
    CONFIRMED = "confirmed", "confirmed"
    WITHDRAWN = "withdrawn", "withdrawn"


class Knife(models.IntegerChoices):
    """Experience with a knife at this work."""

    NONE = 0, "none yet"
    KITCHEN = 1, "kitchen knives"
    SOME = 2, "has cut up an animal"
    SURE = 3, "sure with a boning knife"


class Limit(models.TextChoices):
    """What a person must not or cannot do. The reason is nobody's business but the lead's."""

    NO_LIFTING = "no_lifting", "no lifting"
    NO_KNIVES = "no_knives", "no knives"
    AWAY_FROM_KILL = "away_from_kill", "away from the kill"
    NO_HOT_WATER = "no_hot_water", "no hot water"
    SEATED_ONLY = "seated_only", "seated only"
    UNDER_18 = "under_18", "under 18"


class TradeJob(models.TextChoices):
    """The work that somebody may wish for, by the trade's own words.

    A key of text: duties and stations belong to a higher chapter, which matches them by it.
    """

    KILL = "kill", "the kill: stick and bleed"
    CHAIN = "chain", "the chains: lower, roll and lift"
    SCALD = "scald", "the scald: buckets, thermometer, timer"
    SCRAPE = "scrape", "scrape, singe and shave"
    EVISCERATE = "eviscerate", "eviscerate"
    OFFAL = "offal", "wash and sort offal"
    BREAK_DOWN = "break_down", "break-down: saw and boning knife"
    CURE = "cure", "cure and brine"
    SAUSAGE = "sausage", "grind, season and stuff"
    RENDER = "render", "render lard"
    COOK = "cook", "cook for the table"


class WishKind(models.TextChoices):
    """How somebody stands to a job."""

    MUST_TRY = "must_try", "must try"
    RATHER_NOT = "rather_not", "would rather not"


class EnrolmentQuerySet(models.QuerySet["Enrolment"]):
    """Questions about many seats."""

    def confirmed(self) -> Self:
        """Those who are coming."""
        return self.filter(status=EnrolmentStatus.CONFIRMED)

    def with_people(self) -> Self:
        """With attendee, household and limits: two queries in all."""
        return self.select_related("attendee__household").prefetch_related("limits")

    def with_answers(self) -> Self:
        """With everything a person was asked: five queries in all."""
        return self.with_people().prefetch_related("attendee__allergens", "wishes", "waivers")

    def live_offers(self, *, now: datetime) -> Self:
        """Offers that have not run out."""
        return self.filter(status=EnrolmentStatus.OFFERED, offer_ends_at__gt=now)

    def holding(self, *, now: datetime) -> Self:
        """Those who hold a seat: confirmed, or with an offer that still stands."""
        return self.filter(
            Q(status=EnrolmentStatus.CONFIRMED)
            | Q(status=EnrolmentStatus.OFFERED, offer_ends_at__gt=now)
        )

    def in_line(self) -> Self:
        """The waiting list, the longest waiting first."""
        return self.filter(status=EnrolmentStatus.WAITING).order_by("waiting_since", "pk")

    def for_workshop(self, workshop: Workshop) -> Self:
        """The seats of one workshop."""
        return self.filter(workshop=workshop)


class Enrolment(models.Model):
    """One attendee's seat in one workshop."""

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="enrolments")
    attendee = models.ForeignKey(Attendee, on_delete=models.CASCADE, related_name="enrolments")
    status = models.CharField(
        max_length=9, choices=EnrolmentStatus.choices, default=EnrolmentStatus.ENQUIRY
    )
    lift_kg = models.DecimalField(
        "comfortable lift, kg",
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(150)],
        help_text="What they can lift to the waist without strain; blank if not sure.",
    )
    knife = models.PositiveSmallIntegerField(
        "knife experience", choices=Knife.choices, default=Knife.NONE
    )
    arrives_at = models.DateTimeField(null=True, blank=True)
    leaves_at = models.DateTimeField(null=True, blank=True)
    health_note = models.TextField(blank=True, help_text="Seen by the organizer and the lead only.")
    waiting_since = models.DateTimeField(null=True, blank=True, editable=False)
    offer_ends_at = models.DateTimeField(null=True, blank=True, editable=False)
    fee_cents = models.PositiveIntegerField(
        null=True, blank=True, editable=False, help_text="The price when the seat was confirmed."
    )
    created_at = models.DateTimeField(auto_now_add=True)

    objects = EnrolmentQuerySet.as_manager()

    class Meta:
        ordering = ["attendee__given_name", "attendee__family_name"]
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "attendee"],
                name="one_seat_a_person",
                violation_error_message="This person already has a seat in this workshop.",
            ),
            models.CheckConstraint(
                condition=Q(lift_kg__isnull=True) | Q(lift_kg__range=(0, 150)),
                name="enrolment_lift",
                violation_error_message="A comfortable lift lies between 0 and 150 kg (330 lb).",
            ),
            models.CheckConstraint(
                condition=Q(arrives_at__isnull=True)
                | Q(leaves_at__isnull=True)
                | Q(leaves_at__gt=F("arrives_at")),
                name="enrolment_leaves_after_arriving",
                violation_error_message="They must leave after they arrive.",
            ),
            models.CheckConstraint(
                condition=~Q(status=EnrolmentStatus.OFFERED) | Q(offer_ends_at__isnull=False),
                name="an_offer_has_an_end",
                violation_error_message="An offer needs the moment at which it ends.",
            ),
        ]

    def __str__(self) -> str:
        return str(self.attendee)

    def fee(self, price_cents: int) -> int:
        """What the seat costs: its price when confirmed; before those were kept, today's."""
        return price_cents if self.fee_cents is None else self.fee_cents

    def is_minor(self) -> bool:
        """Under 18 on the first day. Costs a query for the days, or a prefetch."""
        days = list(self.workshop.days.all())
        return bool(days) and self.attendee.is_minor_on(days[0].date)

    def limits_on(self, day: date) -> frozenset[Limit]:
        """Standing limits, with "under 18" from the birth date. Uses prefetched ``limits``."""
        standing = {Limit(row.limit) for row in self.limits.all()}
        if self.attendee.is_minor_on(day):
            standing.add(Limit.UNDER_18)
        return frozenset(standing)


class EnrolmentLimit(models.Model):
    """One standing limit of one seat."""

    enrolment = models.ForeignKey(Enrolment, on_delete=models.CASCADE, related_name="limits")
    limit = models.CharField(
        max_length=16,
        # Under 18 follows from the birth date and is never typed.
        choices=[choice for choice in Limit.choices if choice[0] != Limit.UNDER_18],
    )

    class Meta:
        ordering = ["limit"]
        constraints = [
            models.UniqueConstraint(fields=["enrolment", "limit"], name="one_row_a_limit"),
            models.CheckConstraint(
                condition=Q(limit__in=[value for value in Limit.values if value != "under_18"]),
                name="enrolment_limit_known",
                violation_error_message="That is not a limit; choose one of the list.",
            ),
        ]

    def __str__(self) -> str:
        return Limit(self.limit).label


class EnrolmentWish(models.Model):
    """How the holder of a seat stands to one job."""

    enrolment = models.ForeignKey(Enrolment, on_delete=models.CASCADE, related_name="wishes")
    job = models.CharField(max_length=10, choices=TradeJob.choices)
    kind = models.CharField(max_length=10, choices=WishKind.choices)

    class Meta:
        ordering = ["kind", "job"]
        constraints = [
            models.UniqueConstraint(
                fields=["enrolment", "job"],
                name="one_wish_a_job",
                violation_error_message="A job is a must-try or a would-rather-not, not both.",
            ),
            models.CheckConstraint(
                condition=Q(job__in=TradeJob.values, kind__in=WishKind.values),
                name="enrolment_wish_known",
                violation_error_message="That is not a job of the list; choose one that is.",
            ),
        ]

    def __str__(self) -> str:
        return f"{WishKind(self.kind).label}: {TradeJob(self.job).label}"


class SeatChange(models.Model):
    """One step of a seat, kept for good: what it became, when and why."""

    enrolment = models.ForeignKey(Enrolment, on_delete=models.CASCADE, related_name="changes")
    status = models.CharField(max_length=9, choices=EnrolmentStatus.choices)
    at = models.DateTimeField()
    reason = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{EnrolmentStatus(self.status).label}, {self.at:%Y-%m-%d %H:%M}"
