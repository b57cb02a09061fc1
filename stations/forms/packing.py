"""One package, typed with one hand: what it is, its weight, next."""

from __future__ import annotations

import uuid
from typing import cast

from django import forms

from stations.fields import SCALE, SiField
from stations.models import PackageKind
from stations.packing import Wrapped
from workshops.forms.layout import Data, KeptForm, Unseen, beside, helper


class PackageForm(KeptForm, forms.Form):
    """What was wrapped. The kind stays chosen for the next one."""

    kind = forms.ChoiceField(choices=PackageKind.choices, widget=forms.RadioSelect)
    weight = SiField(quantity=SCALE, low=0, high=100, label="Weight")
    cut = forms.CharField(
        max_length=60, required=False, help_text="Empty: the kind. Such as “loin chops, 4”."
    )
    cure = forms.CharField(
        max_length=120, required=False, label="Cured", help_text="Such as “dry cure, no. 1”."
    )
    client_id = forms.UUIDField(widget=Unseen)

    def __init__(self, data: Data = None, *, units: str, before: dict[str, str]) -> None:
        super().__init__(data, initial={"client_id": uuid.uuid4()} | before)
        weight = self.fields["weight"]
        assert isinstance(weight, SiField)
        weight.speak(units)
        weight.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off"}
        self.need_words()
        self.helper = helper("client_id", "kind", beside("weight", "cut", "cure"))

    def clean_weight(self) -> float:
        """Something lies in it."""
        kilograms = cast("float", self.cleaned_data["weight"])
        if kilograms < 0.001:
            raise forms.ValidationError("A package weighs more than nothing; read the scale again.")
        return kilograms

    def wrapped(self) -> Wrapped:
        """What was typed, after ``is_valid``."""
        typed = self.cleaned_data
        return Wrapped(
            kind=PackageKind(typed["kind"]),
            cut=typed["cut"].strip(),
            grams=round(typed["weight"] * 1000),
            cure=typed["cure"].strip(),
            client_id=typed["client_id"],
        )
