"""What each place holds in each phase."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stations.trade.errors import OutOfRange, TradeError
from stations.trade.loads import in_water_kg, phase_loads, without_memory
from stations.trade.places import Held, Hog, Hoisting, Phase, Place, Setup
from stations.trade.sources import Source, Trust
from stations.trade.statics import (
    apparent_kg,
    capstan_ratio,
    chain_pull_kg,
    low_end_share,
    two_supports,
)

MEASURED = Source(title="measured on the day", trust=Trust.COMPUTED)
setups = st.builds(
    Setup,
    fore_share=st.floats(min_value=0, max_value=1),
    left_share=st.floats(min_value=0, max_value=1),
    chain_angle_deg=st.floats(min_value=30, max_value=90),
    held=st.sampled_from(Held),
    submerged=st.floats(min_value=0, max_value=1),
    ramp_deg=st.floats(min_value=1, max_value=60),
    drag_mu=st.floats(min_value=0.01, max_value=1.5),
    hoisting=st.sampled_from(Hoisting),
)


@given(phase=st.sampled_from(Phase), kg=st.floats(min_value=1, max_value=500), setup=setups)
def test_what_is_carried_and_what_is_fast_sum_to_the_total(phase, kg, setup):
    """Property: nothing is lost, and no hand feels less than it carries."""
    loads = phase_loads(phase=phase, hog=Hog(live_kg=kg), setup=setup)
    assert sum(loads.carried_kg.values()) + loads.fast_kg == pytest.approx(loads.total_kg)
    for place in Place:
        assert loads.pull_kg[place] >= loads.carried_kg[place] >= 0.0
    assert loads.worst_kg == max(loads.pull_kg.values())


@given(kg=st.floats(min_value=1, max_value=500), setup=setups)
def test_lowering_and_lifting_out_carry_the_whole_weight(kg, setup):
    """Property: no help from the water is counted in either."""
    for phase in (Phase.LOWER, Phase.LIFT_OUT):
        loads = phase_loads(phase=phase, hog=Hog(live_kg=kg), setup=setup)
        assert loads.total_kg == kg


@given(
    phase=st.sampled_from(Phase),
    kg=st.floats(min_value=1, max_value=400),
    more=st.floats(min_value=0, max_value=100),
    setup=setups,
)
def test_a_heavier_hog_is_never_lighter_in_any_hand(phase, kg, more, setup):
    """Property: every load grows with weight."""
    light = phase_loads(phase=phase, hog=Hog(live_kg=kg), setup=setup)
    heavy = phase_loads(phase=phase, hog=Hog(live_kg=kg + more), setup=setup)
    for place in Place:
        assert heavy.pull_kg[place] >= light.pull_kg[place] - 1e-9


def test_one_side_fast_halves_the_weight_but_also_the_hands():
    """Two hands hold what each held before; the post holds the rest."""
    both = phase_loads(phase=Phase.ROLL, hog=Hog(live_kg=120), setup=Setup(submerged=0.0))
    fast = phase_loads(phase=Phase.ROLL, hog=Hog(live_kg=120), setup=Setup(held=Held.LEFT_FAST))
    assert fast.hands == (Place.FORE_RIGHT, Place.HIND_RIGHT)
    assert fast.fast_kg == pytest.approx(60)
    assert fast.worst_kg == pytest.approx(both.worst_kg)


def test_a_hog_in_the_water_never_weighs_less_than_a_tenth():
    """However deep it lies."""
    assert in_water_kg(hog=Hog(live_kg=120), setup=Setup(submerged=1.0)) == pytest.approx(12.0)


def test_a_hoist_leaves_nothing_in_the_hands():
    """All of it is on the hook."""
    setup = Setup(hoisting=Hoisting.HOIST)
    loads = phase_loads(phase=Phase.HANG, hog=Hog(live_kg=120), setup=setup)
    assert loads.hands == ()
    assert loads.fast_kg == 120


def test_the_recorded_carcass_replaces_the_live_weight():
    """Before that, 0.80 of the live weight once it is gutted."""
    assert Hog(live_kg=120, carcass_kg=90).handled_kg == 90
    assert Hog(carcass_kg=90).handled_kg == 90
    assert Hog(live_kg=120, gutted=True).handled_kg == 96
    assert Hog(live_kg=120).handled_kg == 120


def test_figures_from_memory_are_put_at_their_hardest_and_measured_ones_kept():
    """Only what matters in the phase is touched."""
    hard = without_memory(phase=Phase.SLOSH, setup=Setup())
    assert (hard.fore_share, hard.submerged, hard.ramp_friction) == (1.0, 0.0, 1.25)
    assert without_memory(phase=Phase.RAMP, setup=Setup()).ramp_friction == 2.0
    assert without_memory(phase=Phase.HANG, setup=Setup()).sheave_efficiency == 0.5
    measured = Setup(
        fore_share_source=MEASURED,
        body_source=MEASURED,
        ramp_friction_source=MEASURED,
        sheave_source=MEASURED,
    )
    for phase in Phase:
        assert without_memory(phase=phase, setup=measured) == measured


@pytest.mark.parametrize(
    ("wrong", "match"),
    [
        (lambda: Hog(), "needs a live or a carcass weight"),
        (lambda: Hog(live_kg=0.0), "Live weight 0 kg is outside 1 to 500 kg"),
        (lambda: Hog(live_kg=float("nan")), "Live weight nan kg"),
        (lambda: Hog(live_kg=80, carcass_kg=81), "Carcass weight 81 kg is outside 1 to 80"),
        (lambda: Setup(chain_angle_deg=29), "Chain angle 29 degrees is outside 30 to 90"),
        (lambda: Setup(fore_share=1.1), "Fore share 1.1 of the load is outside 0 to 1"),
        (lambda: Setup(submerged=-0.1), "Submerged part -0.1"),
        (lambda: Setup(ramp_deg=0.0), "Ramp 0 degrees is outside 1 to 60"),
        (lambda: Setup(tackle_parts=9), "Parts of tackle 9"),
    ],
)
def test_what_makes_no_sense_is_refused(wrong, match):
    """Nothing is clamped in silence."""
    with pytest.raises(TradeError, match=match):
        wrong()


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: two_supports(load_kg=10, first_m=0, second_m=1, centre_m=1.2),
        lambda: low_end_share(slope_deg=40, rise_m=1.0, apart_m=0.5),
        lambda: apparent_kg(mass_kg=10, submerged=2, water_density=980, body_density=1030),
        lambda: chain_pull_kg(carried_kg=10, angle_deg=15),
        lambda: capstan_ratio(mu=-0.1, wrap_deg=180),
    ],
)
def test_statics_refuse_what_they_do_not_cover(wrong):
    """Each formula raises outside its range."""
    with pytest.raises(OutOfRange):
        wrong()


def test_supports_in_the_wrong_order_are_refused():
    """The sentence says what is wrong."""
    with pytest.raises(TradeError, match="must lie beyond the first"):
        two_supports(load_kg=10, first_m=1, second_m=1, centre_m=1)
