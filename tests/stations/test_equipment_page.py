"""The equipment page: does it hold the heaviest hog, how many are there, how long the rest."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from stations import equipping
from stations.equipping import Count
from stations.models import Equipment, HandlingSetup, Station
from tests.build import (
    make_chain_duty,
    make_duty,
    make_equipment,
    make_handling,
    make_hog,
    make_stage,
    make_station,
    make_trough,
)
from tests.cast import client_of
from workshops.models import User, Workshop

pytestmark = pytest.mark.django_db


def url(workshop: Workshop, name: str = "equipment", *more: int) -> str:
    return reverse(name, args=[workshop.slug, *more])


def words(user: User, workshop: Workshop) -> str:
    return client_of(user).get(url(workshop)).content.decode()


def trough(workshop: Workshop, **fields: object) -> Station:
    station = make_station(workshop, name="Trough")
    make_trough(station)
    make_chain_duty(station)
    make_handling(station, **fields)
    return station


def test_the_chain_is_put_against_the_heaviest_hog(workshop: Workshop, lead: User) -> None:
    """140 kg on two ends of grade 43, 3/8 in, at 60 degrees: 4244 kg. Source: 49 CFR 393.108."""
    trough(workshop)
    make_hog(workshop, live_kg=90)
    make_hog(workshop, live_kg=140)
    text = words(lead, workshop)
    assert "the heaviest at 309 lb" in text
    assert "load on the chain is 309 lb against 9355 lb." in text
    assert "49 CFR 393.108" in text
    assert "Grade 43 is not rated for overhead lifting." in text
    assert "At 60° each of 2 chain ends pulls 178 lb" in text


def test_an_unmarked_chain_counts_as_the_lowest_grade(workshop: Workshop, lead: User) -> None:
    """Grade 30, 3/8 in: 1200 kg straight, 2078 on two ends at 60 degrees."""
    trough(workshop, chain_mark="none")
    make_hog(workshop)
    text = words(lead, workshop)
    assert "No grade is stamped: it counts as grade 30, the lowest." in text
    assert "against 4582 lb." in text


def test_a_scald_chain_never_hangs_a_hog(workshop: Workshop, lead: User) -> None:
    """Grade 43 overhead: needs an aid, and says which chain would do."""
    station = make_station(workshop, name="Rail")
    make_duty(station, heavy=True)
    make_handling(station, work="hang", hoisting="hoist", hoist_rated_kg=500)
    make_hog(workshop)
    text = words(lead, workshop)
    assert (
        "Needs an aid: load overhead on grade 43 chain is 265 lb. Use tagged alloy chain." in text
    )
    assert "load on the hoist is 265 lb against 1102 lb." in text
    assert "Find the rating before anything hangs from it." in text
    assert "Nobody under a hung carcass" in text


def test_a_hoist_rated_too_low_is_named(workshop: Workshop, lead: User) -> None:
    """100 kg for a hog of 120."""
    station = make_station(workshop, name="Rail")
    make_handling(station, work="hang", hoisting="hoist", hoist_rated_kg=100)
    make_hog(workshop)
    text = words(lead, workshop)
    assert "Needs an aid: load on the hoist is 265 lb against 220 lb." in text


def test_what_is_missing_is_asked_for(workshop: Workshop, lead: User) -> None:
    """No thickness, nothing to hang with, nothing written down, no hog: each says what to do."""
    trough(workshop, chain_wire="", ramp_deg=None)
    rail = make_station(workshop, name="Rail")
    make_handling(rail, work="hang")
    make_duty(make_station(workshop, name="Yard"), heavy=True)
    assert "No hog is chosen yet" in words(lead, workshop)
    make_hog(workshop)
    text = words(lead, workshop)
    assert "Measure the wire of one link." in text
    assert "Nothing is written down to hang a hog with." in text
    assert "Nothing is written down here yet, so no load is worked out." in text
    assert "nothing here brings it within the screens" in text


def test_settings_are_typed_in_the_workshops_units(workshop: Workshop, lead: User) -> None:
    """1000 lb are 453.6 kg; 58 percent are 0.58; an empty ramp is no ramp."""
    station = trough(workshop)
    typed = {
        "work": "hang", "ramp_deg": "", "hoisting": "hoist", "tackle_parts": 4,
        "hoist_rated_kg": "1000", "anchor_rated_kg": "", "chain_wire": "1/4 in (7 mm)",
        "chain_mark": "80", "chain_legs": 1, "chain_angle_deg": 90, "held": "both_sides",
        "fore_share": 58, "submerged": "", "drag_mu": 0.5, "slope_deg": 0,
    }  # fmt: skip
    answer = client_of(lead).post(url(workshop, "handling", station.pk), typed)
    assert answer.status_code == 302
    row = HandlingSetup.objects.get()
    assert (row.hoist_rated_kg, row.ramp_deg, row.submerged) == (453.6, None, None)
    assert row.fore_share == pytest.approx(0.58)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"chain_legs": 1, "chain_angle_deg": 60}, "A single chain end hangs straight"),
        ({"chain_wire": "7/16 in (11 mm)", "chain_mark": "80"}, "No working load is printed"),
        ({"ramp_deg": 75}, "less than or equal to 60"),
        ({"fore_share": 95}, "95 % is out of range; write a number from 30 % to 80 %."),
        ({"hoist_rated_kg": "3"}, "3 lb is out of range"),
    ],
)
def test_settings_that_make_no_sense_are_refused_and_kept(
    workshop: Workshop, lead: User, wrong: dict[str, object], said: str
) -> None:
    """The sentence says what would satisfy it; what was typed stays; the row is as before."""
    station = trough(workshop)
    typed = {
        "work": "chains", "ramp_deg": "21", "hoisting": "none", "tackle_parts": 4,
        "chain_wire": "3/8 in (10 mm)", "chain_mark": "43", "chain_legs": 2,
        "chain_angle_deg": 60, "held": "both_sides", "fore_share": 56, "drag_mu": 0.5,
        "slope_deg": 0,
    } | wrong  # fmt: skip
    answer = client_of(lead).post(url(workshop, "handling", station.pk), typed)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    if "ramp_deg" not in wrong:
        assert 'value="21"' in answer.content.decode()
    assert HandlingSetup.objects.get().ramp_deg == 14


def test_counts_are_written_all_or_none(workshop: Workshop, lead: User) -> None:
    """Someone else changed one meanwhile: nothing is written, and it says which."""
    first, second = make_equipment(workshop), make_equipment(workshop)
    Equipment.objects.filter(pk=second.pk).update(count=9)
    lost = equipping.write_counts({first: Count(was=2, now=5), second: Count(was=2, now=3)})
    assert lost == [second]
    first.refresh_from_db()
    assert first.count == 2
    typed = {f"count{t.pk}": 7 for t in (first, second)} | {
        f"was{t.pk}": 2 for t in (first, second)
    }
    answer = client_of(lead).post(url(workshop, "keep-counts"), typed)
    assert answer.status_code == 422
    assert "Someone else changed this count meanwhile." in answer.content.decode()
    typed[f"was{second.pk}"] = 9
    assert client_of(lead).post(url(workshop, "keep-counts"), typed).status_code == 302
    assert list(Equipment.objects.values_list("count", flat=True)) == [7, 7]


def test_a_count_that_is_no_count_is_refused(workshop: Workshop, lead: User) -> None:
    """Below nothing."""
    thing = make_equipment(workshop)
    typed = {f"count{thing.pk}": -1, f"was{thing.pk}": 2}
    answer = client_of(lead).post(url(workshop, "keep-counts"), typed)
    assert answer.status_code == 422
    assert Equipment.objects.get().count == 2


def test_the_rest_is_offered_with_its_source_and_kept(workshop: Workshop, lead: User) -> None:
    """40 minutes on a heavy duty offer 48: 1.2 times. Source: DHHS (NIOSH) 94-110, from memory."""
    duty = make_duty(make_station(workshop), heavy=True)
    make_stage(duty.station, duties=[duty], minutes=40, name="Haul")
    text = words(lead, workshop)
    assert "48 min is offered" in text
    assert "from memory" in text
    client_of(lead).post(url(workshop, "keep-rest"), {"minutes": 48})
    workshop.refresh_from_db()
    assert workshop.rest_after_heavy_min == 48
    assert client_of(lead).post(url(workshop, "keep-rest"), {"minutes": -3}).status_code == 422


def test_a_helper_reads_and_changes_nothing(workshop: Workshop, helper: User) -> None:
    """The page opens without boxes; each act is refused."""
    station = trough(workshop)
    thing = make_equipment(workshop)
    text = words(helper, workshop)
    assert thing.name in text
    assert "Save the counts" not in text
    for name, more in (("keep-counts", ()), ("keep-rest", ()), ("handling", (station.pk,))):
        assert client_of(helper).post(url(workshop, name, *more)).status_code == 403


def test_strangers_and_nobody_see_nothing(workshop: Workshop, stranger: User) -> None:
    """A lead of another course gets 404; nobody is asked to sign in."""
    station = trough(workshop)
    for name, more in (("equipment", ()), ("handling", (station.pk,))):
        assert client_of(stranger).get(url(workshop, name, *more)).status_code == 404
        assert client_of(None).get(url(workshop, name, *more)).status_code == 302


def test_the_page_costs_the_same_however_much_there_is(workshop: Workshop, lead: User) -> None:
    """Two sizes, one number of queries."""
    client = client_of(lead)

    def cost() -> int:
        with CaptureQueriesContext(connection) as queries:
            assert client.get(url(workshop)).status_code == 200
        return len(queries)

    station = trough(workshop)
    make_stage(station, duties=station.duties.all())
    make_hog(workshop)
    make_equipment(workshop)
    few = cost()
    for _ in range(4):
        station = make_station(workshop)
        make_stage(station, duties=[make_duty(station, heavy=True)])
        make_handling(station, work="hang")
        make_hog(workshop)
        make_equipment(workshop, station=station)
    assert cost() == few
