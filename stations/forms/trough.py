"""What is typed or tapped at the trough, in the workshop's units."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any, cast
from uuid import UUID, uuid4

from django import forms

from stations.dipping import Act, Hand, Start
from stations.fields import KG_PER_L, SiField
from stations.models import HairSlip, HogPart, Thermometer
from workshops.forms.layout import Data, Unseen
from workshops.models import Animal, Workshop
from workshops.quantities import TEMPERATURE, VOLUME

# Longer than any course, and short enough to be taken from a date.
LONGEST_WAIT_MS = 365 * 24 * 3600 * 1000


class ActForm(forms.Form):
    """Every press carries the phone's id for it, and how long it waited there for a link.

    A wait, not a moment: whether the phone's clock is right then does not matter.
    """

    client_id = forms.UUIDField(widget=Unseen, initial=uuid4)
    waited_ms = forms.IntegerField(
        widget=Unseen, required=False, min_value=0, max_value=LONGEST_WAIT_MS
    )

    def act(self, by: Hand, *, now: datetime) -> Act:
        """The press, once the form is valid."""
        waited = timedelta(milliseconds=self.cleaned_data.get("waited_ms") or 0)
        client_id = cast("UUID", self.cleaned_data["client_id"])
        return Act(by=by, client_id=client_id, now=now, happened_at=now - waited)


def _number(label: str, *, required: bool = True, **limits: Any) -> SiField:
    # Any: the field's own keyword arguments, passed on.
    field = SiField(label=label, required=required, **limits)
    field.widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
    field.error_messages["required"] = "Write the number that you read."
    field.error_messages["invalid"] = "Write a number, such as 147 or 147.5."
    return field


class UnitsForm(ActForm):
    """A form whose measures speak the workshop's units."""

    def __init__(self, data: Data, *, workshop: Workshop, **kwargs: Any) -> None:
        # Any: Django's own keyword arguments, passed on unread.
        super().__init__(data, **kwargs)
        for field in self.fields.values():
            if isinstance(field, SiField):
                field.speak(workshop.units)


class ReadingForm(UnitsForm):
    """One reading. Wide limits: what is impossible is asked about, not refused here."""

    water_c = _number("Reading", quantity=TEMPERATURE, low=-273, high=5000)
    confirmed = forms.BooleanField(required=False, widget=Unseen)


class HairForm(ActForm):
    """Where hair was pulled, and what it did."""

    part = forms.ChoiceField(
        choices=HogPart.choices, widget=forms.RadioSelect, initial=HogPart.FLANK
    )
    hair = forms.ChoiceField(choices=HairSlip.choices)


class CheckForm(UnitsForm):
    """What a thermometer read in ice water and at a rolling boil."""

    name = forms.CharField(
        max_length=60,
        label="Thermometer",
        error_messages={"required": "Name the thermometer, as you call it."},
    )
    ice_c = _number("In ice water", quantity=TEMPERATURE, low=-273, high=5000, required=False)
    boil_c = _number("At a rolling boil", quantity=TEMPERATURE, low=-273, high=5000, required=False)

    def clean(self) -> dict[str, Any]:
        """One of the two is enough."""
        found = super().clean() or {}
        if not self.errors and found.get("ice_c") is None and found.get("boil_c") is None:
            self.add_error(None, "Write what it read in ice water, at the boil, or both.")
        return found


class StartForm(UnitsForm):
    """The hog, the water and the strike reading, before "in water"."""

    animal: forms.ModelChoiceField[Animal] = forms.ModelChoiceField(
        queryset=Animal.objects.none(),
        label="Hog",
        empty_label=None,
        error_messages={"required": "Choose the hog."},
    )
    thermometer: forms.ModelChoiceField[Thermometer] = forms.ModelChoiceField(
        queryset=Thermometer.objects.none(),
        label="Thermometer",
        required=False,
        empty_label="another, unchecked",
    )
    water_kg = _number("Water in the trough", quantity=VOLUME, low=5, high=5000, si=KG_PER_L)
    strike_c = _number("Strike reading, now", quantity=TEMPERATURE, low=-273, high=5000)
    confirmed = forms.BooleanField(required=False, widget=Unseen)

    def __init__(
        self,
        data: Data,
        *,
        workshop: Workshop,
        hogs: list[tuple[Animal, str]],
        thermometers: list[tuple[Thermometer, str]],
        initial: dict[str, Any] | None = None,
    ) -> None:
        super().__init__(data, workshop=workshop, initial=initial)
        self._offer("animal", Animal.objects.filter(workshop=workshop), hogs, [])
        blank = [("", "another, unchecked")]
        known = Thermometer.objects.filter(workshop=workshop).with_checks()
        self._offer("thermometer", known, thermometers, blank)

    def _offer(self, name: str, rows: Any, offered: list[Any], blank: list[Any]) -> None:
        # Any: the two fields' rows are of different models.
        field = cast("forms.ModelChoiceField[Any]", self.fields[name])
        field.queryset = rows
        field.choices = blank + [(row.pk, words) for row, words in offered]

    def start(self) -> Start:
        """What is begun, once the form is valid."""
        told = self.cleaned_data
        return Start(
            animal=told["animal"],
            water_kg=told["water_kg"],
            strike_read_c=told["strike_c"],
            thermometer=told["thermometer"],
            confirmed=told["confirmed"],
        )
