"""The public sign-up form: one household, and as many people as come."""

from __future__ import annotations

import uuid
from datetime import date
from typing import Any

from django import forms
from django.forms.utils import ErrorDict
from django.http import QueryDict
from django.utils import timezone

from workshops.enrolling import Entry
from workshops.fields import MeasureField
from workshops.forms.layout import Data, KeptForm, beside, date_box, folded, group, helper
from workshops.forms.people import check_wishes
from workshops.models import (
    Allergen,
    EnrolmentStatus,
    Knife,
    Limit,
    ShareWanted,
    TradeJob,
    WaiverText,
    Workshop,
)
from workshops.models.courses import years_between
from workshops.models.people import ADULT_AT
from workshops.quantities import LENGTH, WEIGHT
from workshops.signing_up import Form, Person

MOST_PEOPLE = 8
PEOPLE = "people"


class SignUpForm(KeptForm, forms.Form):
    """The household's part."""

    email = forms.EmailField(label="E-mail", help_text="Your seats and your private link go here.")
    phone = forms.CharField(
        max_length=40, widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "tel"})
    )
    emergency_contact = forms.CharField(
        max_length=120, help_text="Whom to ring; someone who is not at the farm that day."
    )
    emergency_phone = forms.CharField(
        max_length=40, label="Their telephone", widget=forms.TextInput(attrs={"type": "tel"})
    )
    share_wanted = forms.ChoiceField(
        choices=ShareWanted.choices,
        label="Meat you would like",
        help_text="A wish, not an order: who may have meat turns on who owned the animal.",
    )
    heard = forms.CharField(max_length=200, required=False, label="How did you hear of us?")
    note = forms.CharField(
        max_length=2000,
        required=False,
        label="Anything else",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    only_asking = forms.BooleanField(
        required=False,
        label="We are only asking for now: keep no seat for us",
    )
    form_id = forms.UUIDField(widget=forms.HiddenInput)
    waiver_read = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, data: Data = None, *, text: WaiverText | None) -> None:
        known = {"form_id": uuid.uuid4(), "waiver_read": text.version if text else None}
        super().__init__(data, initial=known)
        self.fields["email"].widget.attrs["autocomplete"] = "email"
        self.need_words()
        self.helper = helper(
            group(
                "How we reach you",
                beside("email", "phone"),
                beside("emergency_contact", "emergency_phone"),
            ),
            group("And", beside("share_wanted", "heard"), "note", "only_asking"),
            "form_id",
            "waiver_read",
        )

    def read_again(self, text: WaiverText | None) -> None:
        """The page now shows this version: the next post is about it."""
        data = QueryDict(mutable=True)
        data.update(self.data)
        data["waiver_read"] = str(text.version) if text else ""
        self.data = data


class SignUpPersonForm(KeptForm, forms.Form):
    """One person's part."""

    given_name = forms.CharField(max_length=80)
    family_name = forms.CharField(max_length=80, required=False)
    age = forms.ChoiceField(
        choices=[("adult", "18 or older"), ("minor", "under 18")], label="Age", initial="adult"
    )
    born = forms.DateField(
        required=False, label="Birth date", widget=date_box(), help_text="If under 18."
    )
    guardian = forms.CharField(
        max_length=120,
        required=False,
        label="Guardian",
        help_text="If under 18: the adult who answers for them here.",
    )
    height = MeasureField(
        quantity=LENGTH,
        low=100,
        high=230,
        label="Height",
        help_text="Crews for carrying are matched by height.",
    )
    lift = MeasureField(
        quantity=WEIGHT,
        low=0,
        high=150,
        required=False,
        label="Comfortable lift",
        help_text="To the waist, without strain.",
    )
    lift_unsure = forms.BooleanField(required=False, label="Not sure what they can lift")
    knife = forms.TypedChoiceField(
        choices=Knife.choices, coerce=int, label="Knife experience", initial=Knife.NONE
    )
    limits = forms.MultipleChoiceField(
        choices=[choice for choice in Limit.choices if choice[0] != Limit.UNDER_18],
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label="Must not, or would not",
    )
    health_note = forms.CharField(
        max_length=2000,
        required=False,
        label="Anything about your health we should know",
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Read by the organizer and the lead alone.",
    )
    allergens = forms.MultipleChoiceField(
        choices=Allergen.choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label="Must not meet",
    )
    diet = forms.CharField(
        max_length=200, required=False, help_text="Anything else the kitchen must know."
    )
    must_try = forms.MultipleChoiceField(
        choices=TradeJob.choices, required=False, widget=forms.CheckboxSelectMultiple
    )
    rather_not = forms.MultipleChoiceField(
        choices=TradeJob.choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label="Would rather not",
    )
    signed_by = forms.CharField(
        max_length=120,
        required=False,
        label="Waiver read and accepted by",
        help_text="Type your full name. For someone under 18 the guardian types theirs.",
    )

    def __init__(self, *args: Any, workshop: Workshop, has_waiver: bool, **kwargs: Any) -> None:
        # Any: the formset's own arguments, passed on unread.
        super().__init__(*args, **kwargs)
        self.workshop = workshop
        for field in self.fields.values():
            if isinstance(field, MeasureField):
                field.speak(workshop.units)
        if not has_waiver:
            del self.fields["signed_by"]
        self.need_words()
        self.helper = helper(*self.parts(["signed_by"] if has_waiver else []))
        self.helper.disable_csrf = True

    def parts(self, waiver: list[str]) -> list[object]:
        """The fields in their groups; what most leave empty is folded away."""
        return [
            beside("given_name", "family_name"),
            beside("age", "height"),
            folded("If under 18: birth date and guardian", beside("born", "guardian")),
            beside("lift", "lift_unsure"),
            "knife",
            folded("Limits: what you must not or would not do", "limits", "health_note"),
            folded("Food: allergens and diet", "allergens", "diet"),
            folded("Wishes: what to try, what to leave", beside("must_try", "rather_not")),
            *waiver,
        ]

    def clean(self) -> dict[str, Any]:
        """Rules that need two fields."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        if typed.get("lift") is None and not typed.get("lift_unsure") and "lift" not in self.errors:
            self.add_error("lift", "Write a number, or tick “not sure” below.")
        if typed.get("lift") is not None and typed.get("lift_unsure"):
            self.add_error("lift", "Write a number or tick “not sure”, not both.")
        check_wishes(self)
        self.check_age(typed)
        return typed

    def check_age(self, typed: dict[str, Any]) -> None:
        """A minor has a birth date and a guardian; an adult needs neither."""
        born, is_minor = typed.get("born"), typed.get("age") == "minor"
        today = timezone.localdate(timezone=self.workshop.zone)
        if born and not date(1900, 1, 1) <= born <= today:
            self.add_error(
                "born", f"The birth date is {born:%d %b %Y}; write one from 1900 up to today."
            )
        elif born and (years_between(born, self.first_day()) < ADULT_AT) != is_minor:
            self.add_error(
                "age",
                f"Born {born:%d %b %Y} they are {years_between(born, self.first_day())} when the "
                "course begins; change the age or the birth date.",
            )
        if is_minor and not born and "born" not in self.errors:
            self.add_error("born", "Under 18 needs a birth date; fill it in.")
        if is_minor and not typed.get("guardian"):
            self.add_error("guardian", "Under 18 needs an adult who answers for them; name one.")

    def first_day(self) -> date:
        """Ages count on it."""
        days = list(self.workshop.days.all())
        return days[0].date if days else timezone.localdate(timezone=self.workshop.zone)

    def person(self, home: dict[str, Any]) -> Person:
        """What was typed, with the household's part. After ``is_valid``."""
        typed = self.cleaned_data
        numbers = ("email", "phone", "emergency_contact", "emergency_phone")
        entry = Entry(
            given_name=typed["given_name"],
            family_name=typed["family_name"],
            born=typed["born"],
            guardian=typed["guardian"],
            height_cm=int(typed["height"]),
            diet=typed["diet"],
            household_name="",
            **{name: home[name] for name in numbers},
            status=EnrolmentStatus.ENQUIRY,
            lift_kg=typed["lift"],
            knife=Knife(typed["knife"]),
            arrives_at=None,
            leaves_at=None,
            limits=tuple(sorted(Limit(limit) for limit in typed["limits"])),
            allergens=tuple(sorted(Allergen(one) for one in typed["allergens"])),
            must_try=tuple(sorted(TradeJob(job) for job in typed["must_try"])),
            rather_not=tuple(sorted(TradeJob(job) for job in typed["rather_not"])),
            health_note=typed["health_note"],
        )
        return Person(entry=entry, signed_by=typed.get("signed_by", ""))


class SignUpPage:
    """The whole page's form: the household, its people, and the waiver they read."""

    def __init__(self, data: Data, workshop: Workshop, text: WaiverText | None) -> None:
        self.workshop, self.text = workshop, text
        made = forms.formset_factory(
            SignUpPersonForm, extra=0, min_num=1, max_num=MOST_PEOPLE, validate_max=True
        )
        options = {"workshop": workshop, "has_waiver": text is not None}
        self.home = SignUpForm(data, text=text)
        self.people = made(data, prefix=PEOPLE, form_kwargs=options)

    def as_typed(self) -> SignUpPage:
        """Shown as it stands, judged by nobody yet: a draft is no mistake."""
        for form in (self.home, *self.people.forms):
            vars(form)["_errors"] = ErrorDict()
        vars(self.people)["_errors"] = []
        return self

    def is_valid(self) -> bool:
        """Both parts, each judged, so that every refusal is told at once."""
        home, people = self.home.is_valid(), self.people.is_valid()
        if home and people and self.text and not self.home.cleaned_data["only_asking"]:
            self.ask_for_waiver()
        return home and people and not any(form.errors for form in self.people.forms)

    def ask_for_waiver(self) -> None:
        """The first person accepts it now, and a guardian for each minor; others may later."""
        for number, form in enumerate(self.people.forms):
            typed = form.cleaned_data
            if not typed["signed_by"] and (number == 0 or typed["age"] == "minor"):
                form.add_error("signed_by", "The waiver is not accepted yet; type a name.")

    @property
    def refusals(self) -> list[str]:
        """Every refusal, a person's after their number."""
        of_people = [
            f"Person {number}, {refusal}"
            for number, form in enumerate(self.people.forms, start=1)
            for refusal in form.refusals
        ]
        return [*self.home.refusals, *self.people.non_form_errors(), *of_people]

    def typed(self) -> Form:
        """What was typed. After ``is_valid``."""
        home = self.home.cleaned_data
        return Form(
            form_id=home["form_id"],
            people=[form.person(home) for form in self.people.forms],
            heard=home["heard"],
            share_wanted=ShareWanted(home["share_wanted"]),
            note=home["note"],
            only_asking=home["only_asking"],
        )


def with_people(data: Data, *, change: int) -> Data:
    """The same typed data with so many people more, or fewer, within the limits."""
    changed = data.copy()
    name = f"{PEOPLE}-TOTAL_FORMS"
    before = str(changed.get(name, ""))
    count = int(before) if before.isdecimal() else 1
    changed[name] = str(min(MOST_PEOPLE, max(1, count + change)))
    return changed
