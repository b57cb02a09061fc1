"""What is asked of a day: when it should be over, its breaks, who is away, hours of stations."""

from __future__ import annotations

from datetime import time, timedelta

from django import forms

from scheduling.models import Absence, DayWish, StationHours
from scheduling.timing_forms import EXAMPLE, WIDGET
from workshops.forms.layout import Data, KeptForm, beside, helper
from workshops.models import Break, Day, Enrolment


def clock_box(label: str, help_text: str = "", *, required: bool = True) -> forms.TimeField:
    """A time of the day."""
    return forms.TimeField(
        label=label,
        help_text=help_text,
        required=required,
        input_formats=["%H:%M", "%H:%M:%S"],
        error_messages={"required": EXAMPLE, "invalid": EXAMPLE},
        widget=forms.TimeInput(attrs=WIDGET, format="%H:%M"),
    )


class WishForm(KeptForm, forms.ModelForm):  # type: ignore[type-arg]  # no parameter when it runs
    """When the day should be over, and whether its hands should be used evenly."""

    finish_by = clock_box(
        "Over by",
        "The planner comes as near as it can. Empty: as early as can be.",
        required=False,
    )

    class Meta:
        model = DayWish
        fields = ["finish_by", "even_hands"]

    def __init__(self, data: Data = None, *, day: Day) -> None:
        self.day = day
        kept = DayWish.objects.filter(day=day).first()
        super().__init__(data, instance=kept or DayWish(day=day))
        self.helper = helper("finish_by", "even_hands")

    def clean_finish_by(self) -> time | None:
        """A wish before the day begins is a slip."""
        wished: time | None = self.cleaned_data["finish_by"]
        if wished and wished <= self.day.opens:
            raise forms.ValidationError(
                f"{wished:%H:%M} is before the day begins; choose a time after "
                f"{self.day.opens:%H:%M}."
            )
        return wished

    def write(self) -> None:
        """One row a day, whoever saved first."""
        DayWish.objects.update_or_create(day=self.day, defaults=self.cleaned_data)


class BreakForm(KeptForm, forms.ModelForm):  # type: ignore[type-arg]  # no parameter when it runs
    """A break, and from when to when it may move."""

    starts = clock_box("Starts at")
    earliest = clock_box("May start from", "Empty, both of these: it stands fast.", required=False)
    latest = clock_box("May start until", required=False)

    class Meta:
        model = Break
        fields = ["name", "starts", "minutes", "earliest", "latest"]

    def __init__(self, data: Data = None, *, pause: Break) -> None:
        super().__init__(data, instance=pause)
        self.need_words()
        self.helper = helper(beside("name", "minutes"), beside("starts", "earliest", "latest"))

    def clean(self) -> dict[str, object] | None:
        """No break may run into another, wherever the two are moved."""
        found: dict[str, object] | None = super().clean()
        typed = self.cleaned_data
        if not {"starts", "minutes"} <= typed.keys():
            return found
        asked = Break(
            day=self.instance.day,
            name=typed.get("name", ""),
            **{key: typed.get(key) for key in ("starts", "minutes", "earliest", "latest")},
        )
        for other in Break.objects.filter(day=asked.day).exclude(pk=self.instance.pk):
            other.day = asked.day
            if asked.meets(other):
                self.add_error(
                    "starts",
                    f"It could run into {other}, which takes from {other.span_words}. Keep the "
                    "two apart, with the range in which each may move.",
                )
        return found


class AbsenceForm(KeptForm, forms.ModelForm):  # type: ignore[type-arg]  # no parameter when it runs
    """Someone is away for part of the day."""

    who = forms.ChoiceField(
        label="Who", error_messages={"invalid_choice": "That person is not on this course."}
    )
    leaves = clock_box("Away from")
    back = clock_box("Back at")

    class Meta:
        model = Absence
        fields = ["leaves", "back"]

    def __init__(self, data: Data = None, *, day: Day) -> None:
        super().__init__(data, instance=Absence(day=day))
        seats = Enrolment.objects.for_workshop(day.workshop).confirmed().with_people()
        who = self.fields["who"]
        assert isinstance(who, forms.ChoiceField)
        who.choices = [
            ("", "choose"),
            *((f"s{member.pk}", str(member)) for member in day.workshop.staff.all()),
            *((f"a{seat.pk}", str(seat.attendee)) for seat in seats),
        ]
        self.need_words()
        self.helper = helper(beside("who", "leaves", "back"))

    def clean(self) -> dict[str, object] | None:
        """The row names one person, of one kind or the other."""
        found: dict[str, object] | None = super().clean()
        if chosen := self.cleaned_data.get("who"):
            which = "staff_id" if chosen[0] == "s" else "enrolment_id"
            setattr(self.instance, which, int(chosen[1:]))
        return found


class HoursForm(KeptForm, forms.ModelForm):  # type: ignore[type-arg]  # no parameter when it runs
    """A station is in use only in these hours."""

    opens = clock_box("In use from")
    closes = clock_box("In use until")

    class Meta:
        model = StationHours
        fields = ["station", "opens", "closes", "why"]

    def __init__(self, data: Data = None, *, day: Day) -> None:
        super().__init__(data, instance=StationHours(day=day))
        station = self.fields["station"]
        assert isinstance(station, forms.ModelChoiceField)
        station.queryset = day.workshop.stations.all()
        self.need_words()
        self.helper = helper(beside("station", "opens", "closes"), "why")


def usual_break(day: Day) -> Break:
    """A new break to fill in: half an hour after the last one, or at noon."""
    last = Break.objects.filter(day=day).last()
    if last is None:
        return Break(day=day, starts=time(12), minutes=30)
    last.day = day
    after = last.ends_at + timedelta(minutes=30)
    made = Break(day=day, minutes=15)
    if after.date() == day.date:
        made.starts = after.time()
    return made
