"""A course cloned to new dates: what comes along and what stays."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.apps import apps
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from stations import cloning
from stations.models import (
    ChillPlan,
    ChillReading,
    CureBatch,
    CureEntry,
    CutLine,
    CutPlan,
    Dip,
    DipEntry,
    FoodEntry,
    FoodLog,
    HandlingSetup,
    KitchenBatch,
    NextTiming,
    Package,
    PantryFood,
    Stage,
    StageGap,
    Thermometer,
    ThermometerCheck,
    WeighIn,
)
from tests.build import (
    make_break,
    make_duty,
    make_enrolment,
    make_equipment,
    make_gap,
    make_hog,
    make_note,
    make_stage,
    make_station,
    make_trough,
    make_waiver_text,
    make_workshop,
)
from workshops.models import Workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def course() -> Workshop:
    """One of everything."""
    made = make_workshop(name="Winter course", slug="winter", seat_price_cents=48500)
    make_break(made.days.all()[0])
    make_waiver_text(made)
    made.costs.create(name="Feed", basis="per_hog", cents=100)
    made.days.all()[0].meals.create(name="Chowder", contains=["milk"])
    station = make_station(made)
    duty = make_duty(station)
    make_trough(station)
    make_note(station, duty=duty)
    make_gap(make_stage(station, duties=[duty]), make_stage(station))
    make_equipment(made, station=station)
    make_equipment(made)
    HandlingSetup.objects.create(station=station)
    Thermometer.objects.create(workshop=made, name="Red handle")
    make_hog(made)
    make_enrolment(made)
    return made


def test_a_clone_takes_everything_but_people_hogs_and_money(
    organizer_client: Client, course: Workshop
) -> None:
    """Days keep their distances; what points at a station points at its copy."""
    typed = {"name": "Winter course", "first_day": "2998-11-06"}
    organizer_client.post(reverse("clone", args=[course.slug]), typed)
    made = Workshop.objects.exclude(pk=course.pk).get()
    assert made.slug == "winter-course"
    assert [day.date for day in made.days.all()] == [date(2998, 11, 6 + i) for i in range(3)]
    assert (made.seat_price_cents, made.takes_sign_ups) == (48500, False)
    assert made.waiver_texts.get().text == course.waiver_texts.get().text
    assert made.costs.get().name == "Feed"
    first = made.days.all()[0]
    assert (first.breaks.count(), first.meals.get().contains) == (1, ["milk"])
    station = made.stations.get()
    assert (station.duties.count(), station.equipment.count()) == (1, 1)
    assert made.equipment.count() == 2
    assert made.thermometers.get().name == "Red handle"
    assert (station.trough.kettle_l, station.handling.station) == (40.0, station)
    stages = Stage.objects.filter(workshop=made)
    assert {duty.station_id for stage in stages for duty in stage.duties.all()} == {station.pk}
    assert StageGap.objects.get(before__workshop=made).after.workshop == made
    assert not made.enrolments.exists()
    assert not made.animals.exists()
    assert course.stations.count() == 1


def test_every_kind_of_row_is_cloned_or_left_behind_on_purpose() -> None:
    """A new model must say which."""
    left_behind = {
        # what happened to these hogs, and what was made of them
        ChillPlan, ChillReading, CureBatch, CureEntry, CutLine, CutPlan, Dip, DipEntry, FoodEntry,
        FoodLog, KitchenBatch, NextTiming, Package, PantryFood, ThermometerCheck, WeighIn,
    }  # fmt: skip
    ours = set(apps.get_app_config("stations").get_models())
    assert ours == cloning.COPIED | left_behind


def test_a_clone_lies_ahead(organizer_client: Client, course: Workshop) -> None:
    """Yesterday is refused, and what was typed stands."""
    typed = {"name": "Again", "first_day": str(timezone.localdate() - timedelta(days=1))}
    page = organizer_client.post(reverse("clone", args=[course.slug]), typed).content.decode()
    assert "is not ahead; write a day to come." in page
    assert 'value="Again"' in page
    assert Workshop.objects.count() == 1


@pytest.mark.parametrize(
    ("role", "code"), [("organizer", 200), ("lead", 403), ("helper", 403), ("stranger", 403)]
)
def test_only_the_organizer_clones(request: pytest.FixtureRequest, role: str, code: int) -> None:
    """A new workshop is theirs to open."""
    workshop = request.getfixturevalue("workshop")
    client = Client()
    client.force_login(request.getfixturevalue(role))
    assert client.get(reverse("clone", args=[workshop.slug])).status_code == code
