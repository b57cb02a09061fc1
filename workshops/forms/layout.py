"""How this app's forms are laid out: the pack's markup, our own style sheets."""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper  # type: ignore[import-untyped]  # ships no types
from crispy_forms.layout import (  # type: ignore[import-untyped]  # ships no types
    Column,
    Fieldset,
    Layout,
    Row,
)
from django import forms

# A form's data as a view hands it over: a QueryDict, or None for an unbound form.
Data = Any


class Unseen(forms.HiddenInput):
    """A hidden field without an ``id``: a page holds one for each of its buttons."""

    def __init__(self) -> None:
        super().__init__({"id": False})


def date_box() -> forms.DateInput:
    """The browser's own date box."""
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


def helper(*parts: object) -> FormHelper:
    """Fields in that order; the page itself writes the form's frame and its buttons."""
    made = FormHelper()
    made.form_tag = False
    made.layout = Layout(*parts)
    return made


def beside(*names: str) -> Row:
    """Fields side by side on a wide screen, one below the other on a phone."""
    width = f"col-md-{12 // len(names)}"
    return Row(*(Column(name, css_class=width) for name in names))


def group(title: str, *parts: object) -> Fieldset:
    """Fields that belong together, under a title."""
    return Fieldset(title, *parts)


class Folded(Fieldset):  # type: ignore[misc]  # crispy ships no types
    """Fields under a heading that opens by a touch, and stands open where something is wrong."""

    template = "parts/folded.html"

    def render(self, form: Any, context: Any, *args: Any, **kwargs: Any) -> str:
        """As a fieldset, told whether one of its fields was filled in or refused."""
        names = [pointer.name for pointer in self.get_field_names()]
        self.is_open = any(form[name].errors or form[name].value() for name in names)
        return str(super().render(form, context, *args, **kwargs))


def folded(title: str, *parts: object) -> Folded:
    """Fields that most people leave empty, out of the way."""
    return Folded(title, *parts)


class KeptForm(forms.BaseForm):
    """A form whose refusals are also told together, at the top of a long page."""

    @property
    def refusals(self) -> list[str]:
        """Each field's refusal, after the field's name; those of the whole form stand apart."""
        return [
            f"{self[name].label}: {sentence}"
            for name, sentences in self.errors.items()
            if name in self.fields
            for sentence in sentences
        ]

    def need_words(self) -> None:
        """Say of an empty field what would satisfy it."""
        for field in self.fields.values():
            field.error_messages["required"] = "It is needed; fill it in."


def show_again(form: forms.BaseForm, *, version: str) -> None:
    """The typed values stay as they are; the next save is against this version."""
    data = form.data.copy()  # type: ignore[attr-defined]  # a QueryDict, which is read-only
    data["version"] = version
    form.data = data
