"""What every form of the logs after the kill shares: the press, the moment, units, thermometers."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any
from uuid import UUID, uuid4

from django import forms
from django.core.exceptions import ValidationError

from stations.dipping import Act, Hand
from stations.errors import RecordRefused
from stations.fields import ProbeField
from stations.forecasting import check_line
from stations.models import Thermometer
from stations.recording import Shown
from workshops.fields import FarmTimeField, MeasureField
from workshops.forms.layout import Data, KeptForm, Unseen
from workshops.models import User, Workshop


class WorkshopForm(KeptForm, forms.Form):
    """A form whose measures speak the workshop's units and whose times are the farm's."""

    def __init__(self, data: Data, *, workshop: Workshop, **kwargs: Any) -> None:
        # Any: Django's own keyword arguments, passed on unread.
        super().__init__(data, **kwargs)
        self.workshop = workshop
        for field in self.fields.values():
            if isinstance(field, MeasureField):
                field.speak(workshop.units)
            if isinstance(field, FarmTimeField):
                field.zone = workshop.zone


class PressForm(WorkshopForm):
    """One press: the phone's id for it, and when it happened if that is not now."""

    client_id = forms.UUIDField(widget=Unseen, initial=uuid4)
    when = FarmTimeField(
        required=False, label="When, if not now", help_text="For what was written on paper first."
    )

    def __init__(self, data: Data, *, now: datetime, **kwargs: Any) -> None:
        # Any: as above.
        super().__init__(data, **kwargs)
        self.now = now

    @property
    def fresh_id(self) -> UUID:
        """A new id at each call: no two buttons of a page may share one."""
        return uuid4()

    def clean_when(self) -> datetime | None:
        """A reading of tomorrow is a slip of the pen."""
        when: datetime | None = self.cleaned_data.get("when")
        if when is not None and when > self.now:
            clock = self.now.astimezone(self.workshop.zone)
            raise ValidationError(f"It is {clock:%a %H:%M} now; write a time before that.")
        return when

    def act(self, by: User) -> Act:
        """The press, once the form is valid."""
        client_id: UUID = self.cleaned_data["client_id"]
        happened_at = self.cleaned_data.get("when")
        return Act(by=Hand(user=by), client_id=client_id, now=self.now, happened_at=happened_at)

    def written(self, write: Callable[[], object]) -> bool:
        """Whether it was written; what the log refuses is said on the form, and nothing is lost."""
        try:
            write()
        except RecordRefused as refusal:
            self.add_error(None, str(refusal))
            return False
        return True


class ProbeForm(PressForm):
    """One number off a probe. Needs ``thermometers`` loaded with their checks."""

    read_c = ProbeField(label="Reading", low=-60, high=250)
    thermometer: forms.ModelChoiceField[Thermometer] = forms.ModelChoiceField(
        queryset=Thermometer.objects.none(), required=False, label="Thermometer"
    )
    field_order = ["read_c", "thermometer", "when"]
    is_signed = True

    def __init__(self, data: Data, *, thermometers: list[Thermometer], **kwargs: Any) -> None:
        # Any: as above.
        super().__init__(data, **kwargs)
        field: Any = self.fields["thermometer"]  # Any: the stubs know no choices of a model's field
        field.queryset = Thermometer.objects.filter(workshop=self.workshop).with_checks()
        units = self.workshop.units
        field.choices = [("", "another, unchecked")] + [
            (each.pk, check_line(each, units, now=self.now)) for each in thermometers
        ]
        checked = [each for each in thermometers if each.last_check]
        field.initial = checked[0].pk if checked else None

    def shown(self) -> Shown:
        """What the probe showed, once the form is valid."""
        told = self.cleaned_data
        return Shown(read_c=told["read_c"], thermometer=told["thermometer"])
