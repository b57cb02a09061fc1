"""What is typed at the scale, and what a carcass is to be cut into."""

from __future__ import annotations

from typing import Any

from django import forms

from stations.break_down import BreakDownSheet
from stations.fields import GRAMS_FINE, SiField
from stations.forms.record import PressForm, WorkshopForm
from stations.models import Becomes, CarcassPart, CutTableName, DressedAs, WeighStage
from stations.recording import SIDES, WHOLE, Weight
from workshops.forms.layout import Data
from workshops.models import Workshop


def _scale() -> SiField:
    field = SiField(quantity=GRAMS_FINE, low=0, high=400, label="Weight")
    field.widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
    field.error_messages["required"] = "Write the number on the scale."
    field.error_messages["invalid"] = "Write a number, such as 21 or 21.35."
    return field


class ScaleForm(PressForm):
    """One weight; above nothing."""

    kg = _scale()

    def clean_kg(self) -> float:
        """Nothing weighs nothing."""
        kg: float = self.cleaned_data["kg"]
        if kg < 0.005:
            raise forms.ValidationError("The scale shows nothing; weigh it, or leave it out.")
        return kg


class CarcassForm(ScaleForm):
    """A whole: alive, hot or cold, in one or as two sides."""

    stage = forms.ChoiceField(
        label="Which",
        choices=[(one.value, one.label) for one in WeighStage if one.is_of_the_whole],
        initial=WeighStage.HOT,
    )
    part = forms.ChoiceField(
        label="Whole or a side", choices=[(one, one) for one in (WHOLE, *SIDES)]
    )
    dressed = forms.ChoiceField(
        label="What is still on it", choices=DressedAs.choices, initial=DressedAs.HEAD_AND_SKIN_ON
    )
    field_order = ["kg", "stage", "part", "dressed", "when"]

    def weight(self) -> Weight:
        """What was weighed, once the form is valid."""
        told = self.cleaned_data
        stage = WeighStage(told["stage"])
        dressed = None if stage is WeighStage.LIVE else DressedAs(told["dressed"])
        return Weight(stage=stage, part=told["part"], kg=told["kg"], dressed=dressed)


class CutForm(ScaleForm):
    """One piece of one part; pieces add up."""

    part = forms.ChoiceField(label="Cut", choices=CarcassPart.choices)
    field_order = ["kg", "part", "when"]

    def weight(self) -> Weight:
        """As above."""
        told = self.cleaned_data
        return Weight(stage=WeighStage.CUT, part=told["part"], kg=told["kg"])


class AsideForm(ScaleForm):
    """What a stage did not pass on: offal and blood, bones and scraps."""

    stage = forms.ChoiceField(
        label="When",
        choices=[
            (WeighStage.DRESSING_ASIDE.value, "at dressing: blood, offal, hair"),
            (WeighStage.CUTTING_ASIDE.value, "at cutting: bones, skin, scraps"),
        ],
    )
    part = forms.CharField(
        label="What", max_length=40, error_messages={"required": "Name it: liver, bones ..."}
    )
    field_order = ["kg", "part", "stage", "when"]

    def weight(self) -> Weight:
        """As above."""
        told = self.cleaned_data
        return Weight(stage=WeighStage(told["stage"]), part=told["part"], kg=told["kg"])


class WeightCorrectionForm(ScaleForm):
    """What the scale really showed."""

    is_signed = False

    def __init__(self, data: Data, **kwargs: Any) -> None:
        # Any: Django's own keyword arguments, passed on unread.
        super().__init__(data, **kwargs)
        del self.fields["when"]


class TableForm(forms.Form):
    """Which published table is tried."""

    table = forms.ChoiceField(choices=CutTableName.choices, required=False)

    def table_tried(self) -> CutTableName | None:
        """The table in the address, if it is one."""
        word = self.cleaned_data.get("table") if self.is_valid() else ""
        return CutTableName(word) if word else None


class CutPlanForm(WorkshopForm):
    """What each part of the table becomes."""

    table = forms.ChoiceField(choices=CutTableName.choices, widget=forms.HiddenInput)
    note = forms.CharField(label="Note for the table", max_length=200, required=False)

    def __init__(
        self, data: Data, *, workshop: Workshop, sheet: BreakDownSheet, table: CutTableName
    ) -> None:
        plan = sheet.plan
        initial = {"table": table, "note": plan.note if plan else ""}
        super().__init__(data, workshop=workshop, initial=initial)
        self.parts = [row.part for row in sheet.parts]
        for row in sheet.parts:
            self.fields[f"becomes_{row.part.value}"] = forms.ChoiceField(
                choices=Becomes.choices, initial=row.becomes, label=row.part.label
            )

    @property
    def rows(self) -> list[forms.BoundField]:
        """A box for each part."""
        return [self[f"becomes_{part.value}"] for part in self.parts]

    def becomes(self) -> dict[str, Becomes]:
        """What is kept, once the form is valid."""
        told = self.cleaned_data
        return {part.value: Becomes(told[f"becomes_{part.value}"]) for part in self.parts}
