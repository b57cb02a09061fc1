"""Places of work and the jobs at them."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from stations.trade.places import Place
from workshops.models import Knife, Limit, Workshop


class WritesDown(models.TextChoices):
    """Which log is kept at a station: its pages have a door to it."""

    NOTHING = "", "nothing of these"
    CHILL = "chill", "the chill of the carcasses"
    WEIGHTS = "weights", "weights and cuts"
    CURES = "cures", "cures"
    FOOD = "food", "cooking, cooling and holding"

    @property
    def page(self) -> str:
        """The name of the page that lists it; empty for none."""
        return {
            WritesDown.CHILL: "chill",
            WritesDown.WEIGHTS: "break-down",
            WritesDown.CURES: "cures",
            WritesDown.FOOD: "food-logs",
        }.get(self, "")

    @property
    def page_of_a_hog(self) -> str:
        """The name of its page of one hog; empty where it has none."""
        return {
            WritesDown.CHILL: "chill-hog",
            WritesDown.WEIGHTS: "break-down-hog",
        }.get(self, "")


class Station(models.Model):
    """A place of work. Letter, colour and hatch (``look``) mark it on screen and paper."""

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="stations")
    name = models.CharField(max_length=60)
    letter = models.CharField(max_length=1)
    look = models.PositiveSmallIntegerField(
        default=1,
        validators=[MinValueValidator(1), MaxValueValidator(10)],
        help_text="Colour and hatch, 1 to 10.",
    )
    order = models.PositiveSmallIntegerField(default=1)
    purpose = models.CharField(max_length=200, blank=True)
    done_means = models.CharField("what done looks like", max_length=200, blank=True)
    capacity = models.PositiveSmallIntegerField(
        default=1,
        validators=[MinValueValidator(1)],
        help_text="How many carcasses or kitchen jobs it holds at once.",
    )
    set_up_min = models.PositiveSmallIntegerField(
        "set-up, minutes",
        default=0,
        help_text="Between two steps, such as re-heating the water. Only with capacity 1.",
    )
    writes_down = models.CharField(
        "writes down", max_length=7, choices=WritesDown.choices, blank=True, default=""
    )
    outdoors = models.BooleanField(
        default=False, help_text="Works by daylight: its steps are flagged when it is dark."
    )
    track = models.CharField(
        max_length=20,
        blank=True,
        help_text="Stations of one track belong together: a hog begun on a track stays on it.",
    )

    class Meta:
        ordering = ["order", "letter"]
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "letter"],
                name="one_letter_a_station",
                violation_error_message="Another station of this workshop has that letter.",
            ),
            models.UniqueConstraint(fields=["workshop", "name"], name="one_name_a_station"),
            models.CheckConstraint(condition=Q(look__range=(1, 10)), name="station_look"),
            models.CheckConstraint(
                condition=Q(capacity__gte=1) & (Q(set_up_min=0) | Q(capacity=1)),
                name="station_set_up",
                violation_error_message=(
                    "A station holds 1 or more; a set-up between steps needs a capacity of 1."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class FilledBy(models.TextChoices):
    """Who may take a duty."""

    ATTENDEES = "attendees", "attendees"
    STAFF = "staff", "lead or helper"
    LEAD = "lead", "the lead"


def check_place_names(value: object) -> None:
    """A list of short, different names."""
    names = value if isinstance(value, list) else [None]
    if not all(isinstance(name, str) and 0 < len(name) <= 30 for name in names):
        raise ValidationError("Named places are a list of short names.")
    if len(set(names)) != len(names):
        raise ValidationError("Each named place needs its own name.")


class Duty(models.Model):
    """One job at a station: how many hands, and what they must be able to do."""

    station = models.ForeignKey(Station, on_delete=models.CASCADE, related_name="duties")
    name = models.CharField(max_length=60)
    order = models.PositiveSmallIntegerField(default=1)
    what_to_do = models.TextField(blank=True)
    hands_least = models.PositiveSmallIntegerField(default=1)
    hands_most = models.PositiveSmallIntegerField(default=1)
    place_names = models.JSONField(default=list, blank=True, validators=[check_place_names])
    filled_by = models.CharField(max_length=9, choices=FilledBy.choices, default=FilledBy.ATTENDEES)
    core = models.BooleanField(default=True, help_text="Everyone should come to do it.")
    calls = models.BooleanField(
        "calls the count", default=False, help_text="One voice for those who lift."
    )
    heavy = models.BooleanField(default=False)
    hot = models.BooleanField(default=False)
    sharp = models.BooleanField(default=False)
    at_kill = models.BooleanField(default=False)
    on_foot = models.BooleanField(default=True)
    adults_only = models.BooleanField(default=False)
    knife_floor = models.PositiveSmallIntegerField(choices=Knife.choices, default=Knife.NONE)
    lift_floor_kg = models.DecimalField(max_digits=4, decimal_places=1, default=0)

    class Meta:
        ordering = ["station__order", "order", "name"]
        verbose_name_plural = "duties"
        constraints = [
            models.UniqueConstraint(fields=["station", "name"], name="one_name_a_duty"),
            models.CheckConstraint(
                condition=Q(hands_most__gte=1) & Q(hands_most__gte=F("hands_least")),
                name="duty_hands",
                violation_error_message="Most hands must be 1 or more and no fewer than the least.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        """Named places need one hand each."""
        if self.place_names and len(self.place_names) != self.hands_most:
            raise ValidationError(
                f"{self.name} names {len(self.place_names)} places for {self.hands_most} hands; "
                "name one for each."
            )

    @property
    def holds_chains(self) -> bool:
        """Whether its hands stand at the four named places of two chains."""
        return set(self.place_names) == {place.value for place in Place}

    @property
    def ruled_out_by(self) -> frozenset[Limit]:
        """The limits that keep a person from this duty."""
        ruled = {
            Limit.NO_LIFTING: self.heavy,
            Limit.NO_HOT_WATER: self.hot,
            Limit.NO_KNIVES: self.sharp,
            Limit.AWAY_FROM_KILL: self.at_kill,
            Limit.SEATED_ONLY: self.on_foot,
            Limit.UNDER_18: self.adults_only,
        }
        return frozenset(limit for limit, applies in ruled.items() if applies)
