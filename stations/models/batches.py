"""What the kitchen makes on which day, what the farm has in store, and next year's minutes."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from stations.models.method import Stage
from stations.trade.course_recipes import COURSE_RECIPES
from stations.trade.foods import FOODS
from stations.trade.recipes import Recipe
from workshops.models import Day, Meal, Workshop

RECIPES = {recipe.code: recipe for recipe in COURSE_RECIPES}


def check_recipe(code: str) -> None:
    """Refuse a recipe that is not one of the course's."""
    if code not in RECIPES:
        raise ValidationError(f"{code!r} is no recipe; write one of {', '.join(RECIPES)}.")


def check_food(name: str) -> None:
    """Refuse a food whose allergens nobody wrote down."""
    if name not in FOODS:
        raise ValidationError(f"{name!r} is not in the list of foods; choose one that is.")


class KitchenBatch(models.Model):
    """One recipe made once: a dish of the menu (``meal``), or a product to take home.

    ``stages`` are its jobs where it was put on the run sheet.
    """

    day = models.ForeignKey(Day, on_delete=models.CASCADE, related_name="batches")
    recipe = models.CharField(max_length=20, validators=[check_recipe])
    base_kg = models.FloatField("weight of the base, kg")
    meal = models.OneToOneField(
        Meal, on_delete=models.CASCADE, null=True, blank=True, related_name="batch"
    )
    from_hogs = models.BooleanField(
        "from this course's hogs", default=False, help_text="Otherwise the farm buys its meat."
    )
    ready_by = models.TimeField(null=True, blank=True)
    stages = models.ManyToManyField(Stage, blank=True, related_name="batches")

    class Meta:
        ordering = ["day", "pk"]
        verbose_name_plural = "kitchen batches"
        constraints = [
            models.CheckConstraint(
                condition=Q(base_kg__gt=0, base_kg__lte=500),
                name="batch_base",
                violation_error_message="A batch has above 0 and at most 500 kg of its base.",
            ),
        ]

    def __str__(self) -> str:
        return self.made.name

    @property
    def made(self) -> Recipe:
        """The recipe itself."""
        return RECIPES[self.recipe]


class PantryFood(models.Model):
    """What the farm has of one food, and the size it is bought in."""

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="pantry")
    food = models.CharField(max_length=30, validators=[check_food])
    have_kg = models.FloatField(
        default=0, validators=[MinValueValidator(0), MaxValueValidator(10000)]
    )
    pack_kg = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0.001), MaxValueValidator(100)]
    )

    class Meta:
        ordering = ["food"]
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "food"],
                name="one_row_a_food",
                violation_error_message="This food is in the list already; change its row.",
            ),
            models.CheckConstraint(
                condition=Q(have_kg__range=(0, 10000))
                & (Q(pack_kg__isnull=True) | Q(pack_kg__range=(0.001, 100))),
                name="pantry_weights",
                violation_error_message="A store is 0 to 10000 kg, a pack 0.001 to 100 kg.",
            ),
        ]

    def __str__(self) -> str:
        return self.food


class NextTiming(models.Model):
    """The minutes that a stage is to have in the next course, taken from how it went."""

    stage = models.OneToOneField(Stage, on_delete=models.CASCADE, related_name="next_timing")
    least_min = models.PositiveSmallIntegerField()
    expected_min = models.PositiveSmallIntegerField()
    most_min = models.PositiveSmallIntegerField()
    timed = models.PositiveSmallIntegerField(help_text="How many times it was timed.")
    kept_at = models.DateTimeField()

    class Meta:
        ordering = ["stage"]
        constraints = [
            models.CheckConstraint(
                condition=Q(least_min__gte=1)
                & Q(expected_min__gte=F("least_min"))
                & Q(most_min__gte=F("expected_min")),
                name="next_timing_minutes",
                violation_error_message="Minutes run from least to expected to most, 1 or more.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.stage}: {self.least_min}, {self.expected_min}, {self.most_min} min"
