"""A workshop and its days."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo, available_timezones

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse


class Units(models.TextChoices):
    """The units that screens and sheets use; rows are always SI."""

    US = "us", "US (degF, lb, gal, in)"
    METRIC = "metric", "metric (degC, kg, L, cm)"


def check_time_zone(name: str) -> None:
    """Refuse a time zone that the machine does not know."""
    if name not in available_timezones():
        raise ValidationError(
            f"{name!r} is not a known time zone; write one such as Europe/Berlin or America/Denver."
        )


class Workshop(models.Model):
    """One course on one farm."""

    name = models.CharField(max_length=120)
    slug = models.SlugField(unique=True)
    farm = models.CharField(max_length=120)
    place = models.CharField(max_length=200, blank=True, help_text="How to find the farm.")
    summary = models.TextField(blank=True)
    units = models.CharField(max_length=6, choices=Units.choices, default=Units.US)
    time_zone = models.CharField(max_length=64, default="UTC", validators=[check_time_zone])
    latitude = models.DecimalField(max_digits=8, decimal_places=5, null=True, blank=True)
    longitude = models.DecimalField(max_digits=8, decimal_places=5, null=True, blank=True)
    altitude_m = models.IntegerField(default=0)
    seats = models.PositiveSmallIntegerField(
        default=14, validators=[MinValueValidator(1), MaxValueValidator(200)]
    )
    rest_after_heavy_min = models.PositiveSmallIntegerField(
        default=30, help_text="Minutes between two heavy duties of one person."
    )
    first_aid_point = models.CharField(max_length=120, blank=True)
    muster_point = models.CharField(max_length=120, blank=True)
    emergency_number = models.CharField(max_length=40, blank=True)
    what_you_do = models.TextField("what you will do", blank=True)
    asks_of_body = models.TextField("what it asks of a body", blank=True)
    what_to_bring = models.TextField(blank=True)
    takes_sign_ups = models.BooleanField(
        default=False, help_text="Whether strangers may open the sign-up page."
    )
    currency = models.CharField(max_length=3, default="USD")
    seat_price_cents = models.PositiveIntegerField(default=0)
    payment_link = models.URLField(
        blank=True, help_text="Where they pay, if not by hand; Gambrel takes no payments itself."
    )
    offer_hours = models.PositiveSmallIntegerField(
        default=72,
        validators=[MinValueValidator(1), MaxValueValidator(720)],
        help_text="How long an offered seat is kept for those it was offered to.",
    )
    links_last_days = models.PositiveSmallIntegerField(
        default=30,
        validators=[MaxValueValidator(365)],
        help_text="How many days after the last day the private links still open.",
    )

    class Meta:
        ordering = ["name"]
        permissions = [
            ("see_health", "Can see limits' reasons and health notes"),
            ("see_money", "Can see fees and payments"),
            ("plan_days", "Can plan days and place crews"),
            ("post_plan", "Can post a plan for everyone"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(latitude__isnull=True) | Q(latitude__range=(-90, 90)),
                name="workshop_latitude",
                violation_error_message="Latitude runs from -90 to 90 degrees.",
            ),
            models.CheckConstraint(
                condition=Q(longitude__isnull=True) | Q(longitude__range=(-180, 180)),
                name="workshop_longitude",
                violation_error_message="Longitude runs from -180 to 180 degrees.",
            ),
            models.CheckConstraint(
                condition=Q(altitude_m__range=(-430, 5000)),
                name="workshop_altitude",
                violation_error_message="Altitude runs from -430 to 5000 m.",
            ),
            models.CheckConstraint(
                condition=Q(offer_hours__range=(1, 720)),
                name="workshop_offer_hours",
                violation_error_message="An offer stands for 1 to 720 hours.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("workshop", args=[self.slug])

    @property
    def zone(self) -> ZoneInfo:
        """The farm's time zone."""
        return ZoneInfo(self.time_zone)

    def is_over(self, *, now: datetime) -> bool:
        """Whether the last day has passed at the farm. Costs a query, or a prefetch."""
        days = list(self.days.all())
        return bool(days) and max(day.date for day in days) < now.astimezone(self.zone).date()

    def links_end_at(self) -> datetime | None:
        """When the private links stop opening; None without days. Costs a query, or a prefetch."""
        days = list(self.days.all())
        if not days:
            return None
        last = max(day.date for day in days) + timedelta(days=self.links_last_days + 1)
        return datetime.combine(last, time(0), tzinfo=self.zone)


class Day(models.Model):
    """One calendar day of a workshop, with its working hours."""

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="days")
    date = models.DateField()
    title = models.CharField(max_length=120, blank=True)
    opens = models.TimeField(default=time(8))
    closes = models.TimeField(default=time(17))

    class Meta:
        ordering = ["date"]
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "date"],
                name="one_day_a_date",
                violation_error_message="This workshop already has a day on that date.",
            ),
            models.CheckConstraint(
                condition=Q(closes__gt=F("opens")),
                name="day_closes_after_it_opens",
                violation_error_message="The day must close after it opens.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.date:%a %d %b}: {self.title}" if self.title else f"{self.date:%a %d %b %Y}"

    def at(self, clock: time) -> datetime:
        """That time of this day at the farm, aware."""
        return datetime.combine(self.date, clock, tzinfo=self.workshop.zone)

    @property
    def midnight(self) -> datetime:
        """The start of this day at the farm."""
        return self.at(time(0))


class Break(models.Model):
    """A meal or a rest that nobody works through."""

    day = models.ForeignKey(Day, on_delete=models.CASCADE, related_name="breaks")
    name = models.CharField(max_length=60)
    starts = models.TimeField()
    minutes = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(5), MaxValueValidator(240)]
    )
    earliest = models.TimeField(null=True, blank=True, help_text="Empty: it stands fast.")
    latest = models.TimeField(null=True, blank=True, help_text="It may start as late as this.")

    class Meta:
        ordering = ["day", "starts"]
        constraints = [
            models.UniqueConstraint(fields=["day", "starts"], name="one_break_at_a_time"),
            models.CheckConstraint(
                condition=Q(minutes__range=(5, 240)),
                name="break_length",
                violation_error_message="A break lasts 5 to 240 minutes.",
            ),
            models.CheckConstraint(
                condition=Q(earliest__isnull=True, latest__isnull=True)
                | Q(earliest__lte=F("starts"), latest__gte=F("starts")),
                name="break_moves_around_its_time",
                violation_error_message=(
                    "A break that may move needs both an earliest and a latest start, with its own "
                    "time from one to the other; leave both empty for one that stands fast."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.starts:%H:%M}"

    @property
    def starts_at(self) -> datetime:
        """The start as a moment."""
        return self.day.at(self.starts)

    @property
    def ends_at(self) -> datetime:
        """The end as a moment."""
        return self.starts_at + timedelta(minutes=self.minutes)

    @property
    def may_move(self) -> bool:
        """Whether the planner may start it at another time."""
        return self.earliest is not None

    @property
    def span(self) -> tuple[datetime, datetime]:
        """All the time that it may take, wherever it is moved."""
        first, last = self.earliest or self.starts, self.latest or self.starts
        return self.day.at(first), self.day.at(last) + timedelta(minutes=self.minutes)

    @property
    def span_words(self) -> str:
        """From when to when that is."""
        first, last = self.span
        return f"{first:%H:%M} to {last:%H:%M}"

    def meets(self, other: Break) -> bool:
        """Whether the two could run into each other; both of one day."""
        mine, theirs = self.span, other.span
        return mine[0] < theirs[1] and theirs[0] < mine[1]

    @property
    def sentence(self) -> str:
        """When it is, and how far it may move."""
        said = f"{self.starts:%H:%M} for {self.minutes} min"
        if self.earliest and self.latest:
            return f"{said}; may start from {self.earliest:%H:%M} to {self.latest:%H:%M}"
        return f"{said}; stands fast"


def years_between(born: date, on: date) -> int:
    """Whole years of age on a date."""
    had_birthday = (on.month, on.day) >= (born.month, born.day)
    return on.year - born.year - (0 if had_birthday else 1)
