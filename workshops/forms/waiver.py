"""The waiver: accepted by a household, written by the organizer."""

from __future__ import annotations

from django import forms

from workshops.forms.layout import KeptForm


class AcceptForm(KeptForm, forms.Form):
    """A name under the waiver."""

    name = forms.CharField(max_length=120, label="Full name")
    version = forms.IntegerField(widget=forms.HiddenInput)
