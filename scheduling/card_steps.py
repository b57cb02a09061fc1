"""The big buttons on a card: what someone may press of the step they stand at."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.urls import reverse

from scheduling import clocking, lateness
from scheduling.lateness import Standing
from scheduling.live_day import MyPlace
from scheduling.log_forms import PressForm
from scheduling.models import Mark, RunSheet

SOON = timedelta(minutes=20)
"""A step to come within so long has its button on the card (a judgement, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Button:
    """One press: its word, where it posts, an id of its own."""

    words: str
    url: str
    form: PressForm


def standing_today(sheets: Iterable[RunSheet], *, now: datetime) -> dict[str, Standing]:
    """How the steps of today stand, by code; nothing on other days. One query."""
    for sheet in sheets:
        if sheet.day.date == now.astimezone(sheet.day.workshop.zone).date():
            times = clocking.times_of(sheet.day)
            return lateness.standings(sheet.steps.all(), times, now=now, soon=SOON)
    return {}


def buttons(place: MyPlace | None, standing: Mapping[str, Standing], word: str) -> list[Button]:
    """What may be pressed of a step: started; paused or gone on, and finished.

    Whoever holds a chain has no hand for a phone: heavy duties get none.
    """
    one = standing.get(place.step.code) if place else None
    if place is None or one is None or not one.is_at_hand or place.placement.duty.heavy:
        return []
    marks: list[tuple[Mark, str]] = []
    if one.may_start:
        marks = [(Mark.STARTED, "Started")]
    elif one.may_pause:
        marks = [(Mark.FINISHED, "Finished"), (Mark.PAUSED, "Pause")]
    elif one.may_go_on:
        marks = [(Mark.RESUMED, "Go on"), (Mark.FINISHED, "Finished")]
    return [
        Button(
            words=words,
            url=reverse(f"card-step-{mark.value}", args=[word, place.step.code]),
            form=PressForm(auto_id=False),
        )
        for mark, words in marks
    ]
