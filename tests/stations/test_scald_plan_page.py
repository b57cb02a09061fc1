"""The scald planned on a page: tried, kept, refused, and worked out for a yard at home."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from stations.forms.scald import TroughForm
from stations.models import ScaldMethod, Trough
from stations.urls import urlpatterns
from tests.build import make_hog, make_link, make_station, make_trough, make_workshop
from tests.cast import client_of
from workshops.models import Enrolment, Units, User, Workshop

pytestmark = pytest.mark.django_db

ROLES = ("organizer", "lead", "helper", "stranger", "nobody")
DOORS = [
    ("scald", "get", (302, 302, 403, 404, 302)),
    ("scald-plan", "get", (200, 200, 403, 404, 302)),
    ("scald-keep", "post", (422, 422, 403, 404, 302)),
    ("scald-at-home", "get", (200, 200, 200, 200, 200)),
]


@pytest.fixture
def trough(workshop: Workshop) -> Trough:
    """A trough at station A and three hogs."""
    for live_kg in (100, 120, 140):
        make_hog(workshop, live_kg=live_kg)
    made = make_trough(make_station(workshop, name="Trough"), water_kg=230.0)
    return Trough.objects.select_related("station__workshop").get(pk=made.pk)


def typed(trough: Trough, **changed: Any) -> dict[str, Any]:
    """What a browser sends for the page as it stands, with some fields typed over."""
    form = TroughForm(trough=trough)
    sent = {name: form[name].value() for name in form.fields}
    shown = {
        name: form.fields[name].prepare_value(value)
        for name, value in sent.items()
        if value not in (None, False)
    }
    return shown | changed


def page(trough: Trough, name: str = "scald-plan") -> str:
    """The address of one trough's page."""
    return reverse(name, args=[trough.station.workshop.slug, trough.station.letter])


def test_every_url_of_the_app_is_tried() -> None:
    """A new page comes with its line in the table above."""
    assert {name for name, *_ in DOORS} <= {pattern.name for pattern in urlpatterns}


@pytest.mark.parametrize(
    "door",
    [
        (name, method, role, code)
        for name, method, codes in DOORS
        for role, code in zip(ROLES, codes, strict=True)
    ],
)
def test_each_role_gets_the_answer_it_should(
    request: pytest.FixtureRequest,
    trough: Trough,
    attendee: Enrolment,
    door: tuple[str, str, str, int],
) -> None:
    """Lead and organizer plan; helpers do not; a card's link opens its own page to who has it."""
    name, method, role, code = door
    user: User | None = None if role == "nobody" else request.getfixturevalue(role)
    arguments = {
        "scald": [trough.station.workshop.slug],
        "scald-at-home": [attendee.link.word],
    }.get(name, [trough.station.workshop.slug, trough.station.letter])
    response = getattr(client_of(user), method)(reverse(name, args=arguments))
    assert response.status_code == code


def test_the_kept_trough_gives_strike_fuel_times_and_a_curve_for_each_hog(
    lead_client: Client, trough: Trough
) -> None:
    """Numbers, drawings with a sentence that says the same, the burn and the first aid."""
    text = lead_client.get(page(trough)).content.decode()
    for words in (
        "Heat from cold",
        "of propane",
        "A lid while it heats saves",
        "Water to cover it",
        "Half, with a roll",
        "Hot again after",
        "Top up with cold",
        "serious burn in",
        "Cool the burn under cool running water",
        "Between two hogs at the trough",
        "published formulas say",
        "Hair slipping decides",
    ):
        assert words in text
    assert text.count("<polyline") == 4  # the heat-up and three dips
    assert text.count('role="img" aria-label="Hog') == 3


@pytest.mark.parametrize(("units", "word"), [(Units.US, "°F"), (Units.METRIC, "°C")])
def test_it_speaks_the_workshops_units(
    lead_client: Client, trough: Trough, units: str, word: str
) -> None:
    """Inches, gallons, degF and Btu/h; or cm, litres, degC and kW."""
    Workshop.objects.update(units=units)
    answer = lead_client.get(page(trough))
    labels = " ".join(str(field.label) for field in answer.context["form"])
    us = units == Units.US
    for sign in ("in", "gal", "Btu/h", "mph") if us else ("cm", "L", "kW", "m/s"):
        assert f", {sign}" in labels
    assert word in answer.content.decode()


def test_trying_answers_the_same_and_writes_nothing(lead_client: Client, trough: Trough) -> None:
    """Numbers in the address; the row stays, and the address carries no token."""
    before = Trough.objects.values().get()
    kept = lead_client.get(page(trough)).context["sheet"]
    sent = typed(trough)
    tried = lead_client.get(page(trough), sent)
    assert tried.status_code == 200
    assert tried.context["sheet"].figures == kept.figures
    other = lead_client.get(page(trough), sent | {"wind_m_s": "5"})
    assert other.context["sheet"].figures != kept.figures
    assert "Tried, not kept" in other.content.decode()
    assert Trough.objects.values().get() == before
    form = other.content.decode().split("<form")[-1]
    assert 'type="hidden" name="csrfmiddlewaretoken"' not in form


def test_keeping_writes_what_was_typed_in_si(lead_client: Client, trough: Trough) -> None:
    """72 in is 1.829 m, 60 gal 227 kg, 200,000 Btu/h 58.6 kW; a second look shows them again."""
    sent = typed(trough, length_m="72", water_kg="60", fire_w="200000", tap_c="46", wind_m_s="3.5")
    answer = lead_client.post(page(trough, "scald-keep"), sent)
    assert answer.status_code == 302
    trough.refresh_from_db()
    assert trough.length_m == pytest.approx(1.829, abs=1e-3)
    assert trough.water_kg == pytest.approx(226.9, abs=0.1)
    assert trough.fire_w == pytest.approx(58_614, abs=1)
    again = TroughForm(trough=trough)
    shown = {
        name: again.fields[name].prepare_value(again[name].value())
        for name in ("length_m", "water_kg", "fire_w", "tap_c", "wind_m_s")
    }
    assert shown == {
        "length_m": "72", "water_kg": "60", "fire_w": "200000", "tap_c": "46", "wind_m_s": "3.5",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"length_m": "40"}, "Hog length is"),
        ({"fire_w": "20000"}, "Make a hotter fire"),
        ({"wind_m_s": "90"}, "90 mph is out of range; write a number from 0 mph to 22 mph."),
        ({"tap_c": "ice"}, "Enter a number."),
        ({"method": "pour_over", "kettle_l": ""}, "Pouring over needs a kettle"),
        ({"season": "monsoon"}, "Select a valid choice."),
    ],
)
def test_a_refusal_names_the_way_out_and_keeps_what_was_typed(
    lead_client: Client, trough: Trough, changed: dict[str, str], words: str
) -> None:
    """Tried or kept: refused in the workshop's units, nothing written, nothing lost."""
    before = Trough.objects.values().get()
    sent = typed(trough, bucket_kg="1.75") | changed
    answers = (
        lead_client.get(page(trough), sent),
        lead_client.post(page(trough, "scald-keep"), sent),
    )
    for answer in answers:
        text = answer.content.decode()
        assert answer.status_code == 422
        assert words in text
        assert "degC" not in text
        assert 'value="1.75"' in text
    assert Trough.objects.values().get() == before


def test_a_kept_trough_that_no_hog_fits_says_so_and_the_typed_set_up_stands(
    lead_client: Client, trough: Trough
) -> None:
    """A hog grew, or another was chosen: the page opens, with the reason."""
    make_hog(trough.station.workshop, live_kg=340)
    text = lead_client.get(page(trough)).content.decode()
    assert "No plan with what is kept" in text
    assert "Choose a bigger vessel" in text


def test_the_second_of_two_leads_is_told_and_loses_nothing(
    lead_client: Client, organizer_client: Client, trough: Trough
) -> None:
    """Both opened the page; the first keeps; the second is shown the clash, then may keep."""
    first, second = typed(trough, tap_c="50"), typed(trough, tap_c="60")
    assert lead_client.post(page(trough, "scald-keep"), first).status_code == 302
    answer = organizer_client.post(page(trough, "scald-keep"), second)
    assert "Someone else changed this trough meanwhile." in answer.content.decode()
    assert 'value="60"' in answer.content.decode()
    newer = answer.context["form"]["version"].value()
    again = organizer_client.post(page(trough, "scald-keep"), second | {"version": newer})
    assert again.status_code == 302
    trough.refresh_from_db()
    assert trough.tap_c == pytest.approx(15.56, abs=0.01)


def test_a_station_without_a_trough_gets_one(lead_client: Client, workshop: Workshop) -> None:
    """The choice of stations, a page with usual numbers, and a row once it is kept."""
    station = make_station(workshop, name="Yard")
    make_hog(workshop)
    assert "Yard" in lead_client.get(reverse("scald", args=[workshop.slug])).content.decode()
    address = [workshop.slug, station.letter]
    form = lead_client.get(reverse("scald-plan", args=address)).context["form"]
    sent = typed(form.instance)
    assert lead_client.post(reverse("scald-keep", args=address), sent).status_code == 302
    assert Trough.objects.get().station == station
    # Sent twice, as from an impatient phone: told, not doubled.
    assert lead_client.post(reverse("scald-keep", args=address), sent).status_code == 422
    assert Trough.objects.count() == 1


@pytest.mark.parametrize("method", ScaldMethod.values)
def test_every_method_has_its_plan(lead_client: Client, trough: Trough, method: str) -> None:
    """An open trough, a tipped barrel (23 by 34 in) and poured water."""
    trough.station.workshop.animals.filter(live_kg__gt=100).delete()
    sizes = {"width_m": "23", "length_m": "34", "water_kg": ""} if method == "tipped_barrel" else {}
    answer = lead_client.get(page(trough), typed(trough, method=method, **sizes))
    assert answer.status_code == 200, answer.context["form"].errors
    text = answer.content.decode()
    assert ("Pour at" if method == "pour_over" else "Heat from cold") in text


def test_another_workshops_trough_is_not_found(organizer_client: Client, trough: Trough) -> None:
    """A letter is looked up in its own workshop alone."""
    elsewhere = make_workshop()
    url = reverse("scald-plan", args=[elsewhere.slug, trough.station.letter])
    assert organizer_client.get(url).status_code == 404


def test_the_page_costs_the_same_queries_for_one_hog_and_for_six(
    lead_client: Client, workshop: Workshop
) -> None:
    """Hogs are read once."""
    trough = make_trough(make_station(workshop, name="Trough"), water_kg=230.0)
    counts = []
    for hogs in (1, 5):
        for _ in range(hogs):
            make_hog(workshop)
        with CaptureQueriesContext(connection) as caught:
            lead_client.get(page(trough))
        counts.append(len(caught))
    assert counts[0] == counts[1]


# --- at home ----------------------------------------------------------------------------------


@pytest.fixture
def home(attendee: Enrolment) -> Callable[..., Any]:
    """The attendee's page at home, with some fields typed."""
    url = reverse("scald-at-home", args=[attendee.link.word])

    def get(**changed: Any) -> Any:
        form = Client().get(url).context["form"]
        shown = {
            name: field.prepare_value(form[name].value())
            for name, field in form.fields.items()
            if form[name].value() not in (None, False)
        }
        return Client().get(url, shown | changed)

    return get


def test_an_attendee_works_out_their_own_yard_and_nothing_is_kept(
    home: Callable[..., Any],
) -> None:
    """Own hog and fire; with the cautions, and no word about the course's hogs."""
    answer = home(live_kg="200", fuel="wood", fire_w="400000", fire_efficiency="12")
    text = answer.content.decode()
    assert answer.status_code == 200
    for words in ("of wood", "200 lb", "outdoors only", "local law", "serious burn in"):
        assert words in text
    assert not Trough.objects.exists()
    assert answer["Cache-Control"] == "private, no-cache"
    assert answer["Referrer-Policy"] == "no-referrer"


def test_a_higher_farm_boils_cooler(home: Callable[..., Any]) -> None:
    """At 5,000 ft water boils at 203 degF (US Standard Atmosphere 1976 with IF97)."""
    assert "at 203 °F here" in home(altitude_m="5000").content.decode()


def test_what_cannot_be_is_refused_at_home_too(home: Callable[..., Any]) -> None:
    """A hog too long for the tub."""
    answer = home(length_m="24")
    assert answer.status_code == 422
    assert "Hog length is" in answer.content.decode()


def test_a_revoked_link_opens_nothing(attendee: Enrolment) -> None:
    """As for the card."""
    word = attendee.link.word
    make_link()
    attendee.link.renew()
    assert Client().get(reverse("scald-at-home", args=[word])).status_code == 404
