"""After the kill: what is written, what is said of it, who may, what it costs."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from scheduling.models import SheetStatus
from stations import chill_alarms, urls
from stations.chill_alarms import ChillAlarmKind
from stations.models import (
    ChillPlan,
    ChillReading,
    CureBatch,
    CureEntry,
    CutPlan,
    FoodEntry,
    FoodLog,
    WeighIn,
    WeighStage,
)
from stations.trade.chilling import CHILLED_C
from tests.build import (
    Fields,
    make_check,
    make_chill_plan,
    make_chill_reading,
    make_cure_batch,
    make_cure_entry,
    make_cut_plan,
    make_food_entry,
    make_food_log,
    make_hog,
    make_package,
    make_run_sheet,
    make_stage,
    make_station,
    make_step,
    make_thermometer,
    make_weigh_in,
    make_workshop,
)
from tests.cast import client_of
from workshops.models import Animal, Units, User, Workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def workshop(db: None) -> Workshop:
    """In pounds and Fahrenheit."""
    return make_workshop(name="Winter course", slug="winter", units=Units.US)


@pytest.fixture
def hog(workshop: Workshop) -> Animal:
    return make_hog(workshop, tag="12", live_kg=120, carcass_kg=90)


def post(client: Client, name: str, /, *ids: object, **fields: Fields) -> Fields:
    """One press; the answer as the test client gives it."""
    url = reverse(name, args=["winter", *ids])
    return client.post(url, {"client_id": uuid4()} | fields)


def page(client: Client, name: str, *ids: object) -> str:
    return client.get(reverse(name, args=["winter", *ids])).content.decode()


# --- the chill -----------------------------------------------------------------------------------
def test_a_reading_is_written_once_and_judged_at_the_number_typed(
    helper_client: Client, hog: Animal
) -> None:
    """40 F is at most 40 F; a post that comes twice is one row."""
    make_chill_plan(hog, killed_at=timezone.now() - timedelta(hours=20))
    press = {"read_c": "40", "part": "ham", "client_id": uuid4()}
    for _ in range(2):
        answer = post(helper_client, "chill-read", hog.pk, **press)
        assert answer["Location"] == reverse("chill-hog", args=["winter", hog.pk])
    row = ChillReading.objects.get()
    assert row.temp_c == CHILLED_C
    assert row.by_user is not None
    said = page(helper_client, "chill-hog", hog.pk)
    assert "ham centre is <strong>40 °F</strong>, at most 40 °F" in said
    assert "Outside the limit" not in said


def test_a_hair_above_the_limit_is_outside_and_is_not_rounded_to_it(
    lead_client: Client, hog: Animal
) -> None:
    """40.01 F reads 40.1, outside, with what to do."""
    make_chill_plan(hog, killed_at=timezone.now() - timedelta(hours=30))
    post(lead_client, "chill-read", hog.pk, read_c="40.01", part="ham")
    said = page(lead_client, "chill-hog", hog.pk)
    assert "ham centre is <strong>40.1 °F</strong>, at most 40 °F" in said
    assert "not cold in 24 h" in said.lower()
    assert "The lead decides, under the local food authority" in said


def test_an_id_that_was_used_for_another_number_is_refused(
    lead_client: Client, hog: Animal
) -> None:
    """Who goes back and changes the number is not told that it was written."""
    press = {"part": "ham", "client_id": uuid4()}
    post(lead_client, "chill-read", hog.pk, read_c="60", **press)
    answer = post(lead_client, "chill-read", hog.pk, read_c="50", **press)
    assert answer.status_code == 422
    assert "was used before. Load the page again" in answer.content.decode()
    assert ChillReading.objects.count() == 1


def test_a_correction_is_a_new_row_and_only_the_newest_can_be_corrected(
    lead_client: Client, hog: Animal
) -> None:
    """The old one stays to be read; it counts for nothing."""
    old = make_chill_reading(hog, temp_c=30.0)
    url = ("chill-correct", hog.pk, old.pk)
    assert post(lead_client, *url, read_c="50").status_code == 302
    new = ChillReading.objects.get(corrects=old)
    assert (new.at, new.part, new.temp_c) == (old.at, "ham", 10.0)
    answer = post(lead_client, *url, read_c="55")
    assert "was corrected before" in answer.content.decode()
    assert post(lead_client, "chill-take-back", hog.pk, new.pk).status_code == 302
    assert not ChillReading.objects.standing().exists()
    assert ChillReading.objects.count() == 3
    assert "taken back" in page(lead_client, "chill-hog", hog.pk)


def test_a_thermometers_own_error_is_taken_off_and_both_numbers_stay(
    lead_client: Client, hog: Animal
) -> None:
    """One that reads a degree high in ice water and at the boil."""
    probe = make_thermometer(hog.workshop)
    make_check(probe, ice_read_c=1.0, boil_read_c=101.0, at=timezone.now())
    post(lead_client, "chill-read", hog.pk, read_c="50", part="ham", thermometer=probe.pk)
    row = ChillReading.objects.get()
    assert row.read_c == pytest.approx(10.0)
    assert row.temp_c == pytest.approx(9.0, abs=0.02)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"read_c": "400"}, "out of range"),
        ({"read_c": "", "part": "ham"}, "Write the number that you read."),
        ({"read_c": "50", "when": "2999-01-01T10:00"}, "write a time before that"),
        ({"read_c": "50", "when": "2020-01-01T10:00"}, "was killed at"),
    ],
)
def test_a_reading_that_cannot_be_is_refused_and_nothing_typed_is_lost(
    lead_client: Client, hog: Animal, fields: dict[str, str], sentence: str
) -> None:
    """The sentence says which rule; the number stands in the box still."""
    make_chill_plan(hog)
    answer = post(lead_client, "chill-read", hog.pk, **({"part": "ham"} | fields))
    said = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in said
    assert f'value="{fields["read_c"]}"' in said or not fields["read_c"]
    assert not ChillReading.objects.exists()


def test_how_it_hangs_is_kept_with_the_air_by_the_clock(lead_client: Client, hog: Animal) -> None:
    """A clock that is not later than the line above is of the next day."""
    fields = {
        "killed_at": "2030-01-11T09:00",
        "hung_at": "2030-01-11T18:00",
        "method": "still_air",
        "air_1": "41",
        "at_2": "06:00",
        "air_2": "23",
        "at_3": "14:00",
        "air_3": "41",
    }
    assert post(lead_client, "chill-hang", hog.pk, **fields).status_code == 302
    kept = ChillPlan.objects.get()
    assert kept.air == [[0.0, pytest.approx(5.0)], [12.0, -5.0], [20.0, pytest.approx(5.0)]]
    said = page(lead_client, "chill-hog", hog.pk)
    assert "The middle of the ham is likely at 40 °F on" in said
    assert "to be there inside 24 h of the kill it needs steady air" in said.lower()
    assert 'value="06:00"' in said
    half = post(lead_client, "chill-hang", hog.pk, **(fields | {"air_3": ""}))
    assert "Air, line 3: write both the time and the air, or none." in half.content.decode()
    late = post(lead_client, "chill-hang", hog.pk, **(fields | {"hung_at": "2030-01-11T08:00"}))
    assert "It is hung after the kill; look at the two times." in late.content.decode()


def test_a_night_is_tried_and_nothing_is_kept(lead_client: Client, hog: Animal) -> None:
    """A cold one chills in time and freezes the skin; a warm one does not chill."""
    night = {"carcass_kg": "180", "method": "still_air", "hung_clock": "16:00", "delay_h": "2"}
    url = reverse("chill-night", args=["winter"])
    assert lead_client.get(url).status_code == 200
    cold = lead_client.get(url, night | {"air_1": "10"}).content.decode()
    assert "over 99</span>nights in 100" in cold
    warm = lead_client.get(url, night | {"air_1": "50"}).content.decode()
    assert "fewer than 1</span>nights in 100" in warm
    heavy = lead_client.get(url, night | {"air_1": "30", "carcass_kg": "900"})
    assert heavy.status_code == 422
    assert not ChillPlan.objects.exists()


@pytest.mark.parametrize(
    ("hours", "air_c", "temp_c", "kind"),
    [
        (30, 1.0, 10.0, ChillAlarmKind.LATE),
        (30, 1.0, 4.0, None),
        (8, 6.0, 30.0, ChillAlarmKind.COMING),
        (14, 0.0, None, ChillAlarmKind.LOOK),
        (5, 0.0, None, None),
    ],
)
def test_the_alarm_of_a_carcass(
    hog: Animal, hours: float, air_c: float, temp_c: float | None, kind: ChillAlarmKind | None
) -> None:
    """Late after 24 h, coming by the forecast, to be looked at after six hours, else silent."""
    now = timezone.now()
    make_chill_plan(hog, killed_at=now - timedelta(hours=hours), air=[[0, air_c]])
    if temp_c is not None:
        make_chill_reading(hog, temp_c=temp_c, at=now - timedelta(minutes=5))
    alarm = chill_alarms.chill_alarm(Animal.objects.get(pk=hog.pk), now)
    assert (alarm.kind if alarm else None) == kind
    if alarm:
        assert "Hog 12" in alarm.sentence
        assert alarm.remedy
        assert alarm.source


def test_a_hog_that_is_not_hung_has_no_alarm(hog: Animal) -> None:
    """Nothing is known of it yet."""
    assert chill_alarms.chill_alarm(hog, timezone.now()) is None


# --- weights -------------------------------------------------------------------------------------
def test_weights_go_down_the_stages_and_the_rest_is_shown(
    helper_client: Client, hog: Animal
) -> None:
    """Two sides make a carcass, cuts add up, what is missing is said."""
    for side, pounds in (("left side", "99"), ("right side", "100")):
        fields = {"stage": "hot", "part": side, "dressed": "head_and_skin_on", "kg": pounds}
        post(helper_client, "weigh-carcass", hog.pk, **fields)
    hog.refresh_from_db()
    assert float(hog.carcass_kg or 0) == pytest.approx(90.3)
    cold = {"stage": "cold", "part": "whole", "dressed": "head_and_skin_on", "kg": "195"}
    post(helper_client, "weigh-carcass", hog.pk, **cold)
    for pounds in ("20", "21", "150"):
        part = "other" if pounds == "150" else "ham"
        post(helper_client, "weigh-cut", hog.pk, part=part, kg=pounds)
    post(helper_client, "weigh-aside", hog.pk, stage="trimmed", part="bones", kg="2")
    said = page(helper_client, "break-down-hog", hog.pk)
    assert "head, feet and skin on, leaf lard and kidneys in" in said
    assert "<strong>2.0 lb</strong>" in said  # 195 in, 191 out, 2 set aside
    assert "What the scald kept" in said
    assert "41.0 lb" in said
    assert WeighIn.objects.count() == 7
    assert "Cuts to packages" not in said
    make_package(hog, grams=80_000)
    make_package(hog, grams=9_000, state="mistake")
    said = page(helper_client, "break-down-hog", hog.pk)
    packing = said[said.index("Cuts to packages") :]
    assert "176.4 lb" in packing
    assert "<strong>14.6 lb</strong>" in packing  # 191 lb of cuts, 80 kg packed


def test_a_whole_is_weighed_once_and_not_more_than_the_hog(
    lead_client: Client, hog: Animal
) -> None:
    """A second weight is a correction; a carcass above the live weight is refused whole."""
    fields = {"stage": "hot", "part": "whole", "dressed": "skin_on", "kg": "190"}
    post(lead_client, "weigh-carcass", hog.pk, **fields)
    again = post(lead_client, "weigh-carcass", hog.pk, **(fields | {"kg": "191"}))
    assert "whole weighs 190.0 lb already. Correct that entry." in again.content.decode()
    row = WeighIn.objects.get()
    heavy = post(lead_client, "weigh-correct", hog.pk, row.pk, kg="400")
    assert "Hog 12 weighed 264.6 lb alive" in heavy.content.decode()
    assert WeighIn.objects.count() == 1
    post(lead_client, "weigh-correct", hog.pk, row.pk, kg="185")
    hog.refresh_from_db()
    assert float(hog.carcass_kg or 0) == pytest.approx(83.9)
    post(lead_client, "weigh-take-back", hog.pk, WeighIn.objects.standing().get().pk)
    hog.refresh_from_db()
    assert hog.carcass_kg is None


def test_the_cut_plan_goes_by_a_named_table(lead_client: Client, hog: Animal) -> None:
    """Another is tried in the address; what each part becomes is kept."""
    url = reverse("break-down-hog", args=["winter", hog.pk])
    tried = lead_client.get(url, {"table": "primals"}).content.decode()
    assert "National Pork Producers Council breakdown" in tried
    parts = ("ham", "belly", "loin", "picnic", "butt", "other")
    fields = {f"becomes_{part}": "sausage" for part in parts}
    answer = post(lead_client, "cut-plan", hog.pk, table="primals", note="", **fields)
    assert answer.status_code == 302
    assert {line.becomes for line in CutPlan.objects.get().lines.all()} == {"sausage"}


# --- cures ---------------------------------------------------------------------------------------
CURE = {
    "name": "Left ham",
    "product": "dry_cut",
    "weighed_kg": "17.6",
    "heaviest_kg": "17.6",
    "cure_name": "cure no. 1",
    "nitrite": "6.25",
    "nitrate": "0",
    "ppm": "156",
    "salt": "2.5",
    "sugar": "1",
    "times_by": "method_3",
    "started_on": "2030-01-12",
}


def tried(client: Client, /, **fields: str) -> tuple[int, str]:
    answer = client.get(reverse("cure-new", args=["winter"]), CURE | fields)
    return answer.status_code, answer.content.decode()


def test_a_batch_is_worked_out_then_kept_once(lead_client: Client, workshop: Workshop) -> None:
    """Trying writes nothing; keeping twice by one press keeps one; dates go by the heaviest."""
    status, said = tried(lead_client)
    assert status == 200
    assert "19.9 g" in said  # 7.983 kg x 156 / 62500
    assert not CureBatch.objects.exists()
    press = {"client_id": uuid4()}
    for _ in range(2):
        answer = post(lead_client, "cure-keep", **(CURE | press))
    batch = CureBatch.objects.get()
    assert answer["Location"] == reverse("cure", args=["winter", batch.pk])
    assert (batch.days, batch.evening_days) == (28, 12)
    changed = post(lead_client, "cure-keep", **(CURE | press | {"ppm": "100"}))
    assert "was used before" in changed.content.decode()
    said = page(lead_client, "cures")
    assert "9 Feb" in said
    assert "Left ham" in said


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"ppm": "700"}, "ingoing nitrite is 700 ppm, at most 625 ppm"),
        ({"product": "dry_bacon", "ppm": "201", "times_by": "own", "own_days": "7"},
         "is 201 ppm, at most 200 ppm"),
        ({"product": "dry_bacon", "nitrate": "4", "times_by": "own", "own_days": "7"},
         "No nitrate goes into bacon"),
        ({"nitrite": "0.0625"}, "0.0625 looks like a fraction; a percentage is asked for"),
        ({"nitrite": "625"}, "625 % is a hundredfold too much; was 6.25 meant?"),
        ({"nitrite": "99"}, "99 % is out of range"),
        ({"salt": "0.025"}, "For 2.5 % write 2.5"),
        ({"ppm": "1.56"}, "the unit is parts per million"),
        ({"heaviest_kg": "20"}, "One piece weighs no more than all"),
        ({"product": "immersed_cut"}, "A pickle needs its water"),
        ({"times_by": "own"}, "Write how many days."),
    ],
)  # fmt: skip
def test_a_cure_that_is_a_slip_or_above_its_limit_is_refused(
    lead_client: Client, workshop: Workshop, fields: dict[str, str], sentence: str
) -> None:
    """With the rule, the value and what would satisfy it; all that was typed stands."""
    status, said = tried(lead_client, **fields)
    assert status == 422
    assert sentence in said
    assert 'value="Left ham"' in said
    assert post(lead_client, "cure-keep", **(CURE | fields)).status_code == 422
    assert not CureBatch.objects.exists()


def test_a_refusal_above_the_limit_names_its_source(
    lead_client: Client, workshop: Workshop
) -> None:
    """The federal rule, with its trust."""
    assert (
        "9 CFR 424.21(c), 1 oz nitrite to 100 lb, dry cure (published)"
        in tried(lead_client, ppm="700")[1]
    )


def test_another_strength_asks_for_other_grams(lead_client: Client, workshop: Workshop) -> None:
    """A salt of 0.6 % needs ten times as much as one of 6.25."""
    assert "208 g" in tried(lead_client, nitrite="0.6", salt="4")[1]


@pytest.mark.parametrize(
    "fields",
    [
        {"product": "pumped_cut", "taken": "10", "water": "2", "salometer": "60",
         "times_by": "own", "own_days": "5"},
        {"product": "immersed_cut", "water": "5", "salometer": "70",
         "times_by": "ham_or_shoulder"},
    ],
)  # fmt: skip
def test_a_pickle_is_worked_out_by_pump_or_until_even(
    lead_client: Client, workshop: Workshop, fields: dict[str, str]
) -> None:
    """Kept with its water, salt and cure; what is picked up too much is outside."""
    assert tried(lead_client, **fields)[0] == 200
    post(lead_client, "cure-keep", **(CURE | fields))
    batch = CureBatch.objects.get()
    assert batch.nitrite_ppm == pytest.approx(156, abs=0.01)
    assert batch.water_kg > 7
    if fields["product"] == "pumped_cut":
        post(lead_client, "cure-note", batch.pk, act_done="pumped", kg="21")
        assert "pick-up is <strong>19.4 %</strong>" in page(lead_client, "cure", batch.pk)


def test_what_was_weighed_in_is_judged_and_not_refused(
    helper_client: Client, workshop: Workshop
) -> None:
    """Ten times the salt is outside; a note may be taken back."""
    batch = make_cure_batch(workshop)
    post(helper_client, "cure-note", batch.pk, act_done="weighed", grams="192")
    said = page(helper_client, "cure", batch.pk)
    assert "Outside the limit:</span> dry cured cut: ingoing nitrite is" in said
    empty = post(helper_client, "cure-note", batch.pk, act_done="weighed")
    assert "Write the number on the scale." in empty.content.decode()
    post(helper_client, "cure-take-back", batch.pk, CureEntry.objects.get().pk)
    assert "As weighed" not in page(helper_client, "cure", batch.pk)


# --- cooking, cooling, holding -------------------------------------------------------------------
def test_a_pot_is_judged_at_each_reading(helper_client: Client, workshop: Workshop) -> None:
    """Open while it cooks, within at 160 F exactly, never after it was closed."""
    post(helper_client, "food-open", name="First pot", rule="cook_minced")
    log = FoodLog.objects.get()
    assert "No reading yet" in page(helper_client, "food-logs")
    post(helper_client, "food-read", log.pk, read_c="150")
    assert "Not yet decided" in page(helper_client, "food-log", log.pk)
    post(helper_client, "food-read", log.pk, read_c="160")
    said = page(helper_client, "food-log", log.pk)
    assert "Within the limit" in said
    assert "<strong>160 °F</strong>, at least 160 °F" in said
    for _ in range(2):
        post(helper_client, "food-done", log.pk)
    assert FoodEntry.objects.filter(mark="done").count() == 1
    late = post(helper_client, "food-read", log.pk, read_c="161")
    assert "was closed at" in late.content.decode()


def test_a_batch_that_fails_says_what_its_source_says(
    lead_client: Client, workshop: Workshop
) -> None:
    """149 F for a moment, then finished; a pot that cools too slowly."""
    pot = make_food_log(workshop)
    make_food_entry(pot, temp_c=65.0)
    make_food_entry(pot, minutes=11, mark="done", read_c=None)
    said = page(lead_client, "food-log", pot.pk)
    assert "Outside the limit" in said
    assert "Back on the heat to 160 F" in said
    slow = make_food_log(workshop, rule="cool")
    for minutes, temp_c in ((1, 60.0), (150, 30.0)):
        make_food_entry(slow, minutes=minutes, temp_c=temp_c)
    said = page(lead_client, "food-log", slow.pk)
    assert "These rules give no way to pass a late batch" in said
    assert "outside the limit" in page(lead_client, "after")


def test_food_on_the_table_asks_for_the_air(lead_client: Client, workshop: Workshop) -> None:
    """Above 90 F one hour, else two."""
    answer = post(lead_client, "food-open", name="Pate", rule="on_the_table")
    assert "Above 90 F the limit is 1 h, not 2" in answer.content.decode()
    post(lead_client, "food-open", name="Pate", rule="on_the_table", air_c="95")
    log = FoodLog.objects.get()
    make_food_entry(log, minutes=0, temp_c=20.0)
    make_food_entry(log, minutes=50, temp_c=20.0)
    assert "at most 1 h" in page(lead_client, "food-log", log.pk)


@pytest.mark.parametrize("rule", [rule for rule, _ in FoodLog._meta.get_field("rule").choices])
def test_every_rule_judges_a_log(lead_client: Client, workshop: Workshop, rule: str) -> None:
    """A reading alone is enough to say something."""
    log = make_food_log(workshop, rule=rule, air_c=20.0)
    make_food_entry(log, temp_c=30.0)
    make_food_entry(log, minutes=20, temp_c=25.0)
    assert "judged-words" in page(lead_client, "food-log", log.pk)


# --- who may, and what it costs ------------------------------------------------------------------
@pytest.fixture
def ids(hog: Animal) -> dict[str, list[object]]:
    """A row of everything, by the words of the addresses."""
    make_chill_plan(hog)
    make_cut_plan(hog)
    batch, log = make_cure_batch(hog.workshop), make_food_log(hog.workshop)
    return {
        "chill": [hog.pk, make_chill_reading(hog).pk],
        "weigh": [hog.pk, make_weigh_in(hog).pk],
        "cure": [batch.pk, make_cure_entry(batch).pk],
        "food": [log.pk, make_food_entry(log).pk],
    }


OPEN, ASKED, REFUSED, UNKNOWN, MOVED, WRONG = 200, 302, 403, 404, 302, 422
ALL_SEE = (OPEN, OPEN, OPEN, UNKNOWN, ASKED)
ALL_WRITE = (WRONG, WRONG, WRONG, UNKNOWN, ASKED)
ALL_ACT = (MOVED, MOVED, MOVED, UNKNOWN, ASKED)
LEADS_SEE = (OPEN, OPEN, REFUSED, UNKNOWN, ASKED)
LEADS_WRITE = (WRONG, WRONG, REFUSED, UNKNOWN, ASKED)
# URL name, whose ids and how many, method, and the answer to each role.
DOORS: dict[str, tuple[str, int, str, tuple[int, ...]]] = {
    "after": ("", 0, "get", ALL_SEE),
    "after-now": ("", 0, "get", ALL_SEE),
    "hog-after": ("chill", 1, "get", ALL_SEE),
    "chill": ("", 0, "get", ALL_SEE),
    "chill-night": ("", 0, "get", ALL_SEE),
    "chill-hog": ("chill", 1, "get", ALL_SEE),
    "chill-hang": ("chill", 1, "post", LEADS_WRITE),
    "chill-read": ("chill", 1, "post", ALL_WRITE),
    "chill-correct": ("chill", 2, "get", ALL_SEE),
    "chill-take-back": ("chill", 2, "post", ALL_ACT),
    "break-down": ("", 0, "get", ALL_SEE),
    "break-down-hog": ("weigh", 1, "get", ALL_SEE),
    "cut-plan": ("weigh", 1, "post", LEADS_WRITE),
    "weigh-carcass": ("weigh", 1, "post", ALL_WRITE),
    "weigh-cut": ("weigh", 1, "post", ALL_WRITE),
    "weigh-aside": ("weigh", 1, "post", ALL_WRITE),
    "weigh-correct": ("weigh", 2, "get", ALL_SEE),
    "weigh-take-back": ("weigh", 2, "post", ALL_ACT),
    "cures": ("", 0, "get", ALL_SEE),
    "cure-new": ("", 0, "get", LEADS_SEE),
    "cure-keep": ("", 0, "post", LEADS_WRITE),
    "cure": ("cure", 1, "get", ALL_SEE),
    "cure-note": ("cure", 1, "post", ALL_WRITE),
    "cure-take-back": ("cure", 2, "post", ALL_ACT),
    "food-logs": ("", 0, "get", ALL_SEE),
    "food-open": ("", 0, "post", ALL_WRITE),
    "food-log": ("food", 1, "get", ALL_SEE),
    "food-read": ("food", 1, "post", ALL_WRITE),
    "food-done": ("food", 1, "post", ALL_ACT),
    "food-sour": ("food", 1, "post", ALL_ACT),
    "food-mistake": ("food", 1, "post", ALL_ACT),
    "food-correct": ("food", 2, "get", ALL_SEE),
    "food-take-back": ("food", 2, "post", ALL_ACT),
}
ROLES = ("organizer", "lead", "helper", "stranger", "nobody")


def test_every_url_of_these_pages_is_tried() -> None:
    """A new page comes with its line above."""
    names = [str(pattern.name) for pattern in urls.urlpatterns]
    assert set(names[names.index("after") : names.index("food-take-back") + 1]) == set(DOORS)


@pytest.mark.parametrize("number", range(len(ROLES)), ids=ROLES)
def test_each_role_gets_the_answer_it_should(
    request: pytest.FixtureRequest, ids: dict[str, list[object]], number: int
) -> None:
    """Helpers read and write the logs; leads plan; strangers learn nothing."""
    role = ROLES[number]
    user: User | None = None if role == "nobody" else request.getfixturevalue(role)
    client = client_of(user)
    got = {}
    for name, (whose, count, method, _) in DOORS.items():
        url = reverse(name, args=["winter", *ids.get(whose, [])[:count]])
        # A press without its id is moved on from, or shown again: either way nothing is written.
        got[name] = getattr(client, method)(url).status_code
    assert got == {name: answers[number] for name, (*_, answers) in DOORS.items()}


@pytest.mark.parametrize(
    ("name", "more"),
    [
        ("after", lambda hog: rows_of(hog)),
        ("after-now", lambda hog: rows_of(hog)),
        ("chill", lambda hog: rows_of(hog)),
        ("break-down", lambda hog: rows_of(hog)),
        ("cures", lambda hog: rows_of(hog)),
        ("food-logs", lambda hog: rows_of(hog)),
    ],
)
def test_a_list_costs_the_same_however_long(
    lead_client: Client, hog: Animal, name: str, more: Callable[[Animal], None]
) -> None:
    """One hog with one of everything, then four with many."""
    more(hog)
    few = queries(lead_client, name)
    for number in range(3):
        other = make_hog(hog.workshop, tag=f"9{number}")
        more(other)
        make_chill_reading(other)
    assert queries(lead_client, name) == few


def rows_of(hog: Animal) -> None:
    """One of everything."""
    if not hasattr(hog, "chill_plan"):
        make_chill_plan(hog)
        make_cut_plan(hog)
    make_chill_reading(hog)
    make_weigh_in(hog)
    make_cure_entry(make_cure_batch(hog.workshop, animal=hog))
    make_food_entry(make_food_log(hog.workshop, animal=hog))


@pytest.mark.parametrize("name", ["chill-hog", "break-down-hog", "hog-after"])
def test_one_carcass_costs_the_same_however_much_was_read(
    lead_client: Client, hog: Animal, name: str
) -> None:
    """Two sizes."""
    rows_of(hog)
    few = queries(lead_client, name, hog.pk)
    for _ in range(4):
        make_chill_reading(hog)
        make_weigh_in(hog, part="ham", stage=WeighStage.CUT)
    assert queries(lead_client, name, hog.pk) == few


def test_one_batch_and_one_log_cost_the_same_however_long(
    lead_client: Client, workshop: Workshop
) -> None:
    """Two sizes."""
    batch, log = make_cure_batch(workshop), make_food_log(workshop)
    make_cure_entry(batch)
    make_food_entry(log)
    few = queries(lead_client, "cure", batch.pk), queries(lead_client, "food-log", log.pk)
    for number in range(4):
        make_cure_entry(batch)
        make_food_entry(log, minutes=20 + number)
    assert few == (queries(lead_client, "cure", batch.pk), queries(lead_client, "food-log", log.pk))


def queries(client: Client, name: str, *ids: object) -> int:
    url = reverse(name, args=["winter", *ids])
    client.get(url)
    with CaptureQueriesContext(connection) as caught:
        assert client.get(url).status_code == 200
    return len(caught)


def test_the_hogs_page_and_the_day_lead_there(lead_client: Client, hog: Animal) -> None:
    """A part that loads itself, and a plain link without a script."""
    said = page(lead_client, "hog", hog.pk)
    assert reverse("hog-after", args=["winter", hog.pk]) in said
    assert reverse("chill-hog", args=["winter", hog.pk]) in said
    make_run_sheet(hog.workshop.days.all()[0], SheetStatus.POSTED)
    day = page(lead_client, "run-sheet", 1)
    assert reverse("after-now", args=["winter"]) in day
    assert reverse("after", args=["winter"]) in day


def test_a_metric_course_reads_in_its_own_degrees(lead_client: Client, hog: Animal) -> None:
    """Cut away from a pass after turning, not before."""
    Workshop.objects.update(units=Units.METRIC)
    make_chill_plan(hog, killed_at=timezone.now() - timedelta(hours=20))
    post(lead_client, "chill-read", hog.pk, read_c="4.45", part="ham")
    assert "<strong>4.5 °C</strong>, at most 4.444 °C" in page(lead_client, "chill-hog", hog.pk)


@pytest.mark.parametrize(
    ("kept", "door", "door_of_a_hog"),
    [
        ("chill", "chill", "chill-hog"),
        ("weights", "break-down", "break-down-hog"),
        ("cures", "cures", None),
        ("food", "food-logs", None),
    ],
)
def test_a_station_leads_to_the_log_that_is_kept_there(
    lead_client: Client, hog: Animal, kept: str, door: str, door_of_a_hog: str | None
) -> None:
    """From the board to the list; from a step of the day to the hog of the step."""
    station = make_station(hog.workshop, writes_down=kept)
    sheet = make_run_sheet(hog.workshop.days.all()[0], SheetStatus.POSTED)
    make_step(sheet, make_stage(station), animal=hog)
    board = reverse(door, args=["winter"])
    assert f'href="{board}">Write down' in page(lead_client, "board")
    of_the_hog = reverse(door_of_a_hog, args=["winter", hog.pk]) if door_of_a_hog else board
    assert f'href="{of_the_hog}">Write down' in page(lead_client, "run-sheet", 1)
