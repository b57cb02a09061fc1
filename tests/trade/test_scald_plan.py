"""The planned scald, the coats and the watch beside the trough."""

from dataclasses import replace
from typing import Any

import pytest

from stations.trade.coats import Coat, Season, band_for, falling_band
from stations.trade.errors import OutOfRange
from stations.trade.fuels import Fuel, fire_of
from stations.trade.hide import Hog
from stations.trade.pouring import plan_pour_over
from stations.trade.scald_plan import (
    ScaldSetup,
    in_wind,
    plan_kettles,
    plan_scald,
    reheat,
    strike_for,
    strike_verdict,
)
from stations.trade.scald_watch import DipSoFar, Hair, Prompt, scald_advice, time_above_s
from stations.trade.sources import PRACTICE
from stations.trade.verdicts import Grade
from stations.trade.vessels import Cover, Method, kettle, open_trough, tipped_barrel
from stations.trade.water import Air

AIR = Air(temp_c=5.0, humidity=0.6, wind_m_s=1.0)
ORDINARY = band_for(coat=Coat.ORDINARY, season=Season.SPRING, method=Method.OPEN_TROUGH)
SETUP = ScaldSetup(
    vessel=open_trough(length_m=1.83, width_m=0.76, depth_m=0.6),
    hogs=(Hog(live_kg=125.0), Hog(live_kg=110.0), Hog(live_kg=136.0)),
    air=AIR,
    fire=fire_of(Fuel.PROPANE, rated_w=60_000.0),
    bands=(ORDINARY,) * 3,
    cover=Cover.HALF,
    water_kg=230.0,
    kettle=kettle(litres=40.0),
    kettle_fire=fire_of(Fuel.PROPANE, rated_w=30_000.0),
)


def test_a_plan_for_three_hogs_reheats_twice():
    plan = plan_scald(SETUP)
    reheats = [part.reheat for part in plan.hogs]
    assert [reheat is not None for reheat in reheats] == [True, True, False]
    assert plan.fuel_kg == pytest.approx(
        plan.heat_up.fuel_kg + sum(r.fuel_kg for r in reheats if r is not None)
    )
    for part, then in zip(plan.hogs, plan.hogs[1:], strict=False):
        assert part.reheat is not None
        assert part.reheat.end.water_c == pytest.approx(then.strike_c, abs=1e-5)
        assert part.top_up_kg >= 0.0


def test_each_dip_stays_above_its_floor_and_near_its_target_in_the_middle():
    for part in plan_scald(SETUP).hogs:
        assert part.curve.lowest_c >= ORDINARY.floor_c
        assert part.curve.at(ORDINARY.middle_s) == pytest.approx(ORDINARY.target_c, abs=0.1)


def test_a_lid_saves_time_and_fuel():
    plan = plan_scald(SETUP)
    assert plan.lid_saves_s > 60.0
    assert plan.lid_saves_kg > 0.0


def test_kettles_hold_all_the_buckets():
    windy = replace(SETUP, air=replace(AIR, wind_m_s=3.0))
    plan = plan_scald(windy)
    kettles = plan.kettles
    assert kettles is not None
    assert kettles.buckets == sum(len(part.curve.buckets) for part in plan.hogs) > 0
    assert kettles.kettlefuls * 36.0 >= kettles.buckets * 9.0
    assert plan_scald(replace(SETUP, kettle=None)).kettles is None


def test_a_fire_kept_on_saves_buckets():
    windy = replace(SETUP, air=replace(AIR, wind_m_s=3.0))
    out, kept = plan_scald(windy), plan_scald(replace(windy, fire_stays=True))
    assert len(kept.hogs[0].curve.buckets) <= len(out.hogs[0].curve.buckets)
    assert kept.hogs[0].strike_c < out.hogs[0].strike_c


def test_a_hot_strike_asks_the_lead():
    verdict = strike_verdict(75.0)
    assert verdict.grade is Grade.ASK_LEAD
    assert "ask the lead" in verdict.sentence().lower()
    assert plan_scald(SETUP).strike.grade is Grade.WITHIN


def test_a_barrel_starts_where_the_bulletin_says():
    band = band_for(coat=Coat.ORDINARY, season=Season.SPRING, method=Method.TIPPED_BARREL)
    plan = plan_scald(replace(SETUP, vessel=tipped_barrel(), bands=(band,) * 3, water_kg=None))
    assert 68.3 < plan.hogs[0].strike_c < 71.1


def test_a_falling_scald_needs_no_bucket_in_a_trough_of_sixty_gallons():
    plan = plan_scald(replace(SETUP, bands=(falling_band(),) * 3))
    assert plan.hogs[0].strike_c == pytest.approx(70.0)
    assert plan.hogs[0].curve.buckets == ()


def test_each_hog_has_the_band_of_its_own_coat():
    """An easy coat is pulled sooner and struck cooler than a hard one; one band each, no fewer."""
    bands = tuple(
        band_for(coat=coat, season=Season.SPRING, method=Method.OPEN_TROUGH) for coat in Coat
    )
    mixed = replace(SETUP, bands=bands)
    plan = plan_scald(mixed)
    assert [part.band for part in plan.hogs] == list(bands)
    assert plan.hogs[0].dip_s < plan.hogs[1].dip_s < plan.hogs[2].dip_s
    assert strike_for(mixed, 0) < strike_for(mixed, 2) == plan.hogs[2].strike_c
    with pytest.raises(OutOfRange, match="one for each hog"):
        replace(SETUP, bands=bands[:2])


def test_a_hog_that_does_not_fit_or_water_over_the_brim_is_refused_whatever_was_poured_in():
    """A fill that is typed hides neither."""
    with pytest.raises(OutOfRange, match="Hog length"):
        replace(SETUP, hogs=(Hog(live_kg=300.0),) * 3)
    with pytest.raises(OutOfRange, match="beside the hog"):
        replace(SETUP, water_kg=800.0)


def test_the_water_between_two_hogs_depends_on_which_comes_next():
    """From the same water a hard coat's strike takes longer to reach than an easy one's."""
    bands = tuple(
        band_for(coat=coat, season=Season.SPRING, method=Method.OPEN_TROUGH) for coat in Coat
    )
    mixed = replace(SETUP, bands=bands)
    left = plan_scald(mixed).hogs[1].left
    easy, hard = (reheat(mixed, left, strike_c=strike_for(mixed, place)) for place in (0, 2))
    assert easy.seconds < hard.seconds


def test_a_bigger_bucket_is_poured_less_often():
    windy = replace(SETUP, air=replace(AIR, wind_m_s=3.0))
    small, big = (plan_scald(replace(windy, bucket_kg=kg)) for kg in (5.0, 15.0))
    assert {bucket.kg for part in big.hogs for bucket in part.curve.buckets} == {15.0}
    assert small.kettles is not None
    assert big.kettles is not None
    assert big.kettles.buckets < small.kettles.buckets


def test_the_curve_lies_between_the_formulas_that_differ_most():
    for part in plan_scald(SETUP).hogs:
        assert part.spread.curve.temps_c == part.curve.temps_c
        assert part.spread.low_c[-1] < part.curve.temps_c[-1] < part.spread.high_c[-1]


def test_wind_costs_time_until_the_fire_is_lost():
    calm, breeze = (in_wind(SETUP, wind_m_s=wind, strike_c=65.0) for wind in (0.0, 2.0))
    assert calm is not None
    assert breeze is not None
    assert calm.seconds < breeze.seconds
    assert calm.fuel_kg < breeze.fuel_kg
    weak = replace(SETUP, fire=replace(SETUP.fire, rated_w=20_000.0))
    assert in_wind(weak, wind_m_s=5.0, strike_c=65.0) is None


@pytest.mark.parametrize("wind", [0.0, 1.0, 2.0, 3.0, 4.0])
@pytest.mark.parametrize("litres", [20.0, 40.0, 80.0])
def test_a_kettle_comes_to_the_boil_in_any_wind(wind, litres):
    """Half a kelvin under the boil: the last step is taken short of it, never past it."""
    air = replace(AIR, wind_m_s=wind, temp_c=-1.0, altitude_m=420.0)
    kettles = plan_kettles(replace(SETUP, air=air, kettle=kettle(litres=litres)), buckets=3)
    assert kettles is not None
    assert kettles.boil_s > 0.0


def test_kettles_alone_are_no_trough():
    with pytest.raises(OutOfRange, match="plan_pour_over"):
        replace(SETUP, vessel=kettle())
    with pytest.raises(OutOfRange, match="Hogs"):
        replace(SETUP, hogs=())


def test_pouring_mixes_boiling_and_cold_to_the_pour():
    easy = band_for(coat=Coat.EASY, season=Season.SPRING, method=Method.POUR_OVER)
    pot = kettle(litres=40.0)
    need = plan_pour_over(Hog(live_kg=60.0), band=easy, air=AIR, kettle=pot)
    assert need.boiling_kg + need.cold_kg == pytest.approx(need.water_kg)
    assert 0.0 < need.cold_kg < need.boiling_kg
    wasteful = plan_pour_over(Hog(live_kg=60.0), band=easy, air=AIR, kettle=pot, useful=0.25)
    assert wasteful.water_kg == pytest.approx(2 * need.water_kg)
    with pytest.raises(OutOfRange, match="Useful share"):
        plan_pour_over(Hog(live_kg=60.0), band=easy, air=AIR, kettle=pot, useful=0.0)


def test_autumn_hair_is_a_step_harder():
    autumn = band_for(coat=Coat.EASY, season=Season.AUTUMN, method=Method.OPEN_TROUGH)
    assert autumn == ORDINARY
    hard = band_for(coat=Coat.HARD, season=Season.AUTUMN, method=Method.OPEN_TROUGH)
    assert hard == band_for(coat=Coat.HARD, season=Season.SPRING, method=Method.OPEN_TROUGH)
    assert hard.floor_c > ORDINARY.floor_c


def test_a_band_upside_down_is_refused():
    with pytest.raises(OutOfRange, match="Floor"):
        replace(ORDINARY, floor_c=66.0)
    with pytest.raises(OutOfRange, match="Ceiling"):
        replace(ORDINARY, ceiling_c=55.0)
    assert ORDINARY.holds(61.0)
    assert not ORDINARY.holds(70.0)


def _prompts(**known: Any) -> list[Prompt]:  # each test changes what it names
    quiet: dict[str, Any] = {
        "now_s": 60.0,
        "readings": ((0.0, 62.0), (50.0, 62.0)),
        "rolled_s": 50.0,
    }
    return [advice.prompt for advice in scald_advice(DipSoFar(**(quiet | known)), ORDINARY)]


def test_nothing_is_asked_while_all_is_well():
    assert _prompts() == []


def test_hair_is_tested_at_two_minutes_and_then_often():
    assert _prompts(now_s=119.0, rolled_s=110.0) == []
    assert _prompts(now_s=120.0, rolled_s=110.0) == [Prompt.TEST_HAIR]
    assert _prompts(now_s=180.0, rolled_s=170.0, tested_s=120.0) == []
    assert _prompts(now_s=195.0, rolled_s=170.0, tested_s=120.0) == [Prompt.TEST_HAIR]


def test_hair_that_slips_or_sets_pulls_the_hog_first():
    assert _prompts(hair=Hair.SLIPS)[0] is Prompt.PULL
    hot = ((0.0, 72.0), (90.0, 72.0))
    advice = scald_advice(DipSoFar(now_s=90.0, readings=hot, hair=Hair.SET), ORDINARY)
    assert advice[0].sentence().startswith("Pull the hog: the hair is setting")
    assert len({each.prompt for each in advice}) == len(advice)


def test_water_above_the_band_is_cooled_and_the_hog_lifted():
    hot = ((0.0, 70.0), (65.0, 68.0))
    found = _prompts(now_s=65.0, readings=hot)
    assert found[:2] == [Prompt.PULL, Prompt.COOL]


def test_water_below_the_floor_asks_for_hot_water():
    assert _prompts(readings=((0.0, 60.5), (50.0, 59.0))) == [Prompt.ADD_HOT]


def test_the_longest_soak_ends_with_the_lead():
    found = scald_advice(
        DipSoFar(now_s=460.0, readings=((0.0, 62.0),), rolled_s=450.0, tested_s=440.0), ORDINARY
    )
    assert "ask the lead" in found[0].sentence()


def test_a_still_hog_is_rolled():
    advice = scald_advice(DipSoFar(now_s=70.0, readings=()), ORDINARY)
    assert [each.prompt for each in advice] == [Prompt.ROLL]


def test_intervals_that_are_practice_say_so():
    advice = scald_advice(DipSoFar(now_s=125.0, readings=(), rolled_s=120.0), ORDINARY)
    assert advice[0].source is PRACTICE


def test_time_above_counts_parts_of_intervals():
    readings = ((0.0, 64.0), (60.0, 66.0), (120.0, 66.0), (180.0, 64.0))
    assert time_above_s(readings, 65.0) == pytest.approx(120.0)
    assert time_above_s(readings, 70.0) == 0.0
    with pytest.raises(OutOfRange, match="Reading time"):
        time_above_s(((60.0, 64.0), (0.0, 64.0)), 65.0)
