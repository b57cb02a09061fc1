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
from stations.trade.hide import Hog
from stations.trade.losses import Exposure, Lid
from stations.trade.measures import celsius
from stations.trade.scald import (
    Bucket,
    Dip,
    DipBand,
    ScaldCurve,
    boiling_bucket,
    dip_band,
    hold_curve,
    strike_temperature_c,
)
from stations.trade.verdicts import Grade, Verdict
from stations.trade.vessels import Cover, Method, Vessel, water_needed_kg
from stations.trade.water import Air

PUBLISHED_START_C = (celsius(fahrenheit=155.0), celsius(fahrenheit=160.0))
A_BOARD = Lid()
KETTLE_FILLED = 0.9
"""A tenth of a kettle is left empty for the boil (a judgement)."""
HOLD_MARGIN_K = 0.5
"""Buckets go in half a kelvin above the floor, so that the floor is not crossed while carrying."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaldSetup:
    """What the lead chose: vessel, hogs in order, air, fire, cold water, kettle and its fire.

    ``bands`` are one for each hog, its coat's; ``tap_c`` 0.5 to 60 degC; ``water_kg`` None for what
    the largest hog needs; ``cover`` whole or half with a roll; ``kettle_fire`` None where boiling
    water comes from elsewhere; ``bucket_kg`` 0.1 to 200 kg of it in one bucket.
    """

    vessel: Vessel
    hogs: tuple[Hog, ...]
    air: Air
    fire: Fire
    bands: tuple[ScaldBand, ...]
    cover: Cover = Cover.WHOLE
    tap_c: float = 12.0
    water_kg: float | None = None
    lid: Lid = A_BOARD
    kettle: Vessel | None = None
    kettle_fire: Fire | None = None
    bucket_kg: float = 9.0
    fire_stays: bool = False

    def __post_init__(self) -> None:
        hogs = len(self.hogs)
        within("hogs", hogs, low=1, high=20, unit="hogs", rule="scald plan")
        within("bands", len(self.bands), low=hogs, high=hogs, unit="bands", rule="one for each hog")
        within("cold water", self.tap_c, low=0.5, high=60.0, unit="degC", rule="scald plan")
        if self.vessel.method is Method.POUR_OVER:
            raise OutOfRange(
                "vessel for a dip", got=0.0, low=1.0, high=1.0, unit="trough or barrel",
                rule="pouring.plan_pour_over plans kettles",
            )  # fmt: skip

        for hog in self.hogs:
            water_needed_kg(self.vessel, hog, cover=self.cover)  # refuses a hog that does not fit
            room_kg = dip_of(self, hog, water_kg=5.0).room_kg
            within("water", self.fill_kg, low=5.0, high=room_kg, unit="kg", rule="beside the hog")

    @property
    def bucket(self) -> Bucket:
        """A bucket of boiling water as it arrives at the trough."""
        return boiling_bucket(self.air, kg=self.bucket_kg)

    @property
    def fill_kg(self) -> float:
        """Water in the vessel before the first hog."""
        if self.water_kg is not None:
            return self.water_kg
        return max(water_needed_kg(self.vessel, hog, cover=self.cover) for hog in self.hogs)


@dataclass(frozen=True, slots=True, kw_only=True)
class HogScald:
    """One hog's part of the plan: band, strike, curve with buckets, the re-heat after it (or None).

    ``spread`` is the curve between the published formulas that differ most; ``left`` the water
    after the hog, made up with ``top_up_kg`` of cold.
    """

    band: ScaldBand
    strike_c: float
    curve: ScaldCurve
    spread: DipBand
    dip_s: float
    left: Bath
    reheat: HeatUp | None
    top_up_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Kettles:
    """The boiling water: buckets, kettlefuls, s to boil one, fuel for all."""

    buckets: int
    kettlefuls: int
    boil_s: float
    fuel_kg: float


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


def strike_for(setup: ScaldSetup, place: int) -> float:
    """Where to strike for one hog: its band's published start, or what gives its target mid-dip.

    ``place`` is the hog's in the order of the setup, from 0. Raises OutOfRange when no allowed
    strike gives it. Example: see ``plan_scald``.

    Source: the band's own; otherwise ``scald.strike_temperature_c`` (computed).
    """
    hog, band = setup.hogs[place], setup.bands[place]
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


def _scald_one(setup: ScaldSetup, place: int, strike_c: float) -> HogScald:
    hog, band, fill = setup.hogs[place], setup.bands[place], setup.fill_kg
    dip_s = (band.soak_low_s + band.soak_high_s) / 2
    dip = dip_of(setup, hog, water_kg=fill)
    curve = hold_curve(
        dip,
        strike_c=strike_c,
        seconds=dip_s,
        hold_c=band.floor_c + HOLD_MARGIN_K,
        bucket=setup.bucket,
    )
    left, top_up = _after_the_hog(setup, hog, curve.end, fill)
    return HogScald(
        band=band,
        strike_c=strike_c,
        curve=curve,
        spread=dip_band(dip, strike_c=strike_c, seconds=dip_s, buckets=curve.buckets),
        dip_s=dip_s,
        left=left,
        reheat=None,
        top_up_kg=top_up,
    )


def _after_the_hog(setup: ScaldSetup, hog: Hog, end: Bath, fill_kg: float) -> tuple[Bath, float]:
    """The hog takes out as much film as it brought; cold water makes up what is missing."""
    left = replace(end, water_kg=end.water_kg - hog.film_kg)
    top_up = max(0.0, fill_kg - left.water_kg)
    wall = setup.vessel.wall_j_k
    made_up = pour(left, water_kg=top_up, water_c=setup.tap_c, wall_j_k=wall)
    return Bath(water_c=made_up.water_c, water_kg=made_up.water_kg), top_up


def reheat(setup: ScaldSetup, left: Bath, *, strike_c: float) -> HeatUp:
    """Bring the water a hog left back to a strike, the lid off and the fire as in the setup.

    ``left`` is a ``HogScald.left``; water already hotter than ``strike_c`` takes no time (the wait
    until it has cooled is not counted). Raises OutOfRange when the fire cannot reach it. Example:
    see ``plan_scald``.

    Source: ``heat.heat_up`` (computed).
    """
    return heat_up(
        setup.vessel,
        water_kg=left.water_kg,
        start_c=left.water_c,
        target_c=max(strike_c, left.water_c),
        exposure=_heating(setup, lid=False),
        fire=setup.fire,
    )


def boil_kettle(
    kettle: Vessel, *, fire: Fire, air: Air, tap_c: float, lid: Lid = A_BOARD
) -> HeatUp:
    """One kettleful from cold to the boil under a lid; a tenth of it is left empty for the boil.

    ``tap_c`` 0.5 to 60 degC. Raises OutOfRange when the fire cannot bring it there. Example: see
    ``plan_scald``.

    Source: ``heat.heat_up`` (computed) to half a kelvin under the boil.
    """
    return heat_up(
        kettle,
        water_kg=kettle.brim_m3 * 1000.0 * KETTLE_FILLED,
        start_c=tap_c,
        target_c=air.boils_at_c - 0.5,
        exposure=Exposure(air=air, lid=lid),
        fire=fire,
    )


def plan_kettles(setup: ScaldSetup, *, buckets: int) -> Kettles | None:
    """Kettlefuls for a number of buckets, how long each takes to boil, and when to light.

    The first kettleful must boil as the hog goes in. ``buckets`` 0 to 500. None without a kettle or
    a fire for it. Raises OutOfRange when its fire cannot bring it to the boil. Example: see
    ``plan_scald``.

    Source: ``boil_kettle`` (computed).
    """
    within("buckets", buckets, low=0, high=500, unit="buckets", rule="kettles")
    if setup.kettle is None or setup.kettle_fire is None:
        return None
    boil = boil_kettle(
        setup.kettle, fire=setup.kettle_fire, air=setup.air, tap_c=setup.tap_c, lid=setup.lid
    )
    kettlefuls = math.ceil(buckets * setup.bucket.kg / boil.end.water_kg)
    return Kettles(
        buckets=buckets,
        kettlefuls=kettlefuls,
        boil_s=boil.seconds,
        fuel_kg=boil.fuel_kg * kettlefuls,
    )


def from_cold(setup: ScaldSetup, *, strike_c: float, lid: bool = False) -> HeatUp:
    """The first heat-up: the fill from the tap's temperature to a strike, with or without a lid.

    Raises OutOfRange when the fire cannot reach it against these losses. Example: see
    ``plan_scald``.

    Source: ``heat.heat_up`` (computed).
    """
    return heat_up(
        setup.vessel,
        water_kg=setup.fill_kg,
        start_c=setup.tap_c,
        target_c=strike_c,
        exposure=_heating(setup, lid=lid),
        fire=setup.fire,
    )


def in_wind(setup: ScaldSetup, *, wind_m_s: float, strike_c: float) -> HeatUp | None:
    """The same heat-up in another wind, all else as it is; None if the fire never gets there.

    ``wind_m_s`` 0 to 10 m/s; otherwise raises OutOfRange. The fire's own share is kept, though wind
    also carries its heat away. Example: see ``plan_scald``.

    Source: ``heat.heat_up`` (computed).
    """
    air = replace(setup.air, wind_m_s=wind_m_s)
    try:
        return from_cold(replace(setup, air=air), strike_c=strike_c)
    except OutOfRange:
        return None


def plan_scald(setup: ScaldSetup) -> ScaldPlan:
    """The whole scald: fill, heat up, each hog in turn with its buckets, re-heat between.

    Raises OutOfRange when a hog does not fit, the fire cannot reach the strike, or the strike would
    pass what is allowed; the message names the limit.

    >>> from stations.trade.coats import Coat, Season, band_for
    >>> from stations.trade.fuels import Fuel, fire_of
    >>> from stations.trade.vessels import kettle, open_trough
    >>> trough = open_trough(length_m=1.83, width_m=0.76, depth_m=0.6)
    >>> ordinary = band_for(coat=Coat.ORDINARY, season=Season.SPRING, method=Method.OPEN_TROUGH)
    >>> setup = ScaldSetup(
    ...     vessel=trough, hogs=(Hog(live_kg=125.0),) * 3, cover=Cover.HALF, water_kg=230.0,
    ...     air=Air(temp_c=5.0, humidity=0.6, wind_m_s=1.0),
    ...     fire=fire_of(Fuel.PROPANE, rated_w=60_000.0),
    ...     kettle=kettle(litres=40.0), kettle_fire=fire_of(Fuel.PROPANE, rated_w=30_000.0),
    ...     bands=(ordinary,) * 3)
    >>> plan = plan_scald(setup)
    >>> round(plan.hogs[0].strike_c, 1), len(plan.hogs[0].curve.buckets)
    (64.4, 1)
    >>> again = plan.hogs[0].reheat
    >>> round(plan.heat_up.seconds / 60), round(again.seconds / 60), plan.hogs[2].reheat
    (43, 4, None)
    >>> strike_for(setup, 0) == plan.hogs[0].strike_c
    True
    >>> reheat(setup, plan.hogs[0].left, strike_c=plan.hogs[1].strike_c) == again
    True
    >>> plan_kettles(setup, buckets=5).kettlefuls
    2
    >>> dip_of(setup, setup.hogs[0], water_kg=230.0).power_w
    0.0
    >>> calm, windy = (in_wind(setup, wind_m_s=wind, strike_c=65.0) for wind in (0.0, 3.0))
    >>> round(calm.seconds / 60), round(windy.seconds / 60)
    (40, 55)
    >>> again = boil_kettle(setup.kettle, fire=setup.kettle_fire, air=setup.air, tap_c=12.0)
    >>> again.seconds == plan.kettles.boil_s
    True
    >>> from_cold(setup, strike_c=plan.hogs[0].strike_c) == plan.heat_up
    True

    Source: ``heat``, ``scald``, ``coats`` (computed from published inputs).
    """
    strikes = [strike_for(setup, place) for place in range(len(setup.hogs))]
    bare, lidded = (from_cold(setup, strike_c=strikes[0], lid=lid) for lid in (False, True))
    parts = [_scald_one(setup, place, strike) for place, strike in enumerate(strikes)]
    between = (
        replace(part, reheat=reheat(setup, part.left, strike_c=then))
        for part, then in zip(parts, strikes[1:], strict=False)
    )
    hogs = (*between, replace(parts[-1], top_up_kg=0.0))
    again = sum(part.reheat.fuel_kg for part in hogs if part.reheat is not None)
    return ScaldPlan(
        water_kg=setup.fill_kg,
        heat_up=bare,
        lid_saves_s=bare.seconds - lidded.seconds,
        lid_saves_kg=bare.fuel_kg - lidded.fuel_kg,
        hogs=hogs,
        kettles=plan_kettles(setup, buckets=sum(len(part.curve.buckets) for part in hogs)),
        fuel_kg=bare.fuel_kg + again,
        strike=strike_verdict(max(strikes)),
    )
