"""A log that is opened, and its readings."""

from __future__ import annotations

from typing import Any

from django import forms

from stations.fields import ProbeField
from stations.forms.record import PressForm
from stations.models import FoodRule
from stations.recording import Batch
from workshops.forms.layout import Data
from workshops.models import Animal

GROUPS = {
    "Cook": ("cook_whole", "cook_minced", "cook_stuffed", "cook_ham", "cook_poultry", "reheat"),
    "Cool": ("cool", "cool_cold_made", "cool_meat", "cool_slow", "cool_cured"),
    "Hold": ("hold_hot", "hold_roast", "hold_cold", "on_the_table"),
    "Trichinae": ("trich_heat", "freeze_6_in", "freeze_27_in", "freeze_mid"),
    "Ferment": ("ferment",),
}


class FoodLogForm(PressForm):
    """What is cooked, cooled or held, and so which rule judges it."""

    name = forms.CharField(
        label="What it is", max_length=80, error_messages={"required": "Name the batch."}
    )
    rule = forms.ChoiceField(
        label="What is done",
        choices=[
            (name, [(rule, FoodRule(rule).label) for rule in rules])
            for name, rules in GROUPS.items()
        ],
    )
    animal: forms.ModelChoiceField[Animal] = forms.ModelChoiceField(
        queryset=Animal.objects.none(), required=False, label="Hog", empty_label="several or none"
    )
    air_c = ProbeField(
        label="Air where it stands", low=-40, high=45, required=False,
        help_text="For food on the table alone.",
    )  # fmt: skip
    field_order = ["name", "rule", "animal", "air_c", "when"]

    def __init__(self, data: Data, *, hogs: list[Animal], **kwargs: Any) -> None:
        # Any: Django's own keyword arguments, passed on unread.
        super().__init__(data, **kwargs)
        field: Any = self.fields["animal"]  # Any: the stubs know no choices of a model's field
        field.queryset = Animal.objects.filter(workshop=self.workshop)
        field.choices = [("", "several or none")] + [(hog.pk, str(hog)) for hog in hogs]

    def clean(self) -> dict[str, Any]:
        """Food on the table needs the air. Any: Django's own."""
        told = super().clean() or {}
        if told.get("rule") == FoodRule.ON_THE_TABLE and told.get("air_c") is None:
            self.add_error("air_c", "Above 90 F the limit is 1 h, not 2: write how warm it is.")
        return told

    def batch(self) -> Batch:
        """What is opened, once the form is valid."""
        told = self.cleaned_data
        return Batch(
            name=told["name"],
            rule=FoodRule(told["rule"]),
            air_c=told["air_c"],
            animal=told["animal"],
        )
