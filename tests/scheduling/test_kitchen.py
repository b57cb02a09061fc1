"""The kitchen's pages: who eats, what is made of what, the menu, the store, the jobs."""

from __future__ import annotations

from datetime import time, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from scheduling import feeding, kitchen_steps, menus
from scheduling.gathering import gather, timetable_problem
from scheduling.models import Turnout
from scheduling.planner import timetable
from stations.models import RECIPES, KitchenBatch, Stage
from tests.build import (
    make_attendance,
    make_batch,
    make_break,
    make_duty,
    make_enrolment,
    make_hog,
    make_run_sheet,
    make_station,
    make_step,
)
from workshops.models import Meal, Workshop

pytestmark = pytest.mark.django_db


def table_of(workshop: Workshop, number: int = 1) -> feeding.Table:
    """The people of one day."""
    return feeding.tables(workshop)[number - 1]


def typed(workshop: Workshop, **changed: object) -> dict[str, object]:
    """A batch as a browser sends it."""
    day = workshop.days.all()[0].pk
    sent = {"recipe": "sausage", "day": day, "use": "home", "pork": "hogs", "base_kg": ""}
    return sent | {"ready_by": ""} | changed


def test_the_table_is_of_those_who_are_really_there(workshop: Workshop) -> None:
    """Away today, not yet come and gone home do not eat; staff do."""
    first, second, _ = workshop.days.all()
    make_enrolment(workshop, given_name="Ada")
    gone = make_enrolment(workshop, given_name="Bo")
    make_attendance(first, gone, Turnout.AWAY)
    late = first.at(time(18)) + timedelta(hours=2)
    make_enrolment(workshop, given_name="Cy", arrives_at=late)
    workshop.staff.create(name="Maren", role="lead")
    names = [[guest.name for guest in table.guests] for table in feeding.tables(workshop)]
    assert names[0] == ["Ada", "Maren"]
    assert names[1] == ["Ada", "Bo", "Cy", "Maren"]
    assert second.date == feeding.tables(workshop)[1].day.date


def test_ticked_allergens_and_written_words_are_both_kept_away(workshop: Workshop) -> None:
    """Counted, with names beside them for those who may see."""
    seat = make_enrolment(workshop, given_name="Ada", diet="vegetarian")
    seat.attendee.allergens.create(allergen="milk")
    make_enrolment(workshop, given_name="Bo", diet="Low salt")
    table = table_of(workshop)
    assert table.needs == (("no meat", 1, ("Ada",)), ("no milk", 1, ("Ada",)))
    assert [guest.name for guest in table.unread] == ["Bo"]


def test_the_trim_of_this_courses_hogs_is_what_the_batches_use(workshop: Workshop) -> None:
    """Worked by hand: 120 kg live, 85 kg hot, 83.3 kg cold, 8 % lean trim: 6.7 kg."""
    make_hog(workshop, live_kg=120, carcass_kg=85)
    make_hog(workshop, live_kg=120, status="held_back")
    gives = feeding.hogs_give(feeding.hogs_in_the_kitchen(workshop), [])
    lean = next(one for one in gives if one.food == "lean trim")
    assert lean.expected.likely_kg == pytest.approx(0.08 * 0.98 * 85, rel=1e-6)
    batch = make_batch(workshop.days.all()[0], base_kg=lean.expected.likely_kg + 1)
    after = feeding.hogs_give(feeding.hogs_in_the_kitchen(workshop), [batch])
    assert next(one for one in after if one.food == "lean trim").is_short


def test_a_product_without_a_weight_takes_all_that_is_left(
    lead_client: Client, workshop: Workshop
) -> None:
    """The scarcer of trim and fat decides; a second batch has nothing left and says so."""
    make_hog(workshop, live_kg=120, carcass_kg=85)
    url = reverse("kitchen-add", args=[workshop.slug])
    assert lead_client.post(url, typed(workshop)).status_code == 302
    batch = KitchenBatch.objects.get()
    assert batch.base_kg == pytest.approx(0.08 * 0.98 * 85, rel=1e-6)
    assert batch.meal is None
    refused = lead_client.post(url, typed(workshop))
    assert refused.status_code == 422
    assert "the hogs have nothing left to give" in refused.content.decode()
    assert KitchenBatch.objects.count() == 1


def test_a_dish_is_made_for_everyone_it_suits(lead_client: Client, workshop: Workshop) -> None:
    """It stands on the menu with its allergens; the one it does not suit is named, with a way."""
    for _ in range(3):
        make_enrolment(workshop)
    make_enrolment(workshop, given_name="Ada", diet="vegetarian")
    url = reverse("kitchen-add", args=[workshop.slug])
    lead_client.post(url, typed(workshop, recipe="roast", use="table", pork="bought"))
    batch = KitchenBatch.objects.get()
    assert batch.made.servings(base_kg=batch.base_kg) == 4  # three and the lead
    assert Meal.objects.get().name == "Roast pork"
    page = lead_client.get(reverse("kitchen", args=[workshop.slug])).content.decode()
    assert "1 has no dish here: Ada" in page
    assert "Beans and roots, no meat" in page


def test_a_drafted_menu_feeds_everyone_and_leaves_what_stands(
    lead_client: Client, workshop: Workshop
) -> None:
    """Each sitting gets the fewest dishes; the same press again has nothing to fill."""
    make_break(workshop.days.all()[0])
    make_enrolment(workshop)
    make_enrolment(workshop, diet="vegan")
    url = reverse("kitchen-menu", args=[workshop.slug])
    days = list(workshop.days.all())
    ats = [f"{days[0].pk}@12:00", f"{days[0].pk}@17:00", f"{days[1].pk}@17:00"]
    sent = {"menu-sittings": ats, "menu-dishes": ["roast", "sausage", "bean_pot"]}
    assert lead_client.post(url, sent).status_code == 302
    seated = feeding.sittings(feeding.tables(workshop), menus.batches_of(workshop))
    made = [sitting for day in seated.values() for sitting in day]
    assert len(made) == 3
    assert not any(sitting.unfed or sitting.too_few for sitting in made)
    assert all(meal.instead for meal in Meal.objects.all())
    again = lead_client.post(url, sent)
    assert again.status_code == 422
    assert len(menus.batches_of(workshop)) == 6


def test_shopping_takes_off_the_store_and_the_hogs_own(
    lead_client: Client, workshop: Workshop
) -> None:
    """Sausage of 5 kg trim: 0.1 kg salt, of which half is there; the trim is the hogs'."""
    make_hog(workshop, live_kg=120, carcass_kg=85)
    make_batch(workshop.days.all()[0], base_kg=5.0)
    url = reverse("pantry", args=[workshop.slug])
    foods = menus.foods_asked(menus.batches_of(workshop), [])
    number = foods.index("salt")
    sent = {f"have{number}": "0.11", f"pack{number}": "2.2"}
    assert lead_client.post(url, sent).status_code == 302
    gives = feeding.hogs_give(
        feeding.hogs_in_the_kitchen(workshop), batches := menus.batches_of(workshop)
    )
    bought = {one.food: one for one in menus.to_buy(batches, gives, workshop.pantry.all())}
    assert "lean trim" not in bought
    assert "water" not in bought
    assert bought["salt"].have_kg == pytest.approx(0.05, abs=0.06)
    assert bought["salt"].buy_kg == pytest.approx(1.0, abs=0.01)
    assert lead_client.post(url, {f"have{number}": "-1"}).status_code == 422


def test_a_batchs_jobs_enter_the_timetable(lead_client: Client, workshop: Workshop) -> None:
    """One after another, at the duty's station, done by the time it is wanted."""
    first = workshop.days.all()[0]
    station = make_station(workshop, name="Kitchen")
    make_enrolment(workshop)
    duty = make_duty(station, name="Cook the meal", hands=1)
    batch = make_batch(first, dish=True, recipe="roast", base_kg=4.0, ready_by=time(13))
    url = reverse("kitchen-batch", args=[workshop.slug, batch.pk])
    assert lead_client.post(url, {"job0": ""}).status_code == 422
    assert lead_client.post(url, {"job0": duty.pk}).status_code == 302
    season, roast = batch.stages.all()
    assert (season.station, roast.station) == (station, station)
    assert (season.unattended, roast.unattended) == (False, True)
    answer = timetable.solve(timetable_problem(gather(workshop)), seconds=5)
    starts = {code.split(":")[1]: minute for code, minute in answer.starts.items()}
    assert starts[season.key] + 15 <= starts[roast.key] <= 13 * 60 - 160
    page = lead_client.get(url).content.decode()
    assert "Take its jobs out of the course" in page


def test_a_batch_taken_out_leaves_old_run_sheets_whole(
    lead_client: Client, workshop: Workshop
) -> None:
    """A stage that a sheet names is kept and retired; the others go, and the dish with them."""
    first = workshop.days.all()[0]
    duty = make_duty(make_station(workshop), name="Cook the meal", hands=1)
    batch = make_batch(first, dish=True, recipe="roast")
    season, _ = kitchen_steps.put_on(batch, 1, [duty, None])
    make_step(make_run_sheet(first), season)
    lead_client.post(reverse("kitchen-remove", args=[workshop.slug, batch.pk]))
    assert list(Stage.objects.filter(workshop=workshop)) == [season]
    assert Stage.objects.get().retired
    assert not gather(workshop).stages
    assert not KitchenBatch.objects.exists()
    assert not Meal.objects.exists()


def test_a_helper_sees_counts_and_no_names(helper_client: Client, workshop: Workshop) -> None:
    """What someone must not eat is health; the kitchen needs the number."""
    make_enrolment(workshop, given_name="Ada", diet="vegetarian")
    make_enrolment(workshop, given_name="Bodil", diet="Low salt, please")
    make_batch(workshop.days.all()[0], dish=True, recipe="roast")
    page = helper_client.get(reverse("kitchen", args=[workshop.slug])).content.decode()
    assert "no meat (1)" in page
    assert "1 has no dish here" in page
    for word in ("Ada", "Bodil", "Low salt"):
        assert word not in page


def grown(workshop: Workshop, size: int) -> None:
    """So many of everything the kitchen reads."""
    for day in workshop.days.all():
        make_break(day, starts=time(9 + size))
        for code in list(RECIPES)[:size]:
            make_batch(day, dish=True, recipe=code)
    for _ in range(size):
        make_enrolment(workshop, diet="vegan")
        make_hog(workshop)
        workshop.pantry.create(food=["salt", "pepper", "sage", "onion"][workshop.pantry.count()])


@pytest.mark.parametrize("name", ["kitchen", "pantry", "kitchen-batch"])
def test_a_page_costs_as_many_queries_for_many_as_for_one(
    lead_client: Client, workshop: Workshop, name: str
) -> None:
    """Counted at two sizes."""
    grown(workshop, 1)
    arguments = [workshop.slug]
    if name == "kitchen-batch":
        arguments.append(str(KitchenBatch.objects.all()[0].pk))
    url = reverse(name, args=arguments)
    lead_client.get(url)
    with CaptureQueriesContext(
        connection,
    ) as few:
        lead_client.get(url)
    grown(workshop, 3)
    with CaptureQueriesContext(connection) as many:
        lead_client.get(url)
    assert len(few) == len(many)
