"""A household's own answers, changed by private link after sign-up."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone

from workshops import answering, enrolling
from workshops.enrolling import Entry
from workshops.forms.layout import Data, beside, folded, group
from workshops.forms.people import PersonForm, initial_of
from workshops.models import Enrolment

# Asked at sign-up of everyone; an e-mail address only of those who gave one.
NEEDED = ("phone", "emergency_contact", "emergency_phone", "height")


class AnswersForm(PersonForm):
    """One person's answers and the household's numbers, by somebody of the household."""

    health_news = forms.CharField(
        max_length=2000,
        required=False,
        label="Something new about your health",
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=(
            "Read by the organizer and the lead alone. Blank leaves what you told us before, "
            "which is not shown here; what you write stands in its place."
        ),
    )

    def __init__(self, data: Data = None, *, seat: Enrolment, by: Enrolment) -> None:
        self.by = by
        super().__init__(data, workshop=by.workshop, seat=seat, sees_health=False)
        for name in ("status", "household_name", "arrives_at", "leaves_at"):
            del self.fields[name]
        for name in (*NEEDED, *(["email"] if seat.attendee.household.email else [])):
            self.fields[name].required = True
        self.fields["limits"].label = "Must not, or would not"
        self.fields["limits"].help_text = "Nobody is placed against a limit."
        self.fields["allergens"].label = "Must not meet"

    def parts(self) -> list[object]:
        """As they were asked at sign-up."""
        return [
            "version",
            group(
                "You",
                beside("given_name", "family_name"),
                beside("height", "lift", "knife"),
                folded("If under 18: birth date and guardian", beside("born", "guardian")),
                folded("Limits: what you must not or would not do", "limits", "health_news"),
                folded("Food: allergens and diet", "allergens", "diet"),
                folded("Wishes: what to try, what to leave", beside("must_try", "rather_not")),
            ),
            group(
                "How we reach your household",
                beside("email", "phone"),
                beside("emergency_contact", "emergency_phone"),
            ),
        ]

    def clean(self) -> dict[str, Any]:
        """A minor has an adult who answers for them."""
        typed = super().clean()
        days, born = list(self.workshop.days.all()), typed.get("born")
        self.seat.attendee.born = born
        is_minor = bool(days) and self.seat.attendee.is_minor_on(days[0].date)
        if is_minor and not typed.get("guardian"):
            self.add_error("guardian", "Under 18 needs an adult who answers for them; name one.")
        return typed

    def version_of(self, saved: Entry) -> str:
        """Of the answers alone: a seat that is offered meanwhile is no clash."""
        return answering.version_of(saved)

    def entry(self) -> Entry:
        """What was typed; what is not theirs to change stays as it is."""
        kept = initial_of(enrolling.entry_of(self.seat, with_health=False))
        self.cleaned_data = kept | self.cleaned_data
        return super().entry()

    def write(self) -> None:
        """Hand the answers to the verb that writes them."""
        self.seat = answering.answer(
            self.seat,
            self.entry(),
            health=self.cleaned_data["health_news"],
            seen=self.cleaned_data["version"],
            by=self.by,
            now=timezone.now(),
        )
