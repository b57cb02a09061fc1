"""What is typed in the kitchen: a batch, the menu to draft, who does a job, the farm's store."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import time

from django import forms

from scheduling.feeding import Table
from scheduling.menus import At, Wanted
from stations.fields import SCALE, SiField
from stations.models import RECIPES, Duty, KitchenBatch, PantryFood
from stations.trade.recipes import KitchenStep, Recipe
from workshops.forms.layout import Data, KeptForm, beside, helper
from workshops.models import Day, Workshop

MEAL_BREAK_MIN = 30
"""A shorter break is no meal (a judgement, no source)."""
NO_MEAL = {"lard"}


class BatchForm(KeptForm, forms.Form):
    """One recipe to make."""

    recipe = forms.ChoiceField(choices=[(code, one.name) for code, one in RECIPES.items()])
    day = forms.ModelChoiceField(queryset=Day.objects.none(), empty_label=None)
    use = forms.ChoiceField(
        choices=[("table", "a dish for the table"), ("home", "a product to take home")],
        initial="table",
        label="It is",
    )
    pork = forms.ChoiceField(
        choices=[("bought", "inspected pork that the farm buys"), ("hogs", "this course's hogs")],
        initial="bought",
        label="Its pork comes from",
    )
    base_kg = SiField(
        quantity=SCALE, low=0, high=500, required=False, label="Weight of the main part",
        help_text="Empty: for everyone it suits, or all that the hogs have left to give.",
    )  # fmt: skip
    ready_by = forms.TimeField(
        required=False, widget=forms.TimeInput(attrs={"type": "time"}), label="Ready by"
    )

    def __init__(self, data: Data = None, *, workshop: Workshop) -> None:
        super().__init__(data)
        day, base = self.fields["day"], self.fields["base_kg"]
        assert isinstance(day, forms.ModelChoiceField)
        assert isinstance(base, SiField)
        day.queryset = Day.objects.filter(workshop=workshop)
        base.speak(workshop.units)
        self.need_words()
        self.helper = helper(
            beside("recipe", "day"), beside("use", "pork"), beside("base_kg", "ready_by")
        )

    def wanted(self) -> Wanted:
        """What was asked for, after ``is_valid``."""
        typed = self.cleaned_data
        return Wanted(
            recipe=RECIPES[typed["recipe"]],
            day=typed["day"],
            for_table=typed["use"] == "table",
            from_hogs=typed["pork"] == "hogs",
            base_kg=typed["base_kg"] or None,
            ready_by=typed["ready_by"],
        )


class MenuForm(KeptForm, forms.Form):
    """Which sittings to fill, out of which dishes."""

    sittings = forms.MultipleChoiceField(
        widget=forms.CheckboxSelectMultiple, label="Fill these sittings"
    )
    dishes = forms.MultipleChoiceField(
        choices=[(code, one.name) for code, one in RECIPES.items() if code not in NO_MEAL],
        widget=forms.CheckboxSelectMultiple,
        label="Out of these dishes",
    )

    def __init__(
        self, data: Data = None, *, all_tables: Sequence[Table], taken: set[tuple[int, time]]
    ) -> None:
        super().__init__(data, prefix="menu", initial={"dishes": list(RECIPES)})
        self.free = {
            f"{at.table.day.pk}@{at.ready_by:%H:%M}": at
            for at in _sittings(all_tables)
            if (at.table.day.pk, at.ready_by) not in taken
        }
        box = self.fields["sittings"]
        assert isinstance(box, forms.MultipleChoiceField)
        box.choices = [
            (key, f"{at.table.day}, {at.ready_by:%H:%M}") for key, at in self.free.items()
        ]
        self.initial["sittings"] = list(self.free)
        self.need_words()
        self.helper = helper("sittings", "dishes")

    def ats(self) -> list[At]:
        """The sittings ticked, in order of time."""
        return [at for key, at in self.free.items() if key in self.cleaned_data["sittings"]]

    def recipes(self) -> list[Recipe]:
        """The dishes ticked, in the list's order."""
        return [RECIPES[code] for code in self.cleaned_data["dishes"]]


def _sittings(all_tables: Iterable[Table]) -> Iterable[At]:
    """Each day's long breaks, and the end of the day. Uses prefetched breaks."""
    for table in all_tables:
        for pause in table.day.breaks.all():
            if pause.minutes >= MEAL_BREAK_MIN:
                yield At(table=table, ready_by=pause.starts)
        yield At(table=table, ready_by=table.day.closes)


class JobsForm(KeptForm, forms.Form):
    """Who does each job of a batch that needs somebody by it."""

    def __init__(
        self,
        data: Data = None,
        *,
        steps: Sequence[KitchenStep],
        duties: Sequence[Duty],
        guesses: Sequence[Duty | None],
    ) -> None:
        super().__init__(data)
        self.steps, self.duties = steps, {str(duty.pk): duty for duty in duties}
        choices = [("", "choose a duty")]
        choices += [(key, f"{one.station}: {one.name}") for key, one in self.duties.items()]
        for number, (step, guess) in enumerate(zip(steps, guesses, strict=True)):
            if step.attended:
                least, _, most = step.minutes
                self.fields[f"job{number}"] = forms.ChoiceField(
                    choices=choices,
                    label=f"{step.name[:1].upper()}{step.name[1:]}, {least} to {most} min",
                    initial=str(guess.pk) if guess else "",
                )
        self.need_words()
        self.helper = helper(*self.fields)

    def chosen(self) -> list[Duty | None]:
        """A duty beside each job; None for those that go by themselves."""
        return [
            self.duties.get(self.cleaned_data.get(f"job{number}", ""))
            for number in range(len(self.steps))
        ]


class PantryForm(KeptForm, forms.Form):
    """What the farm has of each food, and in what size it is sold."""

    def __init__(
        self,
        data: Data = None,
        *,
        foods: Sequence[str],
        store: Iterable[PantryFood],
        units: str,
    ) -> None:
        super().__init__(data)
        known = {row.food: row for row in store}
        self.foods = foods
        for number, food in enumerate(foods):
            row = known.get(food)
            have = SiField(
                quantity=SCALE, low=0, high=10000, required=False, label=f"{food}, in store"
            )
            pack = SiField(quantity=SCALE, low=0, high=100, required=False, label=f"{food}, pack")
            have.speak(units)
            pack.speak(units)
            self.fields[f"have{number}"], self.fields[f"pack{number}"] = have, pack
            self.initial[f"have{number}"] = row.have_kg if row and row.have_kg else None
            self.initial[f"pack{number}"] = row.pack_kg if row else None

    @property
    def rows(self) -> list[tuple[str, forms.BoundField, forms.BoundField]]:
        """Each food with its two boxes."""
        return [(food, self[f"have{n}"], self[f"pack{n}"]) for n, food in enumerate(self.foods)]

    def typed(self) -> dict[str, tuple[float, float | None]]:
        """Food to store and pack, after ``is_valid``."""
        kept = self.cleaned_data
        return {
            food: (kept[f"have{n}"] or 0.0, kept[f"pack{n}"] or None)
            for n, food in enumerate(self.foods)
        }


def taken_sittings(batches: Iterable[KitchenBatch]) -> set[tuple[int, time]]:
    """The sittings that have a dish already."""
    return {(batch.day_id, batch.ready_by) for batch in batches if batch.meal_id and batch.ready_by}
