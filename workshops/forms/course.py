"""The course's texts, price and places; the menu."""

from __future__ import annotations

from decimal import Decimal

from django import forms
from django.db import transaction
from django.utils import timezone

from workshops import money, signing_up
from workshops.forms.layout import Data, KeptForm, beside, group, helper
from workshops.forms.money import AmountField
from workshops.models import Allergen, Day, Meal, Workshop

LONG = {"rows": 4}


class CourseForm(KeptForm, forms.ModelForm):  # type: ignore[type-arg]  # no parameter when it runs
    """What strangers read, what a seat costs, and what the sheets name."""

    price = AmountField(least=Decimal(0), label="Price of a seat")
    payment_link = forms.URLField(
        required=False,
        assume_scheme="https",
        help_text="Where they pay, if not by hand; no payment is taken here.",
    )
    waiver = forms.CharField(
        required=False,
        widget=forms.Textarea(attrs={"rows": 10}),
        max_length=20000,
        help_text="A change is a new version; those who accepted an older one are asked again.",
    )

    class Meta:
        model = Workshop
        fields = [
            "name",
            "summary",
            "place",
            "what_you_do",
            "asks_of_body",
            "what_to_bring",
            "takes_sign_ups",
            "seats",
            "currency",
            "payment_link",
            "offer_hours",
            "links_last_days",
            "first_aid_point",
            "muster_point",
            "emergency_number",
        ]
        widgets = {
            name: forms.Textarea(attrs=LONG)
            for name in ("summary", "what_you_do", "asks_of_body", "what_to_bring")
        }

    def __init__(self, data: Data = None, *, workshop: Workshop) -> None:
        text = signing_up.current_waiver(workshop)
        known = {
            "price": Decimal(workshop.seat_price_cents) * money.CENTS,
            "waiver": text.text if text else "",
        }
        super().__init__(data, instance=workshop, initial=known)
        self.need_words()
        self.fields["takes_sign_ups"].label = "Takes sign-ups"
        self.fields["offer_hours"].label = "An offer stands, hours"
        self.fields["links_last_days"].label = "Links open after the course, days"
        self.helper = helper(
            group("What strangers read", "name", "summary", "place", "takes_sign_ups"),
            group("In more words", "what_you_do", "asks_of_body", "what_to_bring", "waiver"),
            group("Seats and money", beside("seats", "price", "currency"), "payment_link"),
            beside("offer_hours", "links_last_days"),
            group("On the farm", beside("first_aid_point", "muster_point", "emergency_number")),
        )

    def clean_currency(self) -> str:
        """Three letters, such as USD (ISO 4217)."""
        code = str(self.cleaned_data["currency"]).upper()
        if not (len(code) == 3 and code.isascii() and code.isalpha()):
            raise forms.ValidationError(f"{code!r} is no currency; write one such as USD or EUR.")
        return code

    @transaction.atomic
    def write(self) -> Workshop:
        """The row and, if its words changed, the next version of the waiver."""
        self.instance.seat_price_cents = self.cleaned_data["price"]
        workshop: Workshop = self.save()
        words = self.cleaned_data["waiver"].replace("\r\n", "\n").strip()
        if words or signing_up.current_waiver(workshop):
            signing_up.edit_waiver(workshop, words, now=timezone.now())
        return workshop


class MealForm(KeptForm, forms.ModelForm):  # type: ignore[type-arg]  # no parameter when it runs
    """One dish of the menu."""

    contains = forms.MultipleChoiceField(
        choices=Allergen.choices, required=False, widget=forms.CheckboxSelectMultiple
    )

    class Meta:
        model = Meal
        fields = ["day", "name", "contains", "instead"]

    def __init__(self, data: Data = None, *, workshop: Workshop) -> None:
        super().__init__(data)
        day = self.fields["day"]
        assert isinstance(day, forms.ModelChoiceField)
        self.fields["instead"].label = "Something else beside it"
        day.queryset = Day.objects.filter(workshop=workshop)
        self.need_words()
        self.helper = helper(beside("day", "name"), "contains", "instead")
