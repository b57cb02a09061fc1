"""How a carcass hangs, the air by the clock, a reading, and a night that is only tried."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from stations.fields import ProbeField
from stations.forms.record import ProbeForm, WorkshopForm
from stations.hanging import Hanging
from stations.models import ChillMethod, ChillPlan, ProbedPart
from stations.nights import Night
from workshops.fields import FarmTimeField, MeasureField
from workshops.forms.layout import Data, beside, group, helper
from workshops.models import Workshop
from workshops.quantities import WEIGHT

AIR_ROWS = 6
LONGEST_H = 96


def _clock(number: int) -> forms.TimeField:
    box = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
    return forms.TimeField(required=False, label=f"Time, line {number}", widget=box)


def _air(number: int) -> ProbeField:
    return ProbeField(required=False, label=f"Air, line {number}", low=-40, high=45)


class AirForm(WorkshopForm):
    """The air from hanging on: the first row has no time, the others are read off a clock.

    A time that is not after the one before is of the next day.
    """

    air_1 = ProbeField(label="Air when hung", low=-40, high=45)
    at_2, air_2 = _clock(2), _air(2)
    at_3, air_3 = _clock(3), _air(3)
    at_4, air_4 = _clock(4), _air(4)
    at_5, air_5 = _clock(5), _air(5)
    at_6, air_6 = _clock(6), _air(6)
    field_order = ["killed_at", "hung_at", "method"]

    def __init__(self, data: Data, **kwargs: Any) -> None:
        # Any: Django's own keyword arguments, passed on unread.
        super().__init__(data, **kwargs)
        self.need_words()

    def air(self, hung_at: time) -> tuple[tuple[float, float], ...]:
        """Hours after hanging and degC. Raises ValidationError for half a row."""
        told = self.cleaned_data
        points: list[tuple[float, float]] = [(0.0, told["air_1"])]
        for number in range(2, AIR_ROWS + 1):
            clock, air_c = told.get(f"at_{number}"), told.get(f"air_{number}")
            if (clock is None) != (air_c is None):
                raise ValidationError(
                    f"Air, line {number}: write both the time and the air, or none."
                )
            if clock is not None and air_c is not None:
                points.append((_hours_after(clock, hung_at, points[-1][0]), air_c))
        if points[-1][0] > LONGEST_H:
            raise ValidationError(f"The air runs over {LONGEST_H} h; leave the last lines out.")
        return tuple(points)

    @staticmethod
    def initial_air(
        air: list[list[float]] | tuple[tuple[float, float], ...], hung: datetime
    ) -> dict[str, object]:
        """What stands in the boxes for air that is kept."""
        boxes: dict[str, object] = {}
        for number, (hours, air_c) in enumerate(air, start=1):
            boxes[f"air_{number}"] = float(air_c)
            if number > 1:
                boxes[f"at_{number}"] = (hung + timedelta(hours=hours)).time()
        return boxes


def _hours_after(clock: time, hung: time, last_h: float) -> float:
    """Hours from hanging to a time of the clock that comes after ``last_h``."""

    def minutes(one: time) -> int:
        return one.hour * 60 + one.minute

    hours = ((minutes(clock) - minutes(hung)) % (24 * 60)) / 60
    while hours <= last_h:
        hours += 24
    return hours


AIR_LAYOUT = group(
    "Air by the clock",
    "air_1",
    *(beside(f"at_{number}", f"air_{number}") for number in range(2, AIR_ROWS + 1)),
)


class HangForm(AirForm):
    """How one carcass hangs. A cooler that keeps one temperature needs the first line alone."""

    killed_at = FarmTimeField(label="Killed at")
    hung_at = FarmTimeField(label="In the cold since")
    method = forms.ChoiceField(choices=ChillMethod.choices, label="How")

    def __init__(
        self, data: Data, *, workshop: Workshop, plan: ChillPlan | None, killed_at: datetime | None
    ) -> None:
        initial: dict[str, object] = {"killed_at": killed_at}
        if plan is not None:
            hung = plan.hung_at.astimezone(workshop.zone)
            initial = {"killed_at": plan.killed_at, "hung_at": plan.hung_at, "method": plan.method}
            initial |= self.initial_air(plan.air, hung)
        super().__init__(data, workshop=workshop, initial=initial)
        self.helper = helper(beside("killed_at", "hung_at"), "method", AIR_LAYOUT)

    def clean(self) -> dict[str, Any]:
        """The hanging as a whole. Any: Django's own."""
        told = super().clean() or {}
        if self.errors:
            return told
        killed_at, hung_at = told["killed_at"], told["hung_at"]
        if hung_at < killed_at:
            raise ValidationError("It is hung after the kill; look at the two times.")
        if hung_at - killed_at > timedelta(hours=24):
            raise ValidationError(
                "More than 24 h lie between kill and cold; look at the two dates."
            )
        told["air"] = self.air(hung_at.astimezone(self.workshop.zone).time())
        return told

    def hanging(self) -> Hanging:
        """What is kept, once the form is valid."""
        told = self.cleaned_data
        return Hanging(
            killed_at=told["killed_at"],
            hung_at=told["hung_at"],
            method=ChillMethod(told["method"]),
            air=told["air"],
        )


class ChillReadingForm(ProbeForm):
    """A probe's number: the ham unless said otherwise."""

    read_c = ProbeField(label="Reading", low=-40, high=60)
    part = forms.ChoiceField(
        choices=ProbedPart.choices, widget=forms.RadioSelect, initial=ProbedPart.HAM, label="Where"
    )
    field_order = ["read_c", "part", "thermometer", "when"]


class NightForm(AirForm):
    """A night that is tried: nothing is kept."""

    carcass_kg = MeasureField(quantity=WEIGHT, low=20, high=220, label="Carcass, hot")
    hung_clock = forms.TimeField(
        label="Hung at", widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
    )
    delay_h = forms.DecimalField(
        label="Hours from kill to hanging", min_value=0, max_value=12, initial=2
    )
    method = forms.ChoiceField(choices=ChillMethod.choices, label="How")

    def __init__(self, data: Data, *, workshop: Workshop, initial: dict[str, object]) -> None:
        super().__init__(data, workshop=workshop, initial=initial)
        self.helper = helper(
            beside("carcass_kg", "method"), beside("hung_clock", "delay_h"), AIR_LAYOUT
        )

    def clean(self) -> dict[str, Any]:
        """The night as a whole. Any: Django's own."""
        told = super().clean() or {}
        if not self.errors:
            told["air"] = self.air(told["hung_clock"])
        return told

    def night(self) -> Night:
        """What is asked, once the form is valid."""
        told = self.cleaned_data
        return Night(
            carcass_kg=float(told["carcass_kg"]),
            method=ChillMethod(told["method"]),
            air=told["air"],
            delay_h=float(told["delay_h"]),
        )
