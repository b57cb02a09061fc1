"""The scald planned ahead: water, strike, lighting time, fuel, buckets, kettles, re-heat, the lid.

The same plan answers the lead's "when do I light it?" and an attendee's "what would I need at
home?": only the vessel, the hog and the fire differ.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from stations.trade.coats import FB_2265, ScaldBand
from stations.trade.errors import OutOfRange, within
from stations.trade.evaporation import Stir
from stations.trade.fuels import Fire
from stations.trade.heat import Bath, HeatUp, heat_up, pour
from stations.trade.hide import Hog, skin_uptake_j_m2_k
from stations.trade.losses import Exposure, Lid
from stations.trade.measures import celsius
from stations.trade.scald import (
    Bucket,
    Dip,
    ScaldCurve,
    boiling_bucket,
    hold_curve,
    strike_temperature_c,
)
from stations.trade.verdicts import Grade, Verdict
from stations.trade.vessels import Cover, Method, Vessel, water_needed_kg
from stations.trade.water import Air, enthalpy_j_kg

PUBLISHED_START_C = (celsius(fahrenheit=155.0), celsius(fahrenheit=160.0))
A_BOARD = Lid()
HOLD_MARGIN_K = 0.5
"""Buckets go in half a kelvin above the floor, so that the floor is not crossed while carrying."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaldSetup:
    """What the lead chose: vessel, hogs in order, air, fire, band, cold water, kettle and its fire.

    ``tap_c`` 0.5 to 60 degC; ``water_kg`` None for what the largest hog needs; ``cover`` whole or
    half with a roll; ``kettle_fire`` None where boiling water comes from elsewhere.
    """

    vessel: Vessel
    hogs: tuple[Hog, ...]
    air: Air
    fire: Fire
    band: ScaldBand
    cover: Cover = Cover.WHOLE
    tap_c: float = 12.0
    water_kg: float | None = None
    lid: Lid = A_BOARD
    kettle: Vessel | None = None
    kettle_fire: Fire | None = None
    fire_stays: bool = False

    def __post_init__(self) -> None:
        within("hogs", len(self.hogs), low=1, high=20, unit="hogs", rule="scald plan")
        within("cold water", self.tap_c, low=0.5, high=60.0, unit="degC", rule="scald plan")
        if self.vessel.method is Method.POUR_OVER:
            raise OutOfRange(
                "vessel for a dip", got=0.0, low=1.0, high=1.0, unit="trough or barrel",
                rule="plan_pour_over plans kettles",
            )  # fmt: skip

    @property
    def bucket(self) -> Bucket:
        """A bucket of boiling water as it arrives at the trough."""
        return boiling_bucket(self.air)

    @property
    def fill_kg(self) -> float:
        """Water in the vessel before the first hog."""
        if self.water_kg is not None:
            return self.water_kg
        return max(water_needed_kg(self.vessel, hog, cover=self.cover) for hog in self.hogs)


@dataclass(frozen=True, slots=True, kw_only=True)
class HogScald:
    """One hog's part of the plan: strike, curve with buckets, the re-heat after it (or None)."""

    strike_c: float
    curve: ScaldCurve
    dip_s: float
    reheat: HeatUp | None
    top_up_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Kettles:
    """The boiling water: buckets, kettlefuls, s to boil one, fuel for all, lead before the hog."""

    buckets: int
    kettlefuls: int
    boil_s: float
    fuel_kg: float
    light_before_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaldPlan:
    """All the sheet says: fill, lighting, each hog, kettles, what a lid saves, the verdict."""

    water_kg: float
    heat_up: HeatUp
    lid_saves_s: float
    lid_saves_kg: float
    hogs: tuple[HogScald, ...]
    kettles: Kettles | None
    fuel_kg: float
    strike: Verdict


def _heating(setup: ScaldSetup, *, lid: bool) -> Exposure:
    return Exposure(air=setup.air, lid=setup.lid if lid else None)


def dip_of(setup: ScaldSetup, hog: Hog, *, water_kg: float) -> Dip:
    """The dip of one hog under a setup, the surface disturbed, the fire kept on only if said so.

    ``water_kg`` 5 to 5000 kg; otherwise raises OutOfRange. Example: see ``plan_scald``.

    Source: ``scald``.
    """
    return Dip(
        vessel=setup.vessel,
        water_kg=water_kg,
        exposure=Exposure(air=setup.air, stir=Stir.DISTURBED),
        hog=hog,
        cover=setup.cover,
        power_w=setup.fire.useful_w if setup.fire_stays else 0.0,
    )


def strike_for(setup: ScaldSetup, hog: Hog) -> float:
    """Where to strike for one hog: the band's published start, or what gives its target mid-dip.

    Raises OutOfRange when no allowed strike gives it. Example: see ``plan_scald``.

    Source: the band's own; otherwise ``scald.strike_temperature_c`` (computed).
    """
    band = setup.band
    if band.strike_low_c is not None and band.strike_high_c is not None:
        return (band.strike_low_c + band.strike_high_c) / 2
    dip = dip_of(setup, hog, water_kg=setup.fill_kg)
    return strike_temperature_c(dip, wanted_c=band.target_c, at_s=band.middle_s)


def strike_verdict(strike_c: float) -> Verdict:
    """The strike against the hottest published start on the farm, 160 F (71.1 degC).

    >>> strike_verdict(66.0).grade.value, strike_verdict(73.0).grade.value
    ('within', 'ask_lead')

    Source: Farmers' Bulletin 2265, Scalding (published).
    """
    top = PUBLISHED_START_C[1]
    hot = strike_c > top
    return Verdict(
        grade=Grade.ASK_LEAD if hot else Grade.WITHIN,
        rule="Strike temperature",
        value=strike_c,
        limit=top,
        unit="degC",
        source=FB_2265,
        remedy="Use more water, a screen against the wind, or a band with a lower target"
        if hot
        else "",
    )


def _scald_one(setup: ScaldSetup, hog: Hog, strike_c: float, next_c: float | None) -> HogScald:
    band, fill = setup.band, setup.fill_kg
    dip_s = (band.soak_low_s + band.soak_high_s) / 2
    curve = hold_curve(
        dip_of(setup, hog, water_kg=fill),
        strike_c=strike_c,
        seconds=dip_s,
        hold_c=band.floor_c + HOLD_MARGIN_K,
        bucket=setup.bucket,
    )
    if next_c is None:
        return HogScald(strike_c=strike_c, curve=curve, dip_s=dip_s, reheat=None, top_up_kg=0.0)
    left, top_up = _after_the_hog(setup, hog, curve.end, fill)
    reheat = heat_up(
        setup.vessel,
        water_kg=left.water_kg,
        start_c=left.water_c,
        target_c=max(next_c, left.water_c),
        exposure=_heating(setup, lid=False),
        fire=setup.fire,
    )
    return HogScald(strike_c=strike_c, curve=curve, dip_s=dip_s, reheat=reheat, top_up_kg=top_up)


def _after_the_hog(setup: ScaldSetup, hog: Hog, end: Bath, fill_kg: float) -> tuple[Bath, float]:
    """The hog takes out as much film as it brought; cold water makes up what is missing."""
    left = replace(end, water_kg=end.water_kg - hog.film_kg)
    top_up = max(0.0, fill_kg - left.water_kg)
    wall = setup.vessel.wall_j_k
    return pour(left, water_kg=top_up, water_c=setup.tap_c, wall_j_k=wall), top_up


def plan_kettles(setup: ScaldSetup, *, buckets: int) -> Kettles | None:
    """Kettlefuls for a number of buckets, how long each takes to boil, and when to light.

    The first kettleful must boil as the hog goes in. ``buckets`` 0 to 500. None without a kettle or
    a fire for it. Raises OutOfRange when its fire cannot bring it to the boil. Example: see
    ``plan_scald``.

    Source: ``heat.heat_up`` (computed) to half a kelvin under the boil.
    """
    within("buckets", buckets, low=0, high=500, unit="buckets", rule="kettles")
    if setup.kettle is None or setup.kettle_fire is None:
        return None
    litres = setup.kettle.brim_m3 * 1000.0 * 0.9  # a tenth of room, so it does not boil over
    boil = heat_up(
        setup.kettle,
        water_kg=litres,
        start_c=setup.tap_c,
        target_c=setup.air.boils_at_c - 0.5,
        exposure=_heating(setup, lid=True),
        fire=setup.kettle_fire,
    )
    kettlefuls = math.ceil(buckets * setup.bucket.kg / (litres - boil.evaporated_kg))
    return Kettles(
        buckets=buckets,
        kettlefuls=kettlefuls,
        boil_s=boil.seconds,
        fuel_kg=boil.fuel_kg * kettlefuls,
        light_before_s=boil.seconds,
    )


def plan_scald(setup: ScaldSetup) -> ScaldPlan:
    """The whole scald: fill, heat up, each hog in turn with its buckets, re-heat between.

    Raises OutOfRange when a hog does not fit, the fire cannot reach the strike, or the strike would
    pass what is allowed; the message names the limit.

    >>> from stations.trade.coats import Coat, Season, band_for
    >>> from stations.trade.fuels import Fuel, fire_of
    >>> from stations.trade.vessels import kettle, open_trough
    >>> trough = open_trough(length_m=1.83, width_m=0.76, depth_m=0.6)
    >>> setup = ScaldSetup(
    ...     vessel=trough, hogs=(Hog(live_kg=125.0),) * 3, cover=Cover.HALF, water_kg=230.0,
    ...     air=Air(temp_c=5.0, humidity=0.6, wind_m_s=1.0),
    ...     fire=fire_of(Fuel.PROPANE, rated_w=60_000.0),
    ...     kettle=kettle(litres=40.0), kettle_fire=fire_of(Fuel.PROPANE, rated_w=30_000.0),
    ...     band=band_for(coat=Coat.ORDINARY, season=Season.SPRING, method=Method.OPEN_TROUGH))
    >>> plan = plan_scald(setup)
    >>> round(plan.hogs[0].strike_c, 1), len(plan.hogs[0].curve.buckets)
    (64.4, 1)
    >>> reheat = plan.hogs[0].reheat
    >>> round(plan.heat_up.seconds / 60), round(reheat.seconds / 60), plan.hogs[2].reheat
    (43, 4, None)
    >>> strike_for(setup, Hog(live_kg=125.0)) == plan.hogs[0].strike_c
    True
    >>> plan_kettles(setup, buckets=5).kettlefuls
    2
    >>> dip_of(setup, Hog(live_kg=125.0), water_kg=230.0).power_w
    0.0

    Source: ``heat``, ``scald``, ``coats`` (computed from published inputs).
    """
    strikes = [strike_for(setup, hog) for hog in setup.hogs]
    fill = setup.fill_kg

    def from_cold(*, lid: bool) -> HeatUp:
        return heat_up(
            setup.vessel,
            water_kg=fill,
            start_c=setup.tap_c,
            target_c=strikes[0],
            exposure=_heating(setup, lid=lid),
            fire=setup.fire,
        )

    bare, lidded = from_cold(lid=False), from_cold(lid=True)
    following: list[float | None] = [*strikes[1:], None]
    hogs = tuple(
        _scald_one(setup, hog, strike, then)
        for hog, strike, then in zip(setup.hogs, strikes, following, strict=True)
    )
    again = sum(part.reheat.fuel_kg for part in hogs if part.reheat is not None)
    return ScaldPlan(
        water_kg=fill,
        heat_up=bare,
        lid_saves_s=bare.seconds - lidded.seconds,
        lid_saves_kg=bare.fuel_kg - lidded.fuel_kg,
        hogs=hogs,
        kettles=plan_kettles(setup, buckets=sum(len(part.curve.buckets) for part in hogs)),
        fuel_kg=bare.fuel_kg + again,
        strike=strike_verdict(max(strikes)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class PourOver:
    """Poured water for one hog: kg in all, kg boiling and cold to mix it, heat (J), kettlefuls."""

    water_kg: float
    boiling_kg: float
    cold_kg: float
    heat_j: float
    kettlefuls: int
    pour_c: float


def plan_pour_over(
    hog: Hog, *, band: ScaldBand, air: Air, kettle: Vessel, tap_c: float = 12.0, useful: float = 0.5
) -> PourOver:
    """Water to scald a hog lying on a table by pouring, half of the skin worked at a time.

    m = (skin uptake over the soak + film warmed) / (useful (h(pour) - h(floor))): the water is
    poured at the band's start and runs off at its floor. ``useful`` 0.1 to 1 is the share of the
    heat that meets skin before it runs off (a judgement: half, under sacking); ``tap_c`` 0.5 to 60
    degC and below the pour; otherwise raises OutOfRange.

    >>> from stations.trade.coats import Coat, Season, band_for
    >>> from stations.trade.vessels import kettle
    >>> easy = band_for(coat=Coat.EASY, season=Season.SPRING, method=Method.POUR_OVER)
    >>> air = Air(temp_c=10.0, humidity=0.6)
    >>> need = plan_pour_over(Hog(live_kg=60.0), band=easy, air=air, kettle=kettle(litres=40.0))
    >>> round(need.water_kg), need.kettlefuls
    (42, 1)

    Source: ``hide`` (computed); pouring temperature Farmers' Bulletin 2265's start (published).
    """
    within("useful share", useful, low=0.1, high=1.0, unit="of 1", rule="pour-over")
    within("cold water", tap_c, low=0.5, high=60.0, unit="degC", rule="pour-over")
    low, high = band.strike_low_c, band.strike_high_c
    pour_c = (low + high) / 2 if low is not None and high is not None else PUBLISHED_START_C[0]
    soak = (band.soak_low_s + band.soak_high_s) / 2
    skin = hog.skin_m2 * skin_uptake_j_m2_k(soak) * (band.target_c - hog.skin_c)
    film = hog.film_kg * (enthalpy_j_kg(band.floor_c) - enthalpy_j_kg(hog.film_c))
    each = useful * (enthalpy_j_kg(pour_c) - enthalpy_j_kg(band.floor_c))
    water_kg = (skin + film) / each
    boiling, cold = enthalpy_j_kg(air.boils_at_c - 4.0), enthalpy_j_kg(tap_c)
    boiling_kg = water_kg * (enthalpy_j_kg(pour_c) - cold) / (boiling - cold)
    return PourOver(
        water_kg=water_kg,
        boiling_kg=boiling_kg,
        cold_kg=water_kg - boiling_kg,
        heat_j=water_kg * (enthalpy_j_kg(pour_c) - cold),
        kettlefuls=math.ceil(boiling_kg / (0.9 * 1000.0 * kettle.brim_m3)),
        pour_c=pour_c,
    )
