"""Parsing and checking the times that are typed on the run sheet."""

from __future__ import annotations

from django import forms

from workshops.forms.layout import Unseen

EXAMPLE = "Type a time of the day such as 09:30."
WIDGET = {"type": "time", "step": "60"}


class TimeForm(forms.Form):
    """When a step is to start."""

    at = forms.TimeField(
        label="Start at",
        input_formats=["%H:%M", "%H:%M:%S"],
        error_messages={"required": EXAMPLE, "invalid": EXAMPLE},
        widget=forms.TimeInput(attrs=WIDGET, format="%H:%M"),
    )


class MarkForm(forms.Form):
    """When a step really started or finished: the time typed, or now; and the press's own name."""

    at = forms.TimeField(
        label="At (empty: now)",
        required=False,
        input_formats=["%H:%M", "%H:%M:%S"],
        error_messages={"invalid": EXAMPLE},
        widget=forms.TimeInput(attrs=WIDGET, format="%H:%M"),
    )
    client_id = forms.UUIDField(
        widget=Unseen,
        error_messages={"required": "Load the page again, then press once more."},
    )
