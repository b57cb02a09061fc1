"""A file of people to bring in."""

from __future__ import annotations

from typing import Any

from django import forms

from workshops import tables
from workshops.forms.layout import Data, KeptForm, helper


class BringInForm(KeptForm, forms.Form):
    """One CSV or XLSX file."""

    file = forms.FileField(label="CSV or XLSX file", max_length=200)

    def __init__(self, data: Data = None, files: Any = None) -> None:
        super().__init__(data, files)
        self.need_words()
        self.helper = helper("file")

    def clean_file(self) -> Any:
        """Judged by its size before a byte of it is read into memory."""
        file = self.cleaned_data["file"]
        if file.size > tables.MOST_BYTES:
            raise forms.ValidationError(
                f"The file has {file.size / 1024**2:.1f} MB; the most is "
                f"{tables.MOST_BYTES // 1024**2} MB. Take pictures and other sheets out."
            )
        return file
