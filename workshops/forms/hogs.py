"""One hog's page: the animal and its owners of record."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import QuerySet

from workshops import owning
from workshops.fields import MeasureField
from workshops.forms.layout import Data, KeptForm, beside, date_box, helper, show_again
from workshops.models import Animal, AnimalStatus, Basis, Household
from workshops.models.animals import LIVE_KG
from workshops.owning import HogChangedMeanwhile, Share, TagTaken
from workshops.quantities import WEIGHT

WHOLE = Decimal(100)
# What is written down by hand; the later ones follow from the work of the days.
BY_HAND = (AnimalStatus.RAISED, AnimalStatus.CHOSEN, AnimalStatus.HELD_BACK)


class HogForm(KeptForm, forms.ModelForm):  # type: ignore[type-arg]  # no parameter when it runs
    """The animal."""

    weight = MeasureField(quantity=WEIGHT, low=LIVE_KG[0], high=LIVE_KG[1], label="Live weight")
    carcass = MeasureField(
        quantity=WEIGHT,
        low=1,
        high=LIVE_KG[1],
        required=False,
        label="Carcass weight",
        help_text="Opened and drawn, hot. Leave it empty until it is weighed.",
    )
    version = forms.CharField(required=False, widget=forms.HiddenInput)

    class Meta:
        model = Animal
        fields = ["tag", "order", "coat", "colour", "status", "record_seen"]

    def __init__(self, data: Data = None, *, hog: Animal) -> None:
        known = (
            {"weight": hog.live_kg, "carcass": hog.carcass_kg, "version": owning.version_of(hog)}
            if hog.pk
            else {}
        )
        super().__init__(data, instance=hog, initial=known)
        status = self.fields["status"]
        assert isinstance(status, forms.ChoiceField)
        for box in self.fields.values():
            if isinstance(box, MeasureField):
                box.speak(hog.workshop.units)
        now = AnimalStatus(hog.status)
        status.choices = [(kept, kept.label) for kept in dict.fromkeys((now, *BY_HAND))]
        self.need_words()
        self.helper = helper(
            "version",
            beside("tag", "order", "weight"),
            beside("coat", "colour", "status"),
            "carcass",
            "record_seen",
        )

    def clean(self) -> dict[str, Any]:
        """The weights go to the animal as SI; a carcass is no heavier than the hog was alive."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        live, carcass = typed.get("weight"), typed.get("carcass")
        if live is not None:
            self.instance.live_kg = live
        if live is not None and carcass is not None and carcass > live:
            self.add_error(
                "carcass", "A carcass weighs no more than the hog did alive. Look again."
            )
        self.instance.carcass_kg = carcass
        self.check_withdrawal(typed.get("status"))
        return typed

    def check_withdrawal(self, status: str | None) -> None:
        """A hog is not chosen for a day that comes before the end of a withdrawal."""
        hog = self.instance
        ready, first = (hog.ready_on() if hog.pk else None), hog.workshop.days.first()
        is_new_choice = status == AnimalStatus.CHOSEN and status != self.initial.get("status")
        if is_new_choice and ready and first and ready > first.date:
            self.add_error(
                "status",
                f"A withdrawal runs until {ready:%d %b %Y} and the course begins "
                f"{first.date:%d %b %Y}; choose another hog, move the course, or correct the "
                "treatment.",
            )

    def write(self, owners: Owners) -> bool:
        """Write the hog and its owners down; on a refusal say why and answer False."""
        try:
            owning.write_down(self.instance, owners.shares(), seen=self.cleaned_data["version"])
        except TagTaken as refusal:
            self.add_error("tag", str(refusal))
        except HogChangedMeanwhile as clash:
            show_again(self, version=clash.version)
            self.add_error(None, str(clash))
        return not self.errors


class OwnerForm(KeptForm, forms.Form):
    """One owner of record."""

    household = forms.ModelChoiceField(
        Household.objects.none(), required=False, label="Owner", empty_label="the farm"
    )
    percent = forms.DecimalField(
        label="Share, percent",
        max_digits=5,
        decimal_places=2,
        min_value=Decimal("0.01"),
        max_value=WHOLE,
        error_messages={
            "min_value": "A share lies above 0 and at most 100 percent.",
            "max_value": "A share lies above 0 and at most 100 percent.",
        },
    )
    # The empty choice tells an untouched row from one that was filled in.
    basis = forms.ChoiceField(
        choices=[("", "choose"), *Basis.choices], label="How it came to be theirs"
    )
    since = forms.DateField(label="Owned since", widget=date_box())

    def __init__(self, *args: Any, households: QuerySet[Household], **kwargs: Any) -> None:
        # Any: the formset's own arguments, passed on unread.
        super().__init__(*args, **kwargs)
        household = self.fields["household"]
        assert isinstance(household, forms.ModelChoiceField)
        household.queryset = households
        self.need_words()
        self.helper = helper(beside("household", "percent", "basis", "since"))
        self.helper.disable_csrf = True


class Owners(forms.BaseFormSet):  # type: ignore[type-arg]  # no parameter when it runs
    """All owners of one hog."""

    def add_fields(self, form: OwnerForm, index: int | None) -> None:
        """Names the box that takes an owner off, and lays it out."""
        super().add_fields(form, index)
        if "DELETE" in form.fields:
            form.fields["DELETE"].label = "Take this owner off"
            form.helper.layout.append("DELETE")

    def clean(self) -> None:
        """Each owner once, and no more than the whole hog."""
        if any(form.errors and not form.cleaned_data.get("DELETE") for form in self.forms):
            return
        shares = self.shares()
        owners = [share.household for share in shares]
        for owner in dict.fromkeys(owners):
            if owners.count(owner) > 1:
                raise forms.ValidationError(
                    f"{owner or 'The farm'} stands {owners.count(owner)} times; "
                    "write each owner once, with the whole share."
                )
        total = sum((share.percent for share in shares), Decimal(0))
        if total > WHOLE:
            raise forms.ValidationError(
                f"The shares come to {owning.plain(total)} percent; bring them down to 100."
            )

    @property
    def refusals(self) -> list[str]:
        """Every refusal, those of one owner after that owner's number."""
        of_rows = [
            f"Owner {number}, {refusal}"
            for number, form in enumerate(self.forms, start=1)
            for refusal in form.refusals
        ]
        return [*self.non_form_errors(), *of_rows]

    def shares(self) -> list[Share]:
        """The owners that stay, in the order of the page."""
        rows = [form.cleaned_data for form in self.forms if form.has_changed() or form.initial]
        return [
            Share(
                household=row["household"],
                percent=row["percent"],
                basis=Basis(row["basis"]),
                since=row["since"],
            )
            for row in rows
            if row and not row.get("DELETE")
        ]


def owners_of(hog: Animal, households: QuerySet[Household], data: Data = None) -> Owners:
    """The owners' part of a hog's page: a row for each, and an empty one."""
    known = [
        {
            "household": share.household,
            "percent": Decimal(owning.plain(share.percent)),
            "basis": share.basis,
            "since": share.since,
        }
        for share in (owning.shares_of(hog) if hog.pk else [])
    ]
    made = forms.formset_factory(
        OwnerForm, formset=Owners, extra=1, can_delete=True, can_delete_extra=False
    )
    owners = made(data, initial=known, prefix="owners", form_kwargs={"households": households})
    assert isinstance(owners, Owners)
    return owners
