"""Rows to planner problems and back: minutes, people, pools, locks, what is practised."""

from __future__ import annotations

from datetime import date, time

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from scheduling import gathering
from scheduling.models import RunSheet, SheetStatus, Turnout
from scheduling.planner.problem import Limit as PlannerLimit
from scheduling.planner.problem import Window
from stations.models import Subject
from tests.build import (
    make_attendance,
    make_break,
    make_chain_duty,
    make_duty,
    make_enrolment,
    make_gap,
    make_hog,
    make_placement,
    make_run_sheet,
    make_staff,
    make_stage,
    make_station,
    make_step,
    make_workshop,
)
from workshops.models import AnimalStatus, Limit, Workshop

pytestmark = pytest.mark.django_db


def loaded(sheet: RunSheet) -> RunSheet:
    return RunSheet.objects.with_steps().get(pk=sheet.pk)


def test_minutes_count_from_midnight_at_the_farm() -> None:
    """08:30 on the second day is 24 h and 8.5 h after the origin, in the farm's time."""
    workshop = make_workshop(days=2)
    method = gathering.gather(workshop)
    second = method.days[1].at(time(8, 30))
    assert method.clock.minute(second) == 24 * 60 + 510
    assert method.clock.moment(24 * 60 + 510) == second


def test_a_change_of_the_clocks_does_not_shift_the_hours_people_work() -> None:
    """On the spring Sunday in this zone an hour is missing: 08:00 is 7 real hours from midnight.

    Source: IANA time zone database, America/Denver, 2030-03-10 02:00.
    """
    workshop = make_workshop(days=1, first_day=date(2030, 3, 10))
    method = gathering.gather(workshop)
    assert method.clock.minute(method.days[0].at(time(8))) == 7 * 60


def test_each_hog_passes_each_of_its_stages_in_the_order_of_the_kill() -> None:
    """Two hogs and two stages make four steps, two gaps, and one order; held back ones stay out."""
    workshop = make_workshop()
    kill, scald = (make_stage(make_station(workshop)) for _ in range(2))
    make_gap(kill, scald, most_min=10)
    first, second = make_hog(workshop), make_hog(workshop)
    make_hog(workshop, status=AnimalStatus.HELD_BACK)
    problem = gathering.timetable_problem(gathering.gather(workshop))
    assert {step.id for step in problem.steps} == {
        f"hog{hog.pk}:{stage.key}" for hog in (first, second) for stage in (kill, scald)
    }
    assert {(gap.before, gap.after, gap.most_min) for gap in problem.gaps} == {
        (f"hog{first.pk}:{kill.key}", f"hog{first.pk}:{scald.key}", 10),
        (f"hog{second.pk}:{kill.key}", f"hog{second.pk}:{scald.key}", 10),
        (f"hog{first.pk}:{kill.key}", f"hog{second.pk}:{kill.key}", None),
    }


def test_a_job_done_once_waits_for_every_hog() -> None:
    """A gap from each hog to a single job binds it to all of them."""
    workshop = make_workshop()
    scrape = make_stage(make_station(workshop))
    clean = make_stage(make_station(workshop), subject=Subject.ONCE)
    make_gap(scrape, clean)
    hogs = [make_hog(workshop), make_hog(workshop)]
    problem = gathering.timetable_problem(gathering.gather(workshop))
    assert {gap.before for gap in problem.gaps if gap.after == f"once:{clean.key}"} == {
        f"hog{hog.pk}:{scrape.key}" for hog in hogs
    }


def test_a_step_keeps_to_its_day_and_its_own_hours() -> None:
    """Not before ten, done by noon, on the second day."""
    workshop = make_workshop()
    make_stage(
        make_station(workshop),
        subject=Subject.ONCE,
        day_number=2,
        not_before=time(10),
        done_by=time(12),
    )
    (step,) = gathering.timetable_problem(gathering.gather(workshop)).steps
    assert step.windows == (Window(start=1440 + 600, end=1440 + 720),)


def test_breaks_are_the_planner_s_breaks() -> None:
    """Half an hour at noon."""
    workshop = make_workshop()
    make_break(workshop.days.all()[0])
    problem = gathering.timetable_problem(gathering.gather(workshop))
    assert problem.breaks == (Window(start=720, end=750),)


def test_the_chain_asks_for_four_of_those_who_may_lift_and_holds_them_through_their_rest() -> None:
    """Six people, one of whom may not lift: the pool of five is asked for four, rest included."""
    workshop = make_workshop(rest_after_heavy_min=40)
    chain = make_chain_duty(make_station(workshop))
    make_stage(chain.station, duties=[chain], subject=Subject.ONCE)
    for _ in range(5):
        make_enrolment(workshop)
    make_enrolment(workshop, limits=[Limit.NO_LIFTING])
    problem = gathering.timetable_problem(gathering.gather(workshop))
    pools = {pool.id: pool for pool in problem.pools}
    heavy = [need for need in problem.steps[0].needs if need.rest_min]
    assert (4, 40, 5) in {(need.amount, need.rest_min, pools[need.pool].capacity) for need in heavy}


def test_someone_away_today_is_not_placed_and_what_hurts_today_binds_today() -> None:
    """Away: no window. A sore back: a limit on that day's placing, not on the next day's."""
    workshop = make_workshop()
    day, tomorrow = workshop.days.all()[:2]
    away, sore = make_enrolment(workshop), make_enrolment(workshop)
    make_attendance(day, away, Turnout.AWAY)
    make_attendance(day, sore, limits=[Limit.NO_LIFTING])
    method = gathering.gather(workshop)
    today = {person.id: person for person in gathering.people(method, [method.days[0]])}
    assert today[f"a{away.pk}"].present == ()
    assert today[f"a{sore.pk}"].limits == {PlannerLimit.NO_LIFTING}
    later = {person.id: person for person in gathering.people(method, [method.days[1]])}
    assert later[f"a{away.pk}"].present
    assert later[f"a{sore.pk}"].limits == frozenset()
    assert tomorrow.pk == method.days[1].pk


def test_who_arrives_on_day_two_is_here_from_then() -> None:
    """Presence begins at the arrival."""
    workshop = make_workshop()
    second = workshop.days.all()[1]
    late = make_enrolment(workshop, arrives_at=second.at(time(9, 30)))
    method = gathering.gather(workshop)
    (person,) = (one for one in gathering.people(method, method.days) if one.id == f"a{late.pk}")
    assert person.present[0] == Window(start=1440 + 570, end=2880)


def test_locks_posted_places_and_practice_reach_the_rotation() -> None:
    """A locked row is a lock, the posted row is what was told, another day's row is practice."""
    workshop = make_workshop()
    day, other = workshop.days.all()[:2]
    duty = make_duty(make_station(workshop))
    stage = make_stage(duty.station, duties=[duty])
    seat = make_enrolment(workshop)
    sheets = [
        make_run_sheet(day, SheetStatus.POSTED),
        make_run_sheet(other, SheetStatus.POSTED),
        make_run_sheet(day),
    ]
    for sheet in sheets:
        row = make_placement(make_step(sheet, stage), duty, enrolment=seat)
    row.locked = True
    row.save()
    posted, elsewhere, draft = map(loaded, sheets)
    problem = gathering.rotation_problem(
        gathering.gather(workshop), [draft], posted=[posted], elsewhere=[elsewhere]
    )
    assert [lock.person for lock in problem.locks] == [f"a{seat.pk}"]
    assert [told.person for told in problem.posted] == [f"a{seat.pk}"]
    assert problem.done == {(f"a{seat.pk}", str(duty.pk))}


def grown(people: int, hogs: int) -> Workshop:
    workshop = make_workshop()
    duty = make_duty(make_station(workshop))
    make_stage(duty.station, duties=[duty])
    make_staff(workshop)
    for _ in range(people):
        make_enrolment(workshop, limits=[Limit.NO_KNIVES])
    for _ in range(hogs):
        make_hog(workshop)
    return workshop


def test_gathering_costs_the_same_queries_whatever_the_numbers() -> None:
    """Two people or twelve, one hog or six."""
    counts = []
    for workshop in (grown(2, 1), grown(12, 6)):
        with CaptureQueriesContext(connection) as queries:
            gathering.timetable_problem(gathering.gather(workshop))
        counts.append(len(queries))
    assert counts[0] == counts[1]
