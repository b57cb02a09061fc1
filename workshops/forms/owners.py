"""The owners of record page: the local check, and a hog's treatments."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.utils import timezone

from workshops.forms.layout import Data, KeptForm, beside, date_box, helper
from workshops.models import Animal, LocalCheck, Treatment, Workshop


def refuse_future(form: forms.BaseForm, name: str, today: date) -> None:
    """What has happened did so by today."""
    typed = form.cleaned_data.get(name)
    if typed and typed > today:
        form.add_error(name, f"{typed:%d %b %Y} has not come yet; write a date up to today.")


class LocalCheckForm(KeptForm, forms.ModelForm):  # type: ignore[type-arg]  # no parameter when it runs
    """Checked with our local authority: by whom, with whom, when."""

    checked = forms.BooleanField(label="Checked with our local authority")
    on = forms.DateField(label="On", widget=date_box())

    class Meta:
        model = LocalCheck
        fields = ["name", "authority", "on", "note", "may_leave_off"]

    def __init__(self, data: Data = None, *, workshop: Workshop) -> None:
        super().__init__(data, instance=LocalCheck(workshop=workshop))
        self.today = timezone.localdate(timezone=workshop.zone)
        self.need_words()
        self.fields["checked"].error_messages["required"] = "Tick it, or leave the page as it is."
        self.helper = helper("checked", beside("name", "authority", "on"), "note", "may_leave_off")

    def clean(self) -> dict[str, Any]:
        """Nobody has asked tomorrow; leaving the mark off needs the words that allow it."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        refuse_future(self, "on", self.today)
        if typed.get("may_leave_off") and not typed.get("note"):
            self.add_error("note", "To leave NOT FOR SALE off, write down what was said, in words.")
        return typed


class TreatmentForm(KeptForm, forms.ModelForm):  # type: ignore[type-arg]  # no parameter when it runs
    """One treatment of one hog."""

    on = forms.DateField(label="Last given on", widget=date_box())

    class Meta:
        model = Treatment
        fields = ["product", "on", "withdrawal_days", "note"]

    def __init__(self, data: Data = None, *, hog: Animal) -> None:
        super().__init__(data, instance=Treatment(animal=hog))
        self.today = timezone.localdate(timezone=hog.workshop.zone)
        days = self.fields["withdrawal_days"]
        days.label = "Withdrawal, days"
        days.help_text = "From the label, or as the vet has set it."
        self.need_words()
        self.helper = helper(beside("product", "on", "withdrawal_days"), "note")

    def clean(self) -> dict[str, Any]:
        """A treatment has been given."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        refuse_future(self, "on", self.today)
        return typed
