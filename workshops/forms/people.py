"""One person's page: household, attendee, seat and limits."""

from __future__ import annotations

from dataclasses import fields
from datetime import date
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils import timezone

from workshops import enrolling
from workshops.enrolling import ChangedMeanwhile, Entry
from workshops.fields import FarmTimeField, MeasureField
from workshops.forms.layout import (
    Data,
    KeptForm,
    beside,
    date_box,
    folded,
    group,
    helper,
    show_again,
)
from workshops.models import (
    Allergen,
    Enrolment,
    EnrolmentStatus,
    Household,
    Knife,
    Limit,
    TradeJob,
    User,
    Workshop,
)
from workshops.quantities import LENGTH, WEIGHT
from workshops.seating import NoSeatLeft

# The form's name of each part of an entry that is typed in other units than it is kept in.
TYPED_AS = {"height_cm": "height", "lift_kg": "lift"}
# What two people may have changed at once, in the words of the page.
WORDS = {"household_name": "household", "lift_kg": "comfortable lift", "height_cm": "height"}


class PersonForm(KeptForm, forms.Form):
    """Household, attendee, seat and limits of one person, on one page."""

    given_name = forms.CharField(max_length=80)
    family_name = forms.CharField(max_length=80, required=False)
    born = forms.DateField(
        required=False,
        label="Birth date",
        widget=date_box(),
        help_text="Needed for anyone under 18.",
    )
    height = MeasureField(
        quantity=LENGTH,
        low=100,
        high=230,
        required=False,
        label="Height",
        help_text="Crews for carrying are matched by height.",
    )
    diet = forms.CharField(
        max_length=200, required=False, help_text="What the kitchen must know; blank if nothing."
    )
    guardian = forms.CharField(
        max_length=120, required=False, help_text="Who answers for a person under 18."
    )
    allergens = forms.MultipleChoiceField(
        choices=Allergen.choices, required=False, widget=forms.CheckboxSelectMultiple
    )
    household_name = forms.CharField(max_length=120, label="Household")
    email = forms.EmailField(required=False, label="E-mail")
    phone = forms.CharField(max_length=40, required=False)
    emergency_contact = forms.CharField(
        max_length=120,
        required=False,
        help_text="Whom to ring; someone who is not at the farm that day.",
    )
    emergency_phone = forms.CharField(max_length=40, required=False, label="Their telephone")
    status = forms.ChoiceField(
        choices=EnrolmentStatus.choices, label="Seat", initial=EnrolmentStatus.CONFIRMED
    )
    lift = MeasureField(
        quantity=WEIGHT,
        low=0,
        high=150,
        required=False,
        label="Comfortable lift",
        help_text="To the waist without strain; blank if not sure.",
    )
    knife = forms.TypedChoiceField(
        choices=Knife.choices, coerce=int, label="Knife experience", initial=Knife.NONE
    )
    arrives_at = FarmTimeField(
        required=False, label="Arrives", help_text="Farm time; blank if there from the start."
    )
    leaves_at = FarmTimeField(
        required=False, label="Leaves", help_text="Farm time; blank if there to the end."
    )
    limits = forms.MultipleChoiceField(
        choices=[choice for choice in Limit.choices if choice[0] != Limit.UNDER_18],
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Nobody is placed against a limit. Under 18 follows from the birth date.",
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
    health_note = forms.CharField(
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Seen by the organizer and the lead only.",
    )
    version = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(
        self, data: Data = None, *, workshop: Workshop, seat: Enrolment, sees_health: bool
    ) -> None:
        self.workshop, self.seat, self.sees_health = workshop, seat, sees_health
        saved = enrolling.entry_of(seat, with_health=sees_health) if seat.pk else None
        first = initial_of(saved) | {"version": self.version_of(saved)} if saved else {}
        super().__init__(data, initial=first)
        if not sees_health:
            del self.fields["health_note"]
        for field in self.fields.values():
            if isinstance(field, MeasureField):
                field.speak(workshop.units)
            if isinstance(field, FarmTimeField):
                field.zone = workshop.zone
        self.need_words()
        self.helper = helper(*self.parts())
        # What someone else saved meanwhile, beside what was typed here.
        self.clashes: list[str] = []

    def parts(self) -> list[object]:
        """The fields in their groups."""
        note = ["health_note"] if self.sees_health else []
        return [
            "version",
            group(
                "Person",
                beside("given_name", "family_name"),
                beside("born", "guardian", "height"),
                "diet",
                folded("Allergens", "allergens"),
            ),
            group(
                "Household",
                *self.household_parts(),
                beside("email", "phone"),
                beside("emergency_contact", "emergency_phone"),
            ),
            group(
                "At this workshop",
                beside("status", "lift", "knife"),
                beside("arrives_at", "leaves_at"),
                "limits",
                folded("Wishes", beside("must_try", "rather_not")),
                *note,
            ),
        ]

    def household_parts(self) -> list[object]:
        """How the household is named."""
        return ["household_name"]

    def entry(self) -> Entry:
        """What was typed, as one entry. After ``is_valid``."""
        typed = self.cleaned_data
        values = {
            field.name: typed[TYPED_AS.get(field.name, field.name)]
            for field in fields(Entry)
            if field.name != "health_note"
        }
        values |= {
            "height_cm": None if typed["height"] is None else int(typed["height"]),
            "status": EnrolmentStatus(typed["status"]),
            "knife": Knife(typed["knife"]),
            "limits": tuple(sorted(Limit(limit) for limit in typed["limits"])),
            "allergens": tuple(sorted(Allergen(value) for value in typed["allergens"])),
            "must_try": tuple(sorted(TradeJob(job) for job in typed["must_try"])),
            "rather_not": tuple(sorted(TradeJob(job) for job in typed["rather_not"])),
        }
        return Entry(**values, health_note=typed.get("health_note"))

    def clean(self) -> dict[str, Any]:
        """Rules that need two fields."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        comes, goes = typed.get("arrives_at"), typed.get("leaves_at")
        if comes and goes and goes <= comes:
            self.add_error("leaves_at", "They must leave after they arrive; write a later time.")
        check_wishes(self)
        born = typed.get("born")
        if born and not date(1900, 1, 1) <= born <= self.last_day():
            self.add_error(
                "born",
                f"The birth date is {born:%d %b %Y}; write one from 1900 to the course's last day.",
            )
        return typed

    def last_day(self) -> date:
        """Nobody comes who is born later."""
        days = list(self.workshop.days.all())
        return days[-1].date if days else date.max

    def version_of(self, saved: Entry) -> str:
        """What tells whether somebody else saved meanwhile."""
        return saved.version

    def save(self, *, by: User | None = None) -> bool:
        """Write the entry; on a refusal say why, keep what was typed, and answer False."""
        self.user = by
        try:
            self.write()
        except NoSeatLeft as refusal:
            self.add_error("status", str(refusal))
        except ChangedMeanwhile as clash:
            self.show_clash(clash)
        return not self.errors

    def write(self) -> None:
        """Hand the entry to the verb that writes it."""
        self.seat = enrolling.amend(
            self.seat,
            self.entry(),
            seen=self.cleaned_data["version"],
            now=timezone.now(),
            by=self.user,
        )

    def show_clash(self, clash: ChangedMeanwhile) -> None:
        """Say what the other left in each field that differs; a second save replaces it."""
        typed, saved = self.entry(), clash.saved
        theirs = initial_of(saved)
        for name in typed.differences(saved):
            field = TYPED_AS.get(name, name)
            if field not in self.fields:
                continue
            self.clashes.append(f"{said(name)}: they left “{self.as_read(field, theirs[field])}”.")
        show_again(self, version=self.version_of(saved))
        self.add_error(
            None,
            f"{clash} Nothing of yours is lost: it stands below. Save again to replace theirs, "
            "or change the fields named above first.",
        )

    def as_read(self, name: str, value: object) -> str:
        """A saved value of a field as the page shows it."""
        field = self.fields[name]
        if isinstance(field, forms.MultipleChoiceField):
            assert isinstance(value, list)
            words = dict(field.choices)  # type: ignore[arg-type]  # plain choices
            return ", ".join(str(words[one]) for one in value) or "none"
        if isinstance(field, forms.ChoiceField):
            return str(dict(field.choices)[value])  # type: ignore[arg-type]  # plain choices
        if isinstance(field, FarmTimeField) and value:
            return f"{field.prepare_value(value):%d %b %Y, %H:%M}"
        return str(field.prepare_value(value) if value not in (None, "") else "nothing")


def initial_of(saved: Entry) -> dict[str, object]:
    """The entry as the form's first values."""
    values = {TYPED_AS.get(f.name, f.name): getattr(saved, f.name) for f in fields(saved)}
    lists = ("limits", "allergens", "must_try", "rather_not")
    chosen = {name: list(getattr(saved, name)) for name in lists}
    return values | chosen


def said(name: str) -> str:
    """A part of an entry in the words of the page, to open a sentence."""
    words = WORDS.get(name, name.replace("_at", "").replace("_", " "))
    return words[:1].upper() + words[1:]


def check_wishes(form: forms.BaseForm) -> None:
    """Nobody both must try a job and would rather not do it."""
    typed = form.cleaned_data
    both = set(typed.get("must_try") or ()) & set(typed.get("rather_not") or ())
    if both:
        jobs = ", ".join(TradeJob(job).label for job in sorted(both))
        form.add_error(
            "rather_not", f"Both lists name {jobs}; leave each job in one of them, or in neither."
        )


class NewPersonForm(PersonForm):
    """A new person, in a household that is here already or in a new one."""

    household = forms.ModelChoiceField(
        Household.objects.none(),
        required=False,
        label="A household that is here already",
        empty_label="none of these: a new one",
    )

    def __init__(
        self,
        data: Data = None,
        *,
        workshop: Workshop,
        households: QuerySet[Household],
        sees_health: bool,
    ) -> None:
        seat = enrolling.blank_seat(workshop)
        super().__init__(data, workshop=workshop, seat=seat, sees_health=sees_health)
        chosen = self.fields["household"]
        assert isinstance(chosen, forms.ModelChoiceField)
        chosen.queryset = households
        self.fields["household_name"].required = False
        self.fields["household_name"].label = "New household"

    def household_parts(self) -> list[object]:
        """A choice beside a name to write."""
        return [beside("household", "household_name")]

    def clean(self) -> dict[str, Any]:
        """One household, not none and not two."""
        typed = super().clean()
        chosen = typed.get("household")
        written = [name for name in enrolling.HOUSEHOLD if typed.get(name)]
        if chosen and written:
            self.add_error(
                "household",
                f"You chose {chosen} and wrote a new household too; choose “none of these”, or "
                "clear its name and numbers. A household's own are changed on its people's pages.",
            )
        if not chosen and not typed.get("household_name"):
            self.add_error(
                "household_name",
                "Each person belongs to a household; name a new one or choose one that is here.",
            )
        return typed

    def write(self) -> None:
        """Enrol the person."""
        chosen = self.cleaned_data["household"]
        self.seat = enrolling.enrol(self.workshop, self.entry(), chosen, now=timezone.now())
