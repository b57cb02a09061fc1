"""The single-person equation: ranges, limits of use, properties."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stations.trade.errors import OutOfRange, TradeError
from stations.trade.frequency import DurationClass, duration_class, frequency_multiplier
from stations.trade.lifting import (
    AT_THE_TROUGH,
    Exclusion,
    JobTask,
    LiftingTask,
    composite_index,
    recommended_weight,
    screen_lift,
)
from stations.trade.multipliers import (
    Coupling,
    System,
    asymmetry_multiplier,
    coupling_multiplier,
    distance_multiplier,
    horizontal_multiplier,
    vertical_multiplier,
)
from stations.trade.sources import Trust
from stations.trade.verdicts import Grade

NONE: frozenset[Exclusion] = frozenset()
EASY = LiftingTask(H=25, V=75, D=25, coupling=Coupling.GOOD)
tasks = st.builds(
    LiftingTask,
    H=st.floats(min_value=0, max_value=200),
    V=st.floats(min_value=0, max_value=200),
    D=st.floats(min_value=0, max_value=200),
    A=st.floats(min_value=0, max_value=180),
    F=st.floats(min_value=0, max_value=20),
    duration=st.sampled_from(DurationClass),
    coupling=st.sampled_from(Coupling),
)


def test_the_easiest_lift_is_the_load_constant():
    """23 kg, and 51 lb in the US form."""
    assert recommended_weight(task=EASY).kg == 23.0
    us = LiftingTask(H=10, V=30, D=10, coupling=Coupling.GOOD, system=System.US)
    assert recommended_weight(task=us).kg == pytest.approx(23.13, abs=0.005)


def test_beyond_each_bound_nothing_is_recommended():
    """Reach, height, travel and twist, in both forms."""
    for system, scale in ((System.US, 1.0), (System.METRIC, 2.5)):
        assert horizontal_multiplier(H=25.3 * scale, system=system) == 0.0
        assert vertical_multiplier(V=70.1 * scale, system=system) == 0.0
        assert distance_multiplier(D=70.1 * scale, system=system) == 0.0
    assert asymmetry_multiplier(A=135.1) == 0.0
    far = recommended_weight(task=LiftingTask(H=64, V=75, D=25))
    assert far.kg == 0.0
    assert far.index(load_kg=1.0) == math.inf


def test_a_fair_grip_costs_only_below_the_knuckles():
    """At 75 cm and above it is as good as a good one."""
    for V, wanted in ((74.9, 0.95), (75.0, 1.0)):
        assert coupling_multiplier(coupling=Coupling.FAIR, V=V, system=System.METRIC) == wanted


def test_between_rows_the_higher_frequency_is_read():
    """The careful side."""
    got = frequency_multiplier(F=0.21, duration=DurationClass.LONG, is_low=True)
    assert got.multiplier == 0.81


@given(tasks, st.floats(min_value=0, max_value=200), st.floats(min_value=0, max_value=50))
def test_adding_weight_never_improves_the_verdict(task, kg, more):
    """Property."""
    for exclusions in (NONE, AT_THE_TROUGH):
        light = screen_lift(task=task, load_kg=kg, exclusions=exclusions)
        heavy = screen_lift(task=task, load_kg=kg + more, exclusions=exclusions)
        assert heavy.grade.rank >= light.grade.rank


@given(tasks)
def test_nothing_beyond_the_load_constant_is_ever_recommended(task):
    """Property: multipliers only take away."""
    found = recommended_weight(task=task)
    assert 0.0 <= found.kg <= 23.0
    assert all(0.0 <= value <= 1.0 for value in found.multipliers.values())


def test_where_the_equation_does_not_apply_the_lead_is_asked():
    """A team, a load that shifts, a slippery floor: it may say no, and never yes."""
    assert screen_lift(task=EASY, load_kg=5, exclusions=NONE).grade is Grade.WITHIN
    found = screen_lift(task=EASY, load_kg=5)
    assert found.grade is Grade.ASK_LEAD
    assert "a slippery floor" in found.remedy
    assert screen_lift(task=EASY, load_kg=24).grade is Grade.NEEDS_AID


def test_a_frequency_row_from_memory_cannot_pass_alone():
    """Twelve a minute asks the lead even for a light load."""
    quick = LiftingTask(H=25, V=80, D=25, F=12, coupling=Coupling.GOOD)
    assert screen_lift(task=quick, load_kg=1, exclusions=NONE).grade is Grade.ASK_LEAD


def test_every_exclusion_names_its_source():
    """Three were read, teams too; the rest are from memory."""
    published = {each for each in Exclusion if each.source.trust is Trust.PUBLISHED}
    assert Exclusion.TEAM in published
    assert Exclusion.POOR_FOOTING not in published


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: horizontal_multiplier(H=-1, system=System.US),
        lambda: vertical_multiplier(V=81, system=System.US),
        lambda: distance_multiplier(D=float("nan"), system=System.METRIC),
        lambda: asymmetry_multiplier(A=181),
        lambda: frequency_multiplier(F=61, duration=DurationClass.SHORT, is_low=True),
        lambda: duration_class(hours=8.1),
        lambda: screen_lift(task=EASY, load_kg=-1),
    ],
)
def test_outside_its_range_each_part_refuses(wrong):
    """Nothing is clamped but what the equation itself clamps."""
    with pytest.raises(OutOfRange):
        wrong()


def test_hours_choose_the_columns():
    """To one, two and eight hours."""
    got = [duration_class(hours=hours) for hours in (1.0, 1.1, 2.0, 2.1, 8.0)]
    short, moderate, long = DurationClass
    assert got == [short, moderate, moderate, long, long]


def test_a_job_listed_the_wrong_way_round_is_refused():
    """FM cannot grow as lifts are added."""
    others = (JobTask(frequency_free_index=1, multiplier_with_all_so_far=0.95),)
    with pytest.raises(TradeError, match="hardest first"):
        composite_index(worst_index=1, others=others, first_FM=0.9)
