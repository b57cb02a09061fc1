"""Amounts on the money pages."""

from __future__ import annotations

import uuid
from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone

from workshops import budgeting, ledger, money
from workshops.forms.layout import Data, KeptForm, beside, date_box, helper
from workshops.models import Cost, CostBasis, LedgerKind, Workshop
from workshops.models.money import MOST_CENTS

MOST = Decimal(MOST_CENTS) * money.CENTS


class AmountField(forms.DecimalField):
    """An amount with at most two decimals, cleaned to cents."""

    def __init__(self, *, least: Decimal = money.CENTS, **kwargs: Any) -> None:
        # Any: Django's own keyword arguments, passed on unread.
        said = f"Write an amount from {least} to {MOST:,.2f}, such as 485 or 48.50."
        messages = dict.fromkeys(
            ("invalid", "min_value", "max_value", "max_digits", "max_decimal_places"), said
        )
        super().__init__(
            min_value=least, max_value=MOST, decimal_places=2, error_messages=messages, **kwargs
        )

    def clean(self, value: Any) -> int | None:
        """The typed amount in cents."""
        typed = super().clean(value)
        return None if typed is None else money.cents(typed)


class EntryForm(KeptForm, forms.Form):
    """One amount of one household."""

    kind = forms.ChoiceField(choices=LedgerKind.choices, initial=LedgerKind.PAYMENT, label="What")
    amount = AmountField()
    on = forms.DateField(label="Date", widget=date_box())
    note = forms.CharField(max_length=200, required=False)
    form_id = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, data: Data = None, *, workshop: Workshop) -> None:
        today = timezone.localdate(timezone=workshop.zone)
        super().__init__(data, initial={"form_id": uuid.uuid4(), "on": today})
        self.fields["amount"].label = f"Amount, {workshop.currency}"
        self.need_words()
        self.helper = helper(beside("kind", "amount", "on"), "note", "form_id")

    def draft(self) -> ledger.Draft:
        """What was typed. After ``is_valid``."""
        typed = self.cleaned_data
        return ledger.Draft(
            kind=LedgerKind(typed["kind"]),
            cents=typed["amount"],
            on=typed["on"],
            note=typed["note"],
            form_id=typed["form_id"],
        )


class CostForm(KeptForm, forms.ModelForm):  # type: ignore[type-arg]  # no parameter when it runs
    """One line of the budget."""

    amount = AmountField(least=Decimal(0))
    basis = forms.ChoiceField(choices=CostBasis.choices, label="For each")

    class Meta:
        model = Cost
        fields = ["name", "basis"]

    def __init__(self, data: Data = None, *, cost: Cost) -> None:
        known = {"amount": Decimal(cost.cents) * money.CENTS} if cost.pk else {}
        super().__init__(data, instance=cost, initial=known)
        self.fields["amount"].label = f"Amount, {cost.workshop.currency}"
        self.need_words()
        self.helper = helper(beside("name", "amount", "basis"))

    def clean(self) -> dict[str, Any]:
        """The amount goes to the row as cents."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        if typed.get("amount") is not None:
            self.instance.cents = typed["amount"]
        return typed

    def is_kept(self) -> bool:
        """Write the line, after ``is_valid``; or no, with the reason at the name."""
        try:
            budgeting.write(self.instance)
        except budgeting.NameTaken as refusal:
            self.add_error("name", str(refusal))
            return False
        return True
