"""The timetable's rules beyond the plain ones: one tiny solved example each, and broken plans."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.planner.answer import Status
from scheduling.planner.check_timetable import check_timetable
from scheduling.planner.errors import BadProblem
from scheduling.planner.problem import (
    Away,
    Gap,
    Meal,
    Need,
    Pool,
    StationSpec,
    StepSpec,
    TimetableProblem,
    Window,
)
from scheduling.planner.timetable import TimetableAnswer, solve
from scheduling.planner.timetable_answer import (
    finish_minutes,
    meal_minutes,
    most_hands,
    waiting_minutes,
)
from scheduling.planner.timetable_refusals import smallest_clash
from scheduling.planner.timetable_rules import TimetableRule
from tests.planner.timetables import MORNING, make_problem, make_step, small_problems


def solved(problem: TimetableProblem) -> TimetableAnswer:
    answer = solve(problem)
    assert answer.status is Status.PROVED_BEST, [one.sentence() for one in answer.refusals]
    assert check_timetable(problem, answer.starts, answer.places) == ()
    return answer


def facts(problem: TimetableProblem) -> list[str]:
    answer = solve(problem)
    assert answer.status is Status.IMPOSSIBLE
    return [refusal.fact for refusal in answer.refusals]


# --- benches that stay full -----------------------------------------------------------------


def bench_and_hoist(*, keeps_place: bool) -> TimetableProblem:
    """Two hogs: scrape 10 min at a bench for one, hang 30 min at a hoist for one."""
    names = ("1", "2")
    return make_problem(
        *(make_step(f"scrape {name}", 10) for name in names),
        *(make_step(f"hang {name}", 30, station="hoist") for name in names),
        make_step("wash", 10),
        gaps=[
            *(
                Gap(before=f"scrape {name}", after=f"hang {name}", keeps_place=keeps_place)
                for name in names
            ),
            Gap(before="scrape 2", after="wash", carcass_waits=False),
            Gap(before="scrape 1", after="scrape 2", carcass_waits=False),
        ],
        stations=[StationSpec(id="bench", name="Bench"), StationSpec(id="hoist", name="Hoist")],
    )


def test_a_bench_stays_full_until_the_hoist_takes_the_carcass():
    # Hang 1 runs 490 to 520. Scrape 2 could end at 500, and then waits on the bench to 520, so the
    # bench is washed from 520; without blocking it would be free from 500 on.
    blocked = solved(bench_and_hoist(keeps_place=True))
    assert (blocked.starts["hang 2"], blocked.starts["wash"]) == (520, 520)
    # Free of it, hang 2 is still at 520, but the wash needs only the scrape's end.
    free = solved(bench_and_hoist(keeps_place=False))
    assert free.starts["wash"] == free.starts["scrape 2"] + 10


def test_a_full_bench_is_flagged():
    problem = bench_and_hoist(keeps_place=True)
    starts = {"scrape 1": 480, "scrape 2": 490, "hang 1": 490, "hang 2": 520, "wash": 510}
    assert check_timetable(problem, starts) == ("Bench has 2 steps at once; it holds 1.",)


# --- set-ups by pairs -----------------------------------------------------------------------


def test_the_order_at_a_trough_saves_heating():
    # Small before large needs 40 min, large before small 10, and the small before the middle one
    # 10: large, small, middle costs 10 + 10; every other order has a pair at the default of 60 or
    # the 40. Three of 30 min: 480 + 90 + 20 = 590.
    pairs = {("small", "large"): 40, ("large", "small"): 10, ("small", "middle"): 10}
    problem = make_problem(
        *(make_step(name) for name in ("small", "middle", "large")),
        stations=[StationSpec(id="bench", name="Trough", set_up_min=60, set_up_between=pairs)],
    )
    answer = solved(problem)
    assert answer.starts == {"large": 480, "small": 520, "middle": 560}
    assert answer.slack == {"large": 0, "small": 0, "middle": 0}
    assert (
        check_timetable(problem, {"small": 480, "large": 540, "middle": 640})
        == (
            "Trough has 30 min between Small and Large; it needs 40 min to set up.",
            "Middle starts at 640, outside its windows.",
        )[:1]
    )


def test_a_set_up_between_steps_waits_until_the_carcass_is_taken():
    # One ends at 510 but stays to 530, when the hang takes it; then 15 min: 545.
    problem = make_problem(
        make_step("one", pinned_start=480),
        make_step("two"),
        make_step("hang", station="hoist", pinned_start=530),
        gaps=[Gap(before="one", after="hang", keeps_place=True)],
        stations=[
            StationSpec(id="bench", name="Bench", set_up_between={("one", "two"): 15}),
        ],
    )
    assert solved(problem).starts["two"] == 545


# --- several stations to choose from --------------------------------------------------------


def two_troughs(**second: Any) -> tuple[StationSpec, ...]:
    first = StationSpec(id="trough 1", name="Trough 1", set_up_min=40)
    return (first, replace(first, id="trough 2", name="Trough 2", **second))


def scalds(count: int) -> list[StepSpec]:
    return [
        make_step(f"scald {number}", 20, station="trough 1", or_at=("trough 2",))
        for number in range(count)
    ]


def test_two_troughs_share_the_hogs():
    # Three of 20 min, 40 min of heating: two at 480, the third at 540 at either.
    answer = solved(make_problem(*scalds(3), stations=two_troughs()))
    assert sorted(answer.starts.values()) == [480, 480, 540]
    first, second, third = sorted(answer.starts, key=lambda step: (answer.starts[step], step))
    assert answer.places[first] != answer.places[second]
    assert set(answer.places.values()) == {"trough 1", "trough 2"}
    assert answer.slack[third] == 0


def test_two_troughs_of_different_heat_share_them_too():
    # The second heats in 5 min: three dips there end at 480 + 3 * 20 + 10 = 550; one at the
    # first and two at the second: 480 + 45 = 525.
    answer = solved(make_problem(*scalds(3), stations=two_troughs(set_up_min=5)))
    assert answer.finish == {0: 525}
    assert sorted(answer.places.values()) == ["trough 1", "trough 2", "trough 2"]


def test_a_trough_with_pairs_may_be_left_unused():
    # All set-ups at the first are 200 min: both hogs cannot be there, but one at each can.
    slow = StationSpec(
        id="trough 1",
        name="Trough 1",
        set_up_between={("scald 0", "scald 1"): 200, ("scald 1", "scald 0"): 200},
    )
    fast = StationSpec(id="trough 2", name="Trough 2", windows=(Window(start=480, end=500),))
    answer = solved(make_problem(*scalds(2), stations=[slow, fast]))
    assert sorted(answer.starts.values()) == [480, 480]
    assert sorted(answer.places.values()) == ["trough 1", "trough 2"]


def test_a_step_at_a_station_it_may_not_use_is_flagged():
    problem = make_problem(make_step("scald"), make_step("meal", station="table"))
    found = check_timetable(problem, {"scald": 480, "meal": 480}, {"scald": "table"})
    assert found == ("Scald is at 'table', where it may not be done.",)


def test_a_hog_keeps_to_one_track():
    # Two tracks of a trough and a bench. The bench of track A is only open from 600 on, so every
    # hog that wants to end early goes through B: 480 to 500, then 500 to 530; the second, in B as
    # well, from 500 and 530 to 560. In A it would end at 630. Were tracks free, a hog could be
    # scalded in A at 480 and scraped in B at 500 and 530: also 560, but the scald would be at 480.
    places = [
        StationSpec(id="trough A", name="Trough A", track="A"),
        StationSpec(id="trough B", name="Trough B", track="B"),
        StationSpec(id="bench A", name="Bench A", track="A", windows=(Window(start=600, end=720),)),
        StationSpec(id="bench B", name="Bench B", track="B"),
    ]
    hogs = ("hog 1", "hog 2")
    problem = make_problem(
        *(
            make_step(f"scald {hog}", 20, station="trough A", or_at=("trough B",), subject=hog)
            for hog in hogs
        ),
        *(
            make_step(f"scrape {hog}", 30, station="bench A", or_at=("bench B",), subject=hog)
            for hog in hogs
        ),
        gaps=[Gap(before=f"scald {hog}", after=f"scrape {hog}") for hog in hogs],
        stations=places,
    )
    answer = solved(problem)
    assert answer.finish == {0: 560}
    assert {answer.places[f"scald {hog}"] for hog in hogs} == {"trough B"}
    crossed = dict(answer.places) | {"scald hog 1": "trough A"}
    assert "hog 1 changes between tracks A and B." in check_timetable(
        problem, answer.starts, crossed
    )


# --- hours, absences, things held on --------------------------------------------------------


def test_a_station_is_used_in_daylight_only():
    # The bench can be used from 500 to 560: two of 30 min fit exactly.
    day = (Window(start=500, end=560),)
    yard = StationSpec(id="bench", name="Yard", windows=day)
    problem = make_problem(make_step("one"), make_step("two"), stations=[yard])
    assert sorted(solved(problem).starts.values()) == [500, 530]
    assert check_timetable(problem, {"one": 500, "two": 531}) == (
        "Two starts at 531, outside the hours of Yard.",
    )


def test_work_beyond_the_daylight_is_refused_in_words():
    day = (Window(start=500, end=560),)
    yard = StationSpec(id="bench", name="Yard", windows=day)
    three = make_problem(*(make_step(name) for name in ("one", "two", "three")), stations=[yard])
    assert facts(three) == [
        "Yard can be used day 1, 08:20 to 09:20.",
        "Yard holds one step at a time.",
    ]
    (alone,) = facts(make_problem(make_step("one", 90), stations=[yard]))
    assert alone == (
        "One (90 min) finds no time in its own hours, day 1, 08:00 to 12:00, and those of its "
        "station: Yard day 1, 08:20 to 09:20."
    )


def test_hands_that_are_away_are_not_there():
    # Three hands, two away from 480 to 500 (an appointment): a step that needs two waits to 500.
    pool = Pool(
        id="hands",
        name="hands",
        capacity=3,
        away=(Away(window=Window(start=480, end=500), amount=2),),
    )
    problem = make_problem(make_step("lift", needs=(Need(pool="hands", amount=2),)), pools=[pool])
    assert solved(problem).starts == {"lift": 500}
    assert check_timetable(problem, {"lift": 490}) == (
        "hands: 4 are held or resting at once; there are 3.",
    )


def test_slack_stops_where_hands_go_away():
    # lift (30) may slip until the hands leave at 530, long (120) ends the day: slack 20.
    gone = Away(window=Window(start=530, end=720), amount=2)
    pool = Pool(id="hands", name="hands", capacity=2, away=(gone,))
    problem = make_problem(
        make_step("lift", needs=(Need(pool="hands", amount=1),)),
        make_step("long", 120),
        pools=[pool],
    )
    assert solved(problem).slack == {"lift": 20, "long": 0}


def test_a_gambrel_is_held_to_the_end_of_a_later_step():
    # One gambrel: from the hang of hog 1 (480) to the end of its cooling (510 + 60 = 570).
    need = {hog: (Need(pool="gambrel", amount=1, until=f"cool {hog}"),) for hog in ("1", "2")}
    problem = make_problem(
        *(make_step(f"hang {hog}", needs=need[hog]) for hog in need),
        *(make_step(f"cool {hog}", 60) for hog in need),
        gaps=[Gap(before=f"hang {hog}", after=f"cool {hog}") for hog in need],
        pools=[Pool(id="gambrel", name="gambrels", capacity=1)],
    )
    answer = solved(problem)
    assert sorted(answer.starts[f"hang {hog}"] for hog in need) == [480, 570]


def test_an_unattended_step_lasts_longer_where_the_gap_after_it_asks():
    # Chill 60 to 100 min from 480, cut at most 10 min after it, cutting fixed to 585: the chill
    # lasts 95, within its 100. Fixed to 595 it would have to last 105.
    def course(cut_at: int) -> TimetableProblem:
        return make_problem(
            make_step("chill", 60, most_min=100, unattended=True, pinned_start=480),
            make_step("cut", pinned_start=cut_at, station="table"),
            gaps=[Gap(before="chill", after="cut", most_min=10, carcass_waits=False)],
        )

    answer = solved(course(585))
    assert answer.ends == {"chill": 575, "cut": 615}
    assert "at most 10 min are allowed" in " ".join(
        check_timetable(course(595), {"chill": 480, "cut": 595})
    )
    assert solve(course(595)).status is Status.IMPOSSIBLE


def test_a_stretched_chill_keeps_its_hook():
    # One hook. Chill 1 from 480 stretches to 575 as above, so chill 2 starts at 575.
    problem = make_problem(
        make_step("chill", 60, most_min=100, unattended=True, pinned_start=480),
        make_step("chill 2", 20, unattended=True),
        make_step("cut", pinned_start=585, station="table"),
        gaps=[Gap(before="chill", after="cut", most_min=10, carcass_waits=False)],
        stations=[StationSpec(id="bench", name="Hook")],
    )
    assert solved(problem).starts["chill 2"] == 575
    assert check_timetable(problem, {"chill": 480, "chill 2": 560, "cut": 585}) == (
        "Hook has 2 steps at once; it holds 1.",
    )


# --- meals ----------------------------------------------------------------------------------

LUNCH = Meal(id="lunch", name="Lunch", minutes=30, earliest=500, wished=510, latest=560)


def test_a_meal_goes_after_a_hot_step_and_is_not_cut():
    # The scald (60) fixed to 490 runs to 550: Lunch, wished at 510, starts at 550. Before it
    # would be 460, which is out of its range.
    problem = replace(make_problem(make_step("scald", 60, pinned_start=490)), meals=(LUNCH,))
    answer = solved(problem)
    assert answer.starts["lunch"] == 550
    assert answer.goals[-1].name == "meals"
    assert answer.goals[-1].value == 40


def test_a_meal_is_at_its_wished_time_where_it_can_be():
    # One (30) ends at 510; two, fixed to 540, leaves exactly the wished half hour between them.
    problem = make_problem(make_step("one"), make_step("two", pinned_start=540))
    answer = solved(replace(problem, meals=(LUNCH,)))
    assert answer.starts == {"one": 480, "two": 540, "lunch": 510}


def test_a_plan_that_eats_into_a_meal_is_flagged():
    problem = replace(make_problem(make_step("scald", 60)), meals=(LUNCH,))
    assert check_timetable(problem, {"scald": 480, "lunch": 510}) == (
        "Scald runs into the break from 510 to 540.",
    )
    assert check_timetable(problem, {"scald": 600, "lunch": 561}) == (
        "Lunch starts at 561; it may start from 500 to 560.",
    )
    assert check_timetable(problem, {"scald": 600}) == ("Lunch has no start.",)


def test_a_meal_in_a_clash_is_named():
    # 481 to 560 must hold 60 min of scald within 80 min of window; lunch from 500 to 520 leaves
    # at most 40 before it and 560 - 530 = 30 after it.
    lunch = replace(LUNCH, latest=520)
    day = (Window(start=480, end=560),)
    problem = replace(make_problem(make_step("scald", 60, windows=day)), meals=(lunch,))
    assert facts(problem) == [
        "Scald (60 min) must lie wholly within day 1, 08:00 to 09:20.",
        "Nobody works in Lunch, 30 min that start from day 1, 08:20 to 08:40.",
    ]


# --- smooth hands ---------------------------------------------------------------------------


def test_hands_are_used_smoothly_after_all_else():
    # long (90) sets the finish at 570. Two of 30 min, two hands each, fit one after the other
    # before it, so the most at once is 2, not 4.
    need = (Need(pool="hands", amount=2),)
    problem = make_problem(
        make_step("long", 90),
        make_step("one", needs=need),
        make_step("two", needs=need),
        pools=[Pool(id="hands", name="hands", capacity=9, smooth=True)],
    )
    answer = solved(problem)
    assert answer.finish == {0: 570}
    assert most_hands(problem, answer.starts) == 2
    assert (answer.goals[-1].name, answer.goals[-1].value) == ("hands", 2)


# --- what makes no sense --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: replace(LUNCH, minutes=0), "needs 1 min or more"),
        (lambda: replace(LUNCH, wished=499), "its wish inside its range"),
        (lambda: Away(window=MORNING, amount=0), "1 or more"),
        (lambda: make_step("scald", or_at=("bench",)), "'bench' is listed twice"),
        (
            lambda: replace(make_problem(), meals=(LUNCH,), breaks=(Window(start=580, end=600),)),
            "keep the ranges of meals and breaks apart",
        ),
        (
            lambda: Pool(id="p", name="p", capacity=1, away=(Away(window=MORNING, amount=2),)),
            "2 are away at 480; it has 1",
        ),
        (
            lambda: StationSpec(id="s", name="S", capacity=2, set_up_between={("a", "b"): 3}),
            "only where one step at a time is held",
        ),
        (
            lambda: make_problem(
                make_step("one", needs=(Need(pool="p", amount=1, until="two"),)),
                pools=[Pool(id="p", name="p", capacity=1)],
            ),
            "names step 'two'",
        ),
    ],
)
def test_nonsense_is_refused_when_made(make, said):
    with pytest.raises(BadProblem, match=said):
        make()


# --- any mixture ----------------------------------------------------------------------------


@st.composite
def rich_problems(draw: st.DrawFn) -> TimetableProblem:
    """A small problem with everything: choices, pairs, blocking, hours, absences, a meal."""
    plain = draw(small_problems(longest=draw(st.sampled_from([140, 300]))))
    ids = [step.id for step in plain.steps]
    pairs = {
        (first, second): draw(st.integers(0, 30))
        for first in ids
        for second in ids
        if first != second and draw(st.integers(0, 3)) == 0
    }
    bench = StationSpec(
        id="bench",
        name="Bench",
        set_up_min=draw(st.sampled_from([0, 15])),
        set_up_between=draw(st.sampled_from([{}, pairs])),
        track=draw(st.sampled_from(["", "A"])),
    )
    twin = replace(bench, id="twin", name="Twin", track=draw(st.sampled_from([bench.track, "B"])))
    hours = (Window(start=0, end=draw(st.sampled_from([110, 250]))), Window(start=1440, end=1700))
    rack = StationSpec(
        id="rack", name="Rack", capacity=2, windows=draw(st.sampled_from([(), hours]))
    )
    both = draw(st.booleans())
    steps = [
        replace(
            step,
            or_at=("twin",) if step.station == "bench" and (both or draw(st.booleans())) else (),
            subject=draw(st.sampled_from(["hog 1", "hog 2"])),
            most_min=step.expected_min + draw(st.sampled_from([0, 40])),
        )
        for step in plain.steps
    ]
    gaps = [replace(gap, keeps_place=draw(st.booleans())) for gap in plain.gaps]
    away = (Away(window=Window(start=30, end=80), amount=draw(st.integers(1, 2))),)
    pool = replace(
        plain.pools[0], away=draw(st.sampled_from([(), away])), smooth=draw(st.booleans())
    )
    meal = Meal(id="tea", name="Tea", minutes=15, earliest=20, wished=40, latest=60)
    return replace(
        plain,
        stations=(bench, twin, rack),
        pools=(pool,),
        steps=tuple(steps),
        gaps=tuple(gaps),
        meals=draw(st.sampled_from([(), (meal,)])),
    )


@settings(max_examples=150, deadline=None, derandomize=True)
@given(rich_problems())
def test_any_mixture_is_planned_as_the_checker_wants_or_refused(problem):
    """The plan holds every rule and measures what was proved; a refusal is a true clash."""
    answer = solve(problem, seconds=20)
    if answer.status is Status.IMPOSSIBLE:
        assert answer.refusals
        return
    assert answer.status is Status.PROVED_BEST
    assert check_timetable(problem, answer.starts, answer.places) == ()
    bounds = {goal.name: goal.bound for goal in answer.goals}
    measures = {
        "finish": finish_minutes,
        "waiting": waiting_minutes,
        "meals": meal_minutes,
        "hands": most_hands,
    }
    for name, measure in measures.items():
        assert bounds.get(name, measure(problem, answer.starts)) == measure(problem, answer.starts)
    assert all(slack >= 0 for slack in answer.slack.values())


def test_a_clash_over_tracks_names_them():
    # The scald can only be in track A (its trough is there), the scrape only in B.
    problem = make_problem(
        make_step("scald", station="trough", subject="hog 1"),
        make_step("scrape", subject="hog 1"),
        stations=[
            StationSpec(id="trough", name="Trough", track="A"),
            StationSpec(id="bench", name="Bench", track="B"),
        ],
    )
    clash = smallest_clash(problem, seconds=5, seed=1)
    assert [refusal.rule for refusal in clash.refusals] == [TimetableRule.TRACK]
    assert facts(problem) == ["All steps of hog 1 keep to one track."]
