"""What one station lifts, drags or hangs with: ramp, chains, hoist, and how a hog is held."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from stations.models.places import Station
from stations.models.troughs import between
from stations.trade.places import FORE_SHARE, Held
from stations.trade.rigging import ChainGrade, ChainSize
from stations.trade.statics import SKIN_ON_WET_WOOD


class Lifting(models.TextChoices):
    """What is done with a hog's weight at a station."""

    CHAINS = "chains", "in and out of the water, four at two chains"
    DRAG = "drag", "dragged along the ground"
    HANG = "hang", "hung on the rail"


class HeldBy(models.TextChoices):
    """Which ends of the chains are in hands; left and right are the hog's own."""

    BOTH_SIDES = Held.BOTH_SIDES.value, "both sides in hands"
    LEFT_FAST = Held.LEFT_FAST.value, "left side made fast"
    RIGHT_FAST = Held.RIGHT_FAST.value, "right side made fast"


class Hoist(models.TextChoices):
    """What takes the weight instead of hands."""

    NONE = "none", "nothing"
    HOIST = "hoist", "a hoist or winch"
    TACKLE = "tackle", "a tackle pulled by hand"


class ChainMark(models.TextChoices):
    """The grade stamped on a chain's links."""

    UNSTAMPED = "none", "none that I can find"
    G30 = ChainGrade.G30.value, "30"
    G43 = ChainGrade.G43.value, "43"
    G70 = ChainGrade.G70.value, "70"
    G80 = ChainGrade.G80.value, "80"
    G100 = ChainGrade.G100.value, "100"


class ChainWire(models.TextChoices):
    """The thickness of a link's wire."""

    UNKNOWN = "", "not measured yet"
    QUARTER = ChainSize.QUARTER.value, ChainSize.QUARTER.value
    FIVE_SIXTEENTHS = ChainSize.FIVE_SIXTEENTHS.value, ChainSize.FIVE_SIXTEENTHS.value
    THREE_EIGHTHS = ChainSize.THREE_EIGHTHS.value, ChainSize.THREE_EIGHTHS.value
    SEVEN_SIXTEENTHS = ChainSize.SEVEN_SIXTEENTHS.value, ChainSize.SEVEN_SIXTEENTHS.value
    HALF = ChainSize.HALF.value, ChainSize.HALF.value


class HandlingSetup(models.Model):
    """How a hog is moved at one station, and with what. SI throughout.

    Ranges are those of ``stations.trade``, so that a saved row can be computed. What is not there
    is left empty or off: an aid that nobody has written down is never planned.
    """

    station = models.OneToOneField(Station, on_delete=models.CASCADE, related_name="handling")
    work = models.CharField(
        "what is done here", max_length=6, choices=Lifting.choices, default=Lifting.CHAINS
    )
    ramp_deg = models.FloatField(
        "ramp, degrees from level",
        null=True,
        blank=True,
        validators=between(1, 60),
        help_text="Empty: there is no ramp. A rise of 1 in 4 is 14 degrees.",
    )
    has_boards = models.BooleanField(
        "wetted boards or rollers under the hog",
        default=False,
    )
    hoisting = models.CharField(
        "what lifts instead of hands", max_length=6, choices=Hoist.choices, default=Hoist.NONE
    )
    hoist_rated_kg = models.FloatField(
        "the hoist is rated for",
        null=True,
        blank=True,
        validators=between(20, 20_000),
        help_text="From its plate. Empty: not known, and the lead is asked.",
    )
    anchor_rated_kg = models.FloatField(
        "the beam or post above it is rated for",
        null=True,
        blank=True,
        validators=between(20, 20_000),
        help_text="From whoever built or checked it. Empty: not known.",
    )
    tackle_parts = models.PositiveSmallIntegerField(
        "lines at the tackle's moving block",
        default=4,
        validators=[MinValueValidator(1), MaxValueValidator(8)],
    )
    chain_wire = models.CharField(
        "thickness of the chain's wire",
        max_length=16,
        choices=ChainWire.choices,
        default=ChainWire.UNKNOWN,
        blank=True,
    )
    chain_mark = models.CharField(
        "grade stamped on the chain",
        max_length=4,
        choices=ChainMark.choices,
        default=ChainMark.UNSTAMPED,
    )
    chain_tagged = models.BooleanField(
        "it carries a legible tag, checked within a year", default=False
    )
    chain_legs = models.PositiveSmallIntegerField(
        "chain ends that share the weight",
        default=2,
        validators=[MinValueValidator(1), MaxValueValidator(4)],
    )
    chain_angle_deg = models.FloatField(
        "chain, degrees above level",
        default=60,
        validators=between(30, 90),
        help_text="Straight up is 90; under 30 no chart allows it.",
    )
    held = models.CharField(
        "chain ends", max_length=10, choices=HeldBy.choices, default=HeldBy.BOTH_SIDES
    )
    submerged = models.FloatField(
        "part of the hog under water",
        null=True,
        blank=True,
        validators=between(0, 1),
        help_text="From 0 to 1. Empty: 0.9 where the water covers the hog whole, 0.5 where half.",
    )
    fore_share = models.FloatField(
        "part of the weight on the fore chain",
        default=FORE_SHARE,
        validators=between(0.3, 0.8),
        help_text="0.56 is from memory; no published figure was found.",
    )
    fore_share_weighed = models.BooleanField("that part was weighed here", default=False)
    drag_mu = models.FloatField(
        "friction of the hog on the ground",
        default=SKIN_ON_WET_WOOD.mu,
        validators=between(0.01, 1.5),
        help_text="0.5 is a planning value from memory; 0.2 is wet wood on wood.",
    )
    slope_deg = models.FloatField("slope of the way", default=0, validators=between(0, 45))

    class Meta:
        ordering = ["station__order"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(chain_wire=ChainWire.SEVEN_SIXTEENTHS, chain_mark__in=("80", "100")),
                name="chain_has_a_printed_limit",
                violation_error_message=(
                    "No working load is printed for grade 80 or 100 chain of 7/16 in; look at the "
                    "stamp and the thickness again: 3/8 or 1/2 in."
                ),
            ),
            models.CheckConstraint(
                condition=~Q(chain_legs=1) | Q(chain_angle_deg=90),
                name="a_single_leg_hangs_straight",
                violation_error_message=(
                    "A single chain end hangs straight: write 90 degrees, or 2 ends or more."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.station}: {Lifting(self.work).label}"
