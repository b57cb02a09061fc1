"""Parsing and checking what is typed into the duty log."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django import forms

from scheduling.logbook import Told
from scheduling.models import TYPED_KINDS, LogKind
from stations.models import Station
from workshops.forms.layout import Unseen
from workshops.models import Animal, Day, Enrolment, StaffMember

EXAMPLE = "Type a time of the day such as 09:30."


class PressForm(forms.Form):
    """A form with the id of its press."""

    client_id = forms.UUIDField(
        widget=Unseen,
        error_messages={"required": "Load the page again, then press once more."},
    )

    def __init__(self, data: Any = None, **kwargs: Any) -> None:
        # Any: a QueryDict or None, and whatever Django's own form takes.
        super().__init__(data, **kwargs)
        self.initial.setdefault("client_id", uuid.uuid4())


class LogForm(PressForm):
    """A note, a near miss or an injury."""

    kind = forms.ChoiceField(
        choices=[(kind.value, kind.label.capitalize()) for kind in TYPED_KINDS],
        widget=forms.RadioSelect,
        initial=LogKind.NOTE,
        error_messages={"required": "Choose what it is."},
    )
    text = forms.CharField(
        label="What happened",
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": "Say what happened, in a few words."},
    )
    at = forms.TimeField(
        label="When (empty: now)",
        required=False,
        input_formats=["%H:%M", "%H:%M:%S"],
        error_messages={"invalid": EXAMPLE},
        widget=forms.TimeInput(attrs={"type": "time", "step": "60"}, format="%H:%M"),
    )
    station = forms.ModelChoiceField(Station.objects.none(), required=False, label="Where")
    animal = forms.ModelChoiceField(Animal.objects.none(), required=False, label="Hog")
    person = forms.ChoiceField(required=False, label="Person")
    detail = forms.CharField(
        label="Injury: who was hurt how, what was done",
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Only organizer and lead can read this line afterwards.",
    )

    def __init__(
        self,
        data: Any = None,  # a QueryDict or None
        *,
        day: Day,
        seats: Iterable[Enrolment],
    ) -> None:
        super().__init__(data)
        self.day = day
        self._seats = {f"a{seat.pk}": seat for seat in seats}
        self._staff = {
            f"s{row.pk}": row for row in StaffMember.objects.filter(workshop=day.workshop)
        }
        names = [(key, str(seat.attendee)) for key, seat in self._seats.items()]
        names += [(key, row.name) for key, row in self._staff.items()]
        person = self.fields["person"]
        assert isinstance(person, forms.ChoiceField)
        person.choices = [("", "---------"), *names]
        for name, rows in (
            ("station", Station.objects.filter(workshop=day.workshop)),
            ("animal", Animal.objects.filter(workshop=day.workshop)),
        ):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)
            field.queryset = rows

    def clean(self) -> dict[str, Any]:
        """Health has a line of its own, and only an injury has one."""
        found: dict[str, Any] = super().clean() or {}
        if found.get("detail") and found.get("kind") != LogKind.INJURY:
            self.add_error("detail", "This line belongs to an injury. Choose Injury, or empty it.")
        return found

    def told(self, *, now: datetime) -> Told:
        """What was written down."""
        typed = self.cleaned_data
        key, at = typed["person"], typed["at"]
        return Told(
            kind=LogKind(typed["kind"]),
            text=typed["text"],
            at=self.day.at(at.replace(second=0)) if at else now,
            detail=typed["detail"],
            station=typed["station"],
            animal=typed["animal"],
            about=self._seats.get(key),
            about_staff=self._staff.get(key),
        )


class CorrectForm(PressForm):
    """What an entry should have said."""

    text = forms.CharField(
        label="What it should say",
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": "Say what the entry should have said."},
    )
    detail = forms.CharField(
        label="Injury: who was hurt how, what was done",
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
