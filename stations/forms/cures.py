"""A batch of cure as it is typed: the bag's percentages, the meat's weight, what is wanted."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import uuid4

from django import forms
from django.core.exceptions import ValidationError

from stations.curing_batches import Begun, Wanted, WorkedOut, work_out
from stations.fields import GRAMS_FINE, KG_PER_L, SiField
from stations.forms.record import PressForm, WorkshopForm
from stations.judged import judged
from stations.models import CureAct, CuredProduct, TimesBy
from stations.refusals import refused
from stations.trade.cures import PercentForFraction
from stations.trade.errors import OutOfRange
from stations.trade.findings import OutsideRule
from workshops.forms.layout import Data, beside, date_box, group, helper
from workshops.models import Animal, Workshop
from workshops.quantities import VOLUME

LEAST_PPM = 10
"""A wish below it is a slip: parts per million, not per cent (a judgement)."""


class PercentField(forms.FloatField):
    """A percentage, cleaned to a fraction; the hundredfold slip is named either way."""

    def __init__(self, *, low: float, high: float, example: str, **kwargs: Any) -> None:
        # Any: Django's own keyword arguments, passed on unread.
        self.low, self.high, self.example = low, high, example
        super().__init__(**kwargs)
        self.widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})

    def clean(self, value: Any) -> float | None:
        """The fraction. Any: Django's own."""
        typed: float | None = super().clean(value)
        if typed is None or typed == 0:
            return typed
        if typed < self.low and self.low <= typed * 100 <= self.high:
            raise ValidationError(
                f"{typed:g} looks like a fraction; a percentage is asked for. For "
                f"{typed * 100:g} % write {typed * 100:g}."
            )
        # Up to a hundred it may be what the bag says: pure nitrite is no slip, and is refused.
        if typed > max(100, self.high) and self.low <= typed / 100 <= self.high:
            raise ValidationError(
                f"{typed:g} % is a hundredfold too much; was {typed / 100:g} meant?"
            )
        if not self.low <= typed <= self.high:
            raise ValidationError(
                f"{typed:g} % is out of range; write {self.low:g} to {self.high:g}, such as "
                f"{self.example}."
            )
        return typed / 100


def _weight(label: str, help_text: str = "") -> SiField:
    return SiField(quantity=GRAMS_FINE, low=0, high=2000, label=label, help_text=help_text)


class CureForm(WorkshopForm):
    """A batch that is tried or kept."""

    name = forms.CharField(label="What it is", max_length=80, help_text="Left ham of hog 32.")
    animal: forms.ModelChoiceField[Animal] = forms.ModelChoiceField(
        queryset=Animal.objects.none(), required=False, label="Hog", empty_label="several or none"
    )
    product = forms.ChoiceField(choices=CuredProduct.choices, label="What and how")
    weighed_kg = _weight("Meat as weighed")
    heaviest_kg = _weight("Heaviest piece", "Days go by it.")
    skin_on = forms.BooleanField(required=False, label="The skin is on")
    cure_name = forms.CharField(
        label="Curing salt, as the bag calls it", max_length=60, initial="cure no. 1"
    )
    nitrite = PercentField(
        label="Nitrite in it, %", low=0.1, high=10, example="6.25", initial="6.25",
        help_text="As printed on the bag: strengths differ. Above 10 % is refused.",
    )  # fmt: skip
    nitrate = PercentField(
        label="Nitrate in it, %", low=0.1, high=10, example="4", initial="0",
        help_text="0 for a cure no. 1.",
    )  # fmt: skip
    ppm = forms.FloatField(
        label="Wanted nitrite, ppm", min_value=0, max_value=1000, initial=150,
        help_text="Of the green weight. 0 for salt alone.",
    )  # fmt: skip
    salt = PercentField(
        label="Wanted salt, % of the meat", low=0.5, high=12, example="2.5", initial="2.5",
        help_text="For dry and minced. It counts the salt in the curing salt.",
    )  # fmt: skip
    sugar = PercentField(
        label="Sugar, %", low=0.1, high=10, example="1", initial="1",
        help_text="Of the meat; in a pickle, of the water.",
    )  # fmt: skip
    water = SiField(
        quantity=VOLUME, low=0, high=1000, si=KG_PER_L, required=False, label="Water of the pickle"
    )
    salometer = forms.FloatField(
        label="Salometer degrees", min_value=0, max_value=100, required=False,
        help_text="Of the salt and water alone, 60 F scale.",
    )  # fmt: skip
    taken = PercentField(
        label="Pumped or picked up, %", low=1, high=60, example="10", required=False,
        help_text="Empty in a pickle: soaked until meat and pickle are even.",
    )  # fmt: skip
    times_by = forms.ChoiceField(
        choices=TimesBy.choices, label="How long", initial=TimesBy.METHOD_4
    )
    own_days = forms.IntegerField(
        label="Days, if the lead sets them", required=False, min_value=1, max_value=366
    )
    started_on = forms.DateField(label="In the cure on", widget=date_box())

    def __init__(self, data: Data, *, workshop: Workshop, hogs: list[Animal], today: date) -> None:
        super().__init__(data, workshop=workshop, initial={"started_on": today})
        field: Any = self.fields["animal"]  # Any: the stubs know no choices of a model's field
        field.queryset = Animal.objects.filter(workshop=workshop)
        field.choices = [("", "several or none")] + [(hog.pk, str(hog)) for hog in hogs]
        self.need_words()
        self.fresh_id = uuid4()
        self.helper = helper(
            beside("name", "animal"),
            "product",
            beside("weighed_kg", "heaviest_kg"),
            "skin_on",
            group("The bag", "cure_name", beside("nitrite", "nitrate")),
            group("Wanted", beside("ppm", "salt", "sugar")),
            group("The pickle, if there is one", beside("water", "salometer", "taken")),
            group("Time", "times_by", beside("own_days", "started_on")),
        )

    def clean_ppm(self) -> float:
        """A few parts per million are a slip of the unit."""
        ppm: float = self.cleaned_data["ppm"]
        if 0 < ppm < LEAST_PPM:
            raise ValidationError(
                f"{ppm:g} ppm is next to nothing; the unit is parts per million, such as 120 or "
                "150. Write 0 for salt alone."
            )
        return ppm

    def clean(self) -> dict[str, Any]:
        """What a pickle needs, and whose days. Any: Django's own."""
        told = super().clean() or {}
        if self.errors:
            return told
        product = CuredProduct(told["product"])
        if product.in_pickle and not told.get("water"):
            self.add_error("water", "A pickle needs its water; write how much.")
        if product.in_pickle and told.get("salometer") is None:
            self.add_error("salometer", "A pickle needs its strength; write the degrees.")
        if product.is_pumped and not told.get("taken"):
            self.add_error("taken", "Write how much is pumped in, such as 10.")
        if told["times_by"] == TimesBy.OWN and not told.get("own_days"):
            self.add_error("own_days", "Write how many days.")
        if told["heaviest_kg"] > told["weighed_kg"]:
            self.add_error("heaviest_kg", "One piece weighs no more than all; look at the two.")
        return told

    def wanted(self) -> Wanted:
        """What is asked, once the form is valid."""
        told = self.cleaned_data
        product = CuredProduct(told["product"])
        return Wanted(
            product=product,
            weighed_kg=told["weighed_kg"],
            heaviest_kg=told["heaviest_kg"],
            cure_name=told["cure_name"],
            nitrite=told["nitrite"],
            nitrate=told["nitrate"],
            ppm=told["ppm"],
            salt=told["salt"],
            sugar=told["sugar"],
            times_by=TimesBy(told["times_by"]),
            skin_on=told["skin_on"],
            water_kg=told["water"] or 0.0,
            salometer=told["salometer"] or 0.0,
            taken=told["taken"] or None if product.in_pickle else None,
            own_days=told["own_days"],
        )

    def begun(self) -> Begun:
        """What it is called and when it begins, once the form is valid."""
        told = self.cleaned_data
        return Begun(name=told["name"], started_on=told["started_on"], animal=told["animal"])

    def worked_out(self) -> WorkedOut | None:
        """The answer, or None with the refusal among the form's errors."""
        if not self.is_valid():
            return None
        try:
            return work_out(self.wanted())
        except OutsideRule as refusal:
            line = judged(refusal.finding, self.workshop.units)
            self.add_error(None, f"{line.sentence} Source: {line.source}.")
        except PercentForFraction as refusal:
            self.add_error(None, str(refusal))
        except OutOfRange as refusal:
            self.add_error(None, str(refused(refusal, self.workshop.units)))
        return None


class CureNoteForm(PressForm):
    """What was done to a batch."""

    act_done = forms.ChoiceField(label="What", choices=CureAct.choices, initial=CureAct.TURNED)
    # A text box: a number box drops "19." while the pad is still at it, and 19.9 g becomes 9.
    grams = forms.FloatField(
        label="Curing salt weighed in, g", required=False, min_value=0, max_value=100_000,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )  # fmt: skip
    kg = SiField(quantity=GRAMS_FINE, low=0, high=2000, required=False, label="Meat after the pump")
    note = forms.CharField(label="Note", max_length=200, required=False)
    field_order = ["act_done", "grams", "kg", "note", "when"]

    def clean(self) -> dict[str, Any]:
        """A weighing says a weight, a note some words. Any: Django's own."""
        told = super().clean() or {}
        if self.errors:
            return told
        done = CureAct(told["act_done"])
        box = {CureAct.WEIGHED: "grams", CureAct.PUMPED: "kg"}.get(done)
        if box and told.get(box) is None:
            self.add_error(box, "Write the number on the scale.")
        if done is CureAct.NOTE and not told.get("note"):
            self.add_error("note", "Write the note.")
        return told

    def weight_kg(self) -> float | None:
        """The weight of what was done, if it is one that is weighed."""
        told, done = self.cleaned_data, CureAct(self.cleaned_data["act_done"])
        if done is CureAct.WEIGHED:
            return float(told["grams"]) / 1000
        return float(told["kg"]) if done is CureAct.PUMPED else None
