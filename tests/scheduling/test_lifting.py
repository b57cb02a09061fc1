"""Crews placed by load, the drawing of who stands where, and the lead's override."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.db import IntegrityError, connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from scheduling import gathering, lifting, overriding, posting, sheets
from scheduling.drawing import draw
from scheduling.lifting import Lift
from scheduling.models import Override, Placement, RunSheet, Step
from scheduling.planner import rotation
from scheduling.planner.check_rotation import check_rotation
from scheduling.planner.problem import RotationProblem
from stations.models import Duty
from tests.build import (
    NOW,
    make_chain_duty,
    make_duty,
    make_enrolment,
    make_handling,
    make_hog,
    make_placement,
    make_run_sheet,
    make_staff,
    make_stage,
    make_station,
    make_step,
    make_trough,
)
from tests.cast import client_of
from workshops.models import Animal, Enrolment, StaffRole, User, Workshop

pytestmark = pytest.mark.django_db
PLACES = ["fore-left", "fore-right", "hind-left", "hind-right"]
LIFTS = {"Ada": 45, "Bo": 45, "Cy": 35, "Di": None}


@pytest.fixture
def step(workshop: Workshop) -> Step:
    """A scald of a hog of 120 kg with an empty chain crew, at a trough with a ramp."""
    station = make_station(workshop, name="Trough")
    make_trough(station)
    make_handling(station)
    chains = make_chain_duty(station)
    calls = make_duty(station, name="Caller", filled_by="staff", calls=True)
    stage = make_stage(station, duties=[chains, calls], name="Scald")
    sheet = make_run_sheet(workshop.days.all()[0])
    return make_step(sheet, stage, animal=make_hog(workshop, tag="7", live_kg=120))


def hog_of(step: Step) -> Animal:
    assert step.animal is not None
    return step.animal


def seat_of(placement: Placement) -> Enrolment:
    assert placement.enrolment is not None
    return placement.enrolment


def chains_of(step: Step) -> Duty:
    return step.stage.duties.get(name="Chain")


def manned(step: Step) -> dict[str, Placement]:
    """Ada, Bo, Cy and Di (who gave no lift) at the places in that order; Maren calls."""
    workshop = step.run_sheet.day.workshop
    lead = make_staff(workshop, StaffRole.LEAD, name="Maren Lead")
    make_placement(step, step.stage.duties.get(name="Caller"), staff=lead)
    return {
        name: make_placement(
            step,
            chains_of(step),
            enrolment=make_enrolment(workshop, given_name=name, lift_kg=kg, height_cm=170),
            place=place,
        )
        for place, (name, kg) in zip(PLACES, LIFTS.items(), strict=True)
    }


def no_ramp(step: Step) -> None:
    step.station.handling.ramp_deg = None
    step.station.handling.save()


def loaded(step: Step) -> RunSheet:
    return RunSheet.objects.with_steps().get(pk=step.run_sheet_id)


def lift_of(step: Step) -> Lift:
    found = lifting.lifts_of(loaded(step)).of(step)
    assert found is not None
    return found


def problem_of(step: Step) -> RotationProblem:
    return gathering.rotation_problem(gathering.gather(step.run_sheet.day.workshop), [loaded(step)])


# --- by load --------------------------------------------------------------------------------


def test_the_rotation_gets_each_places_load_heights_and_pairs(step: Step) -> None:
    """Over the ramp a fore hand pulls 5.1 kg, a hind hand 4.0; left is paired with right."""
    manned(step)
    problem = problem_of(step)
    (timed,) = problem.steps
    loads = {load.place: load.kg for load in timed.place_loads}
    assert loads == {"fore-left": 5.1, "fore-right": 5.1, "hind-left": 4.0, "hind-right": 4.0}
    chain = next(duty for duty in problem.duties if duty.places)
    assert chain.across == (("fore-left", "fore-right"), ("hind-left", "hind-right"))
    assert all(person.height_cm == 170 for person in problem.people if person.id[0] == "a")


def test_a_blank_lift_is_planned_with_the_published_starting_value(step: Step) -> None:
    """16 kg. Source: HSE lifting and lowering risk filter, knuckle to elbow, close."""
    seat = make_enrolment(step.run_sheet.day.workshop, lift_kg=None)
    people = {person.id: person for person in problem_of(step).people}
    assert people[f"a{seat.pk}"].lift_kg == 16


def test_the_strong_are_put_in_front(step: Step) -> None:
    """40 kg of hog by hand, 14.8 each in front: the two who lift 15 cannot be behind the strong."""
    no_ramp(step)
    hog_of(step).live_kg = 55
    hog_of(step).save()
    workshop = step.run_sheet.day.workshop
    make_staff(workshop, StaffRole.LEAD, name="Maren")
    for name, kg in (("Ada", 15), ("Bo", 40), ("Cy", 15), ("Di", 40)):
        make_enrolment(workshop, given_name=name, lift_kg=kg)
    problem = problem_of(step)
    answer = rotation.solve(problem, seconds=4)
    assert not check_rotation(problem, answer.placed)
    names = {person.id: person.name for person in problem.people}
    front = {names[one.person] for one in answer.placed if one.place.startswith("fore")}
    assert front == {"Bo", "Di"}


def test_where_nobody_may_hold_the_load_the_rule_is_named(step: Step) -> None:
    """No ramp, no hoist, a hog of 120 kg: no crew, and the refusal says which rule."""
    no_ramp(step)
    workshop = step.run_sheet.day.workshop
    make_staff(workshop, StaffRole.LEAD, name="Maren")
    for _ in range(5):
        make_enrolment(workshop, lift_kg=20)
    answer = rotation.solve(problem_of(step), seconds=4)
    assert not [one for one in answer.placed if one.place]
    assert any("load" in refusal.sentence() for refusal in answer.refusals)


def test_a_station_without_settings_is_said_to_be_unknown(
    step: Step, workshop: Workshop, lead: User
) -> None:
    """No load is worked out, and the morning says so and where to write it down."""
    manned(step)
    step.station.handling.delete()
    assert problem_of(step).steps[0].place_loads == ()
    text = client_of(lead).get(reverse("morning", args=[workshop.slug, 1])).content.decode()
    assert "no load is worked out" in text
    assert reverse("equipment", args=[workshop.slug]) in text


# --- what is shown --------------------------------------------------------------------------


def test_the_drawing_names_the_four_their_loads_the_caller_the_count_and_the_aid(
    step: Step,
) -> None:
    """11 lb in front and 9 behind; one voice; out over the ramp."""
    manned(step)
    drawing = draw(lift_of(step))
    assert drawing is not None
    assert [spot.sentence for spot in drawing.spots] == [
        "fore-left: Ada, 11 lb",
        "fore-right: Bo, 11 lb",
        "hind-left: Cy, 9 lb",
        "hind-right: Di, 9 lb",
    ]
    assert drawing.caller == "Maren Lead"
    assert drawing.counts[0] == "One, two, lower"
    assert "over the ramp at 14°, rolled in the chains" in drawing.aids


def test_a_place_nobody_has_is_left_open_in_the_drawing(step: Step) -> None:
    """A line to write on, and in words."""
    drawing = draw(lift_of(step))
    assert drawing is not None
    assert drawing.spots[0].sentence == "fore-left: nobody yet, 11 lb"
    assert drawing.caller == ""


def test_the_morning_draws_it_and_says_whose_lift_was_assumed(
    step: Step, workshop: Workshop, lead: User
) -> None:
    """Di gave none: 33 lb of pull is assumed, published. Source: HSE INDG143."""
    manned(step)
    text = client_of(lead).get(reverse("morning", args=[workshop.slug, 1])).content.decode()
    assert "<svg" in text
    assert "Hog 7 at the trough, seen from above" in text
    assert "fore-left: Ada, 11 lb" in text
    assert "Di (hind-right) gave no comfortable lift: 33 lb is assumed" in text


def test_the_run_sheet_says_that_a_dead_lift_fails_and_what_is_planned(
    step: Step, workshop: Workshop, lead: User, helper: User
) -> None:
    """306 lb of pull in slanting chains against 57 for four who gave no lift; nobody is named."""
    manned(step)
    url = reverse("run-sheet", args=[workshop.slug, 1])
    text = client_of(lead).get(url).content.decode()
    assert "Out of the water: over the ramp at 14°, rolled in the chains." in text
    assert "Straight by hand it needs an aid: load on a team of 4 is 305 lb against 57 lb." in text
    no_ramp(step)
    text = client_of(lead).get(url).content.decode()
    assert "Out of the water: nothing here brings it within the screens." in text
    assert "Use a ramp at 23 degrees." in text


def test_the_station_card_draws_each_hog_and_tells_nobodys_figure(step: Step) -> None:
    """Loads and names are on the wall; what someone gave as their lift is not."""
    manned(step)
    no_ramp(step)
    (card,) = sheets.pack(loaded(step), number=1, root="http://192.0.2.7").cards
    assert [drawing.hog for drawing in card.drawings] == ["Hog 7"]
    said = " ".join(note.text for note in card.lift_warnings)
    assert "Hog 7. Into the water: nothing here brings it within the screens." in said
    assert "gave" not in said


# --- the override ---------------------------------------------------------------------------


def ask_url(workshop: Workshop, placement: Placement, seat: Enrolment | None = None) -> str:
    seat = seat or seat_of(placement)
    return reverse("override-placement", args=[workshop.slug, 1, placement.pk, seat.pk])


def test_a_lock_beyond_someones_screen_is_asked_for_never_silent(
    step: Step, workshop: Workshop, lead: User
) -> None:
    """By hand Cy would bear 30.5 kg behind, gave 35; Bo in front 38.8, gave 45; Di gave none."""
    crew = manned(step)
    no_ramp(step)
    client = client_of(lead)
    for name, asked in (("Bo", False), ("Cy", False), ("Di", True)):
        answer = client.post(reverse("lock-placement", args=[workshop.slug, 1, crew[name].pk]))
        crew[name].refresh_from_db()
        assert crew[name].locked is not asked
        assert (answer["Location"] == ask_url(workshop, crew[name])) is asked
    page = client.get(ask_url(workshop, crew["Di"])).content.decode()
    assert "Di at hind-right would bear 67 lb (into the water); the starting value assumed" in page
    assert "I have looked; place them anyway" in page


def test_the_override_is_kept_with_who_when_which_and_why(
    step: Step, workshop: Workshop, lead: User
) -> None:
    """The lock is set, the row is written, the morning and the card tell it."""
    di = manned(step)["Di"]
    no_ramp(step)
    client, typed = client_of(lead), {"reason": "Rows daily.", "client_id": str(uuid4())}
    client.post(ask_url(workshop, di), typed)
    di.refresh_from_db()
    row = Override.objects.get()
    assert di.locked
    assert (row.made_by, row.animal, row.place, row.reason) == (
        lead, step.animal, "hind-right", "Rows daily.",
    )  # fmt: skip
    assert (round(row.load_kg, 1), row.limit_kg, row.limit_assumed) == (30.5, 13, True)
    morning = client.get(reverse("morning", args=[workshop.slug, 1])).content.decode()
    assert "Rows daily." in morning
    (card,) = sheets.pack(loaded(step), number=1, root="http://192.0.2.7").cards
    (told,) = card.drawings[0].overrides
    assert told.startswith("Lead's override: Di at hind-right holds 67 lb, past their own figure;")
    assert "Rows daily" not in told


def test_without_a_reason_nothing_is_placed(step: Step, workshop: Workshop, lead: User) -> None:
    """The page comes back, and says that a reason is needed."""
    di = manned(step)["Di"]
    no_ramp(step)
    answer = client_of(lead).post(
        ask_url(workshop, di), {"reason": "  ", "client_id": str(uuid4())}
    )
    assert answer.status_code == 422
    assert "Say why, in a few words" in answer.content.decode()
    assert not Override.objects.exists()
    di.refresh_from_db()
    assert not di.locked


def test_the_same_page_sent_twice_is_one_override(
    step: Step, workshop: Workshop, lead: User
) -> None:
    """A bad line repeats a post; the second changes nothing and answers alike."""
    di = manned(step)["Di"]
    no_ramp(step)
    asked = overriding.question(di, seat_of(di))
    assert asked is not None
    answer = overriding.Answer(reason="Rows.", client_id=uuid4())
    for _ in range(2):
        overriding.place_anyway(di.step.run_sheet, asked, answer, by=lead, now=NOW)
    assert Override.objects.count() == 1


def test_giving_a_place_beyond_someones_screen_is_asked_for_too(
    step: Step, workshop: Workshop, lead: User
) -> None:
    """Ed lifts 12: asked, then put there, locked, and Ada's place is his."""
    ada = manned(step)["Ada"]
    no_ramp(step)
    ed = make_enrolment(workshop, given_name="Ed", lift_kg=12)
    client = client_of(lead)
    answer = client.post(
        reverse("give-placement", args=[workshop.slug, 1, ada.pk]), {"seat": ed.pk}
    )
    assert answer["Location"] == ask_url(workshop, ada, ed)
    assert Placement.objects.get(pk=ada.pk).enrolment == ada.enrolment
    client.post(answer["Location"], {"reason": "Tractor is near.", "client_id": str(uuid4())})
    moved = Placement.objects.get(pk=ada.pk)
    assert (moved.enrolment, moved.locked) == (ed, True)


def test_only_an_override_lets_a_crew_past_its_screens_be_posted(step: Step, lead: User) -> None:
    """Di at 30.5 kg breaks the rule; overridden, the draft is sound; a heavier hog asks again."""
    di = manned(step)["Di"]
    no_ramp(step)
    found = posting.breaches(gathering.gather(step.run_sheet.day.workshop), loaded(step))
    assert len(found) == 1
    assert "Di" in found[0]
    asked = overriding.question(di, seat_of(di))
    assert asked is not None
    answer = overriding.Answer(reason="Rows.", client_id=uuid4())
    overriding.place_anyway(di.step.run_sheet, asked, answer, by=lead, now=NOW)
    assert posting.breaches(gathering.gather(step.run_sheet.day.workshop), loaded(step)) == []
    assert overriding.question(di, seat_of(di)) is None
    hog_of(step).live_kg = 130
    hog_of(step).save()
    again = Placement.objects.select_related("step__animal", "step__run_sheet__day").get(pk=di.pk)
    assert overriding.question(again, seat_of(di)) is not None
    assert posting.breaches(gathering.gather(step.run_sheet.day.workshop), loaded(step)) != []


def test_an_override_needs_a_reason_and_a_load_above_the_limit(step: Step) -> None:
    """The database holds it, whoever writes."""
    with pytest.raises(IntegrityError, match="override_is_beyond_a_limit"):
        Override.objects.create(
            day=step.run_sheet.day,
            step_code=step.code,
            animal=hog_of(step),
            duty=chains_of(step),
            place="fore-left",
            enrolment=make_enrolment(step.run_sheet.day.workshop),
            load_kg=10,
            limit_kg=20,
            reason="None needed.",
            made_at=NOW,
        )


def test_helpers_strangers_and_nobody_may_not_override(
    step: Step, workshop: Workshop, helper: User, stranger: User
) -> None:
    """403, 404, and the way to sign in."""
    di = manned(step)["Di"]
    for who, status in ((helper, 403), (stranger, 404), (None, 302)):
        assert client_of(who).get(ask_url(workshop, di)).status_code == status


@pytest.mark.parametrize("name", ["morning", "run-sheet"])
def test_lifts_cost_the_same_however_many_hogs(
    step: Step, workshop: Workshop, lead: User, name: str
) -> None:
    """Two sizes, one number of queries."""
    manned(step)
    client, url = client_of(lead), reverse(name, args=[workshop.slug, 1])

    def cost() -> int:
        with CaptureQueriesContext(connection) as queries:
            assert client.get(url).status_code == 200
        return len(queries)

    few = cost()
    for tag in ("8", "9", "10"):
        more = make_step(step.run_sheet, step.stage, animal=make_hog(workshop, tag=tag))
        for row in step.placements.filter(duty=chains_of(step)):
            make_placement(more, row.duty, enrolment=row.enrolment, place=row.place)
    assert cost() == few
