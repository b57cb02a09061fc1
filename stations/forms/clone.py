"""A new name and a first day for a copy of a course."""

from __future__ import annotations

from datetime import date

from django import forms
from django.utils import timezone

from workshops.forms.layout import Data, KeptForm, beside, date_box, helper
from workshops.models import Workshop


class CloneForm(KeptForm, forms.Form):
    """The copy's name and first day."""

    name = forms.CharField(max_length=120, label="Name of the new course")
    first_day = forms.DateField(label="First day", widget=date_box())

    def __init__(self, data: Data = None, *, workshop: Workshop) -> None:
        super().__init__(data, initial={"name": workshop.name})
        self.today = timezone.localdate(timezone=workshop.zone)
        self.need_words()
        self.helper = helper(beside("name", "first_day"))

    def clean_first_day(self) -> date:
        """A new course lies ahead."""
        day: date = self.cleaned_data["first_day"]
        if day <= self.today:
            raise forms.ValidationError(f"{day:%d %b %Y} is not ahead; write a day to come.")
        return day
