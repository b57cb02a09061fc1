"""The way of a hog as the lead changes it: minutes, waits, kit that is held, stations."""

from __future__ import annotations

from datetime import time

from django import forms

from stations.models import KitHold, Stage, StageGap, Station
from workshops.forms.layout import Data, KeptForm, beside, group, helper

EXAMPLE = "Type a time of the day such as 09:30."
SOURCE = "A book and its page, a law, or: our own days."


def _clock(label: str, help_text: str = "") -> forms.TimeField:
    return forms.TimeField(
        label=label,
        help_text=help_text,
        required=False,
        input_formats=["%H:%M", "%H:%M:%S"],
        error_messages={"invalid": EXAMPLE},
        widget=forms.TimeInput(attrs={"type": "time", "step": "60"}, format="%H:%M"),
    )


def _source() -> forms.CharField:
    return forms.CharField(
        label="Where the minutes come from",
        max_length=200,
        help_text=SOURCE,
        error_messages={"required": f"Say where the minutes come from. {SOURCE}"},
    )


class StageForm(KeptForm, forms.ModelForm):  # type: ignore[type-arg]  # no parameter when it runs
    """How long a stage lasts, when it may be, and where else."""

    not_before = _clock("Not before", "Both empty: any time of its day.")
    done_by = _clock("Done by")
    source = _source()

    class Meta:
        model = Stage
        fields = [
            "least_min",
            "expected_min",
            "most_min",
            "unattended",
            "not_before",
            "done_by",
            "or_at",
            "source",
            "trust",
        ]
        labels = {
            "least_min": "Least, min",
            "expected_min": "Expected, min",
            "most_min": "Most, min",
        }
        widgets = {"or_at": forms.CheckboxSelectMultiple}

    def __init__(self, data: Data = None, *, stage: Stage) -> None:
        super().__init__(data, instance=stage)
        places = self.fields["or_at"]
        assert isinstance(places, forms.ModelMultipleChoiceField)
        places.queryset = stage.workshop.stations.exclude(pk=stage.station_id)
        places.label = f"Or at, beside {stage.station}"
        self.need_words()
        self.fields["source"].error_messages["required"] = f"Say where they come from. {SOURCE}"
        self.helper = helper(
            group("How long", beside("least_min", "expected_min", "most_min"), "unattended"),
            group("When and where", beside("not_before", "done_by"), "or_at"),
            beside("source", "trust"),
        )

    def clean(self) -> dict[str, object] | None:
        """A stage needs room for itself between its two times."""
        found: dict[str, object] | None = super().clean()
        opens, closes = (self.cleaned_data.get(name) for name in ("not_before", "done_by"))
        if isinstance(opens, time) and isinstance(closes, time) and closes <= opens:
            self.add_error("done_by", f"Done by a time after {opens:%H:%M}, or leave one empty.")
        return found


class GapForm(KeptForm, forms.ModelForm):  # type: ignore[type-arg]  # no parameter when it runs
    """How long a hog waits between two stages, at least and at most."""

    source = _source()

    class Meta:
        model = StageGap
        fields = ["least_min", "most_min", "keeps_place", "source", "trust"]
        labels = {"least_min": "At least, min", "most_min": "At most, min"}
        help_texts = {"most_min": "Empty: as long as it takes."}

    def __init__(self, data: Data = None, *, gap: StageGap) -> None:
        super().__init__(data, instance=gap)
        self.need_words()
        self.fields["source"].error_messages["required"] = f"Say where they come from. {SOURCE}"
        self.helper = helper(*self.parts())

    def parts(self) -> list[object]:
        """The fields in their order."""
        return [beside("least_min", "most_min"), "keeps_place", beside("source", "trust")]


class NewGapForm(GapForm):
    """A wait between two stages that have none yet."""

    class Meta(GapForm.Meta):
        fields = ["before", "after", *GapForm.Meta.fields]
        labels = {**GapForm.Meta.labels, "before": "From the end of", "after": "To the start of"}

    def __init__(self, data: Data = None, *, stages: object) -> None:
        super().__init__(data, gap=StageGap())
        for name in ("before", "after"):
            self.fields[name].queryset = stages  # type: ignore[attr-defined]  # a choice of rows

    def parts(self) -> list[object]:
        """The two stages first."""
        return [beside("before", "after"), *super().parts()]

    def clean(self) -> dict[str, object] | None:
        """One wait a pair, in one direction."""
        found: dict[str, object] | None = super().clean()
        before, after = (self.cleaned_data.get(name) for name in ("before", "after"))
        if before and after and StageGap.objects.filter(before=after, after=before).exists():
            self.add_error("after", f"{before} comes after {after} already; choose the other way.")
        return found


class KitHoldForm(KeptForm, forms.ModelForm):  # type: ignore[type-arg]  # no parameter when it runs
    """Kit that a stage takes, and how long it keeps it."""

    class Meta:
        model = KitHold
        fields = ["stage", "equipment", "each", "until"]

    def __init__(self, data: Data = None, *, stages: object, equipment: object) -> None:
        super().__init__(data)
        for name in ("stage", "until"):
            self.fields[name].queryset = stages  # type: ignore[attr-defined]  # a choice of rows
        self.fields["equipment"].queryset = equipment  # type: ignore[attr-defined]  # likewise
        self.need_words()
        self.helper = helper(beside("stage", "until"), beside("equipment", "each"))

    def clean(self) -> dict[str, object] | None:
        """There are as many as one hog takes, and it is given back after it is taken."""
        found: dict[str, object] | None = super().clean()
        typed = self.cleaned_data
        stage, until, thing = (typed.get(name) for name in ("stage", "until", "equipment"))
        if stage and until and until.comes_before(stage):
            self.add_error("until", f"{until} is before {stage}; choose a later stage, or none.")
        if thing and (typed.get("each") or 0) > thing.count:
            self.add_error(
                "each",
                f"There are {thing.count} of {thing.name}; choose fewer, or mend the count on the "
                "equipment page.",
            )
        return found


class StationForm(KeptForm, forms.ModelForm):  # type: ignore[type-arg]  # no parameter when it runs
    """What a station holds, and to which track it belongs."""

    class Meta:
        model = Station
        fields = ["capacity", "set_up_min", "track", "outdoors"]

    def __init__(self, data: Data = None, *, station: Station) -> None:
        super().__init__(data, instance=station)
        self.need_words()
        self.helper = helper(beside("capacity", "set_up_min"), "track", "outdoors")
