"""What changed between two versions, as sentences for the yard."""

from __future__ import annotations

from datetime import time

import pytest

from scheduling import comparing
from scheduling.models import RunSheet, SheetStatus
from stations.models import Duty, Stage
from tests.build import (
    make_chain_duty,
    make_day,
    make_enrolment,
    make_placement,
    make_run_sheet,
    make_stage,
    make_station,
    make_step,
)
from workshops.models import Day, Enrolment

pytestmark = pytest.mark.django_db


class Scene:
    """One scald, the chain crew, and two versions of the day."""

    def __init__(self) -> None:
        self.day: Day = make_day()
        self.chain: Duty = make_chain_duty(make_station(self.day.workshop))
        self.stage: Stage = make_stage(self.chain.station, duties=[self.chain], name="Scald")
        self.ines: Enrolment = make_enrolment(self.day.workshop, given_name="Ines")
        self.tomas: Enrolment = make_enrolment(self.day.workshop, given_name="Tomas")

    def version(
        self, status: SheetStatus, crew: dict[str, Enrolment], starts: time = time(9)
    ) -> RunSheet:
        """A version of the day with this crew."""
        step = make_step(make_run_sheet(self.day, status), self.stage, starts=starts, code="x")
        for place, seat in crew.items():
            make_placement(step, self.chain, enrolment=seat, place=place)
        return RunSheet.objects.with_steps().get(pk=step.run_sheet_id)

    def said(self, old: RunSheet | None, new: RunSheet) -> list[str]:
        """The sentences."""
        return [change.sentence for change in comparing.changes(old, new)]


def test_one_takes_a_place_from_another() -> None:
    """Names, place, step and time stand in one sentence."""
    scene = Scene()
    old = scene.version(SheetStatus.POSTED, {"hind-left": scene.tomas})
    new = scene.version(SheetStatus.DRAFT, {"hind-left": scene.ines})
    assert scene.said(old, new) == ["Ines takes chain, hind-left at Scald (09:00) from Tomas."]


def test_a_step_that_moves_is_told_with_both_times() -> None:
    """The crew stays, the time moves."""
    scene = Scene()
    old = scene.version(SheetStatus.POSTED, {"hind-left": scene.ines}, time(9))
    new = scene.version(SheetStatus.DRAFT, {"hind-left": scene.ines}, time(9, 20))
    assert scene.said(old, new) == ["Scald moves from 09:00 to 09:20."]


def test_joining_and_leaving_are_told_apart() -> None:
    """A place filled anew, a place left empty."""
    scene = Scene()
    old = scene.version(SheetStatus.POSTED, {"hind-left": scene.tomas})
    new = scene.version(SheetStatus.DRAFT, {"fore-left": scene.ines})
    assert scene.said(old, new) == [
        "Ines joins chain, fore-left at Scald (09:00).",
        "Tomas leaves chain, hind-left at Scald (09:00).",
    ]


def test_the_same_plan_changes_nothing() -> None:
    """A copy is no change; a first version was told to nobody."""
    scene = Scene()
    old = scene.version(SheetStatus.POSTED, {"hind-left": scene.tomas})
    new = scene.version(SheetStatus.DRAFT, {"hind-left": scene.tomas})
    assert scene.said(old, new) == []
    assert scene.said(None, new) == []


def test_new_people_are_marked_and_missing_hands_named() -> None:
    """The morning marks who is new against what is posted, and what is short."""
    scene = Scene()
    old = scene.version(SheetStatus.POSTED, {"hind-left": scene.tomas})
    new = scene.version(SheetStatus.DRAFT, {"hind-left": scene.ines, "fore-left": scene.tomas})
    (marked,) = comparing.marked_steps(old, new)
    assert {(one.row.person_name, one.is_new) for one in marked.crew} == {
        ("Ines", True),
        ("Tomas", True),
    }
    assert marked.short == ("Chain: 2 of 4",)
