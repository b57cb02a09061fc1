"""Parsing and checking what the lead ticks in the morning."""

from __future__ import annotations

from collections.abc import Iterable

from django import forms

from scheduling.models import Attendance, Turnout
from scheduling.placing import Morning
from stations.forms.trough import ActForm
from workshops.forms.layout import Unseen
from workshops.models import Enrolment, Limit


class MorningForm(forms.Form):
    """One person's morning: here or away, and what hurts today."""

    turnout = forms.ChoiceField(
        choices=Turnout.choices, initial=Turnout.EXPECTED, widget=forms.RadioSelect
    )
    hurts = forms.MultipleChoiceField(
        choices=[choice for choice in Limit.choices if choice[0] != Limit.UNDER_18],
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label="Not today",
    )

    def __init__(
        self,
        data: object = None,
        *,
        seat: Enrolment,
        row: Attendance | None,
    ) -> None:
        self.seat = seat
        self.standing = [limit.get_limit_display() for limit in seat.limits.all()]
        initial = {}
        if row:
            initial = {"turnout": row.turnout, "hurts": [today.limit for today in row.limits.all()]}
        super().__init__(data, prefix=f"seat{seat.pk}", initial=initial)  # type: ignore[arg-type]  # a QueryDict or None

    def morning(self) -> Morning:
        """What was ticked, after ``is_valid``."""
        return Morning(
            turnout=Turnout(self.cleaned_data["turnout"]),
            hurts=frozenset(Limit(value) for value in self.cleaned_data["hurts"]),
        )


def morning_forms(
    data: object, seats: Iterable[Enrolment], rows: Iterable[Attendance]
) -> list[MorningForm]:
    """One form a seat, bound if ``data`` is given."""
    known = {row.enrolment_id: row for row in rows}
    return [MorningForm(data, seat=seat, row=known.get(seat.pk)) for seat in seats]


class GivePlaceForm(forms.Form):
    """Who takes a place."""

    seat = forms.ModelChoiceField(
        queryset=Enrolment.objects.none(),
        error_messages={"invalid_choice": "That person is not confirmed for this workshop."},
    )

    def __init__(self, data: object, *, seats: object) -> None:
        super().__init__(data)  # type: ignore[arg-type]  # a QueryDict
        self.fields["seat"].queryset = seats  # type: ignore[attr-defined]  # a model choice field


class OverrideForm(forms.Form):
    """Why someone is placed beyond their own screen."""

    reason = forms.CharField(
        label="Why, in a few words",
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": "Say why, in a few words; it is kept with your name."},
    )
    client_id = forms.UUIDField(widget=Unseen)


class AskForm(ActForm):
    """Whose place is asked for."""

    theirs = forms.IntegerField(min_value=1)


class ConfirmForm(forms.Form):
    """The lead's tap: who the page said takes over, and which page it was."""

    other = forms.IntegerField(min_value=1)
    page = forms.CharField(required=False)
