"""What the scald plan says, in the workshop's units: figures, a hog at a time, and the why."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from stations import curves, heating
from stations.cautions import Caution, burn_at
from stations.fields import KG_PER_L, WIND
from stations.models import FireFuel, Trough
from stations.refusals import shown
from stations.trade.burns import FIRST_AID
from stations.trade.errors import OutOfRange
from stations.trade.evaporation import evaporation_band_w_m2, evaporation_w_m2
from stations.trade.fuels import PROPANE_KG_M3, Fuel
from stations.trade.pouring import PourOver, plan_pour_over
from stations.trade.scald_plan import (
    HogScald,
    ScaldPlan,
    ScaldSetup,
    in_wind,
    plan_scald,
    strike_verdict,
)
from stations.trade.verdicts import Grade
from stations.trade.vessels import Cover, Vessel, water_needed_kg
from workshops.models import Animal
from workshops.quantities import TEMPERATURE, VOLUME, WEIGHT

MORE_WIND_M_S = 2.0
"""How much more wind the sheet shows: a light breeze more, about 4.5 mph."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One big number with its label and a note."""

    label: str
    value: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class HogLine:
    """One hog of the plan."""

    name: str
    facts: tuple[tuple[str, str], ...]
    band_note: str
    picture: curves.Picture | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaldSheet:
    """All that the page shows; ``heat_min`` and ``boil_min`` are what the clock counts back by."""

    figures: tuple[Figure, ...]
    verdict: str
    burn: Caution
    heat_up: curves.Picture | None
    hogs: tuple[HogLine, ...]
    because: tuple[str, ...]
    heat_min: int | None = None
    boil_min: int | None = None


def sheet_of(trough: Trough, animals: Sequence[Animal], *, set_up: str = "") -> ScaldSheet:
    """The plan of one trough row for these hogs, as a page shows it.

    ``set_up`` is the sentence about the timetable, if there is one. Raises OutOfRange where the
    trade rules refuse; no query if the trough was loaded with its station and workshop.
    """
    words = _Words(trough)
    vessel = heating.vessel_of(trough)
    if vessel is None:
        return words.poured(animals)
    setup = heating.scald_setup(trough, animals, vessel=vessel)
    return words.dipped(setup, plan_scald(setup), animals, set_up)


def minutes(seconds: float) -> str:
    """Whole minutes, rounded up: "79 min", "2 h 5 min"."""
    whole = math.ceil(seconds / 60 - 1e-9)
    hours, rest = divmod(whole, 60)
    return f"{hours} h {rest} min" if hours else f"{rest} min"


class _Words:
    """Numbers of one trough's plan in the units of its workshop."""

    def __init__(self, trough: Trough) -> None:
        self.trough = trough
        self.units = trough.station.workshop.units

    # --- numbers ---

    def degrees(self, celsius: float) -> str:
        return TEMPERATURE.shown(celsius, self.units)

    def water(self, kilograms: float, *, decimals: int = 0) -> str:
        return VOLUME.shown(kilograms / KG_PER_L, self.units, decimals=decimals)

    def fuel(self, kilograms: float, fuel: str) -> str:
        said = WEIGHT.shown(kilograms, self.units, decimals=1 if kilograms < 20 else 0)
        if fuel == Fuel.PROPANE:
            litres = 1000 * kilograms / PROPANE_KG_M3
            said += f" ({VOLUME.shown(litres, self.units, decimals=1)})"
        return f"{said} of {FireFuel(fuel).label}"

    def heat(self, watts: float) -> str:
        return shown(watts, "W", self.units)

    # --- a dip ---

    def dipped(
        self, setup: ScaldSetup, plan: ScaldPlan, animals: Sequence[Animal], set_up: str
    ) -> ScaldSheet:
        hottest = max(part.strike_c for part in plan.hogs)
        kettles = plan.kettles
        return ScaldSheet(
            figures=self._figures(plan),
            verdict=self._verdict(hottest),
            burn=burn_at(hottest, self.units, first_aid=FIRST_AID),
            heat_up=self._climb(plan),
            hogs=tuple(
                self._hog(setup, part, animal, place)
                for place, (part, animal) in enumerate(zip(plan.hogs, animals, strict=True))
            ),
            because=self._because(setup, plan, set_up),
            heat_min=math.ceil(plan.heat_up.seconds / 60),
            boil_min=math.ceil(kettles.boil_s / 60) if kettles and kettles.buckets else None,
        )

    def _figures(self, plan: ScaldPlan) -> tuple[Figure, ...]:
        strikes = sorted({self.degrees(part.strike_c) for part in plan.hogs})
        buckets = sum(len(part.curve.buckets) for part in plan.hogs)
        return (
            Figure(label="Strike", value=" to ".join((strikes[0], *strikes[1:][-1:]))),
            Figure(
                label="Heat from cold", value=minutes(plan.heat_up.seconds),
                note=f"{self.water(plan.water_kg)} from {self.degrees(self.trough.tap_c)}",
            ),
            Figure(
                label="Fuel for the day", value=self.fuel(plan.fuel_kg, self.trough.fuel),
                note=f"{self.fuel(plan.heat_up.fuel_kg, self.trough.fuel)} of it for the first hog"
                if len(plan.hogs) > 1 else "",
            ),
            Figure(
                label="Buckets", value=str(buckets),
                note=f"boiling, {self.water(self.trough.bucket_kg, decimals=1)} each; "
                "have two more ready",
            ),
        )  # fmt: skip

    def _verdict(self, strike_c: float) -> str:
        verdict = strike_verdict(strike_c)
        limit = self.degrees(verdict.limit)
        if verdict.grade is Grade.WITHIN:
            return f"Struck no hotter than the hottest published start, {limit} ({verdict.source})."
        return (
            f"Ask the lead: {self.degrees(strike_c)} is hotter than the hottest published start, "
            f"{limit} ({verdict.source}). {verdict.remedy}."
        )

    def _climb(self, plan: ScaldPlan) -> curves.Picture:
        up, strike = plan.heat_up, plan.hogs[0].strike_c
        trace = curves.Trace(times_s=up.times_s, temps_c=up.temps_c, levels=(("strike", strike),))
        sentence = (
            f"The water climbs from {self.degrees(up.temps_c[0])} to {self.degrees(strike)} in "
            f"{minutes(up.seconds)}, faster at first: hot water loses more."
        )
        return curves.draw(trace, units=self.units, sentence=sentence)

    def _hog(self, setup: ScaldSetup, part: HogScald, animal: Animal, place: int) -> HogLine:
        band, curve = part.band, part.curve
        poured = [f"{bucket.at_s / 60:.0f}" for bucket in curve.buckets]
        facts = [
            ("Weight, coat", f"{WEIGHT.shown(animal.live_kg, self.units)}, {animal.coat}"),
            ("Strike", self.degrees(part.strike_c)),
            (
                "Keep between",
                f"{self.degrees(band.floor_c)} and {self.degrees(band.ceiling_c)}",
            ),
            ("In the water", f"{band.soak_low_s / 60:g} to {band.soak_high_s / 60:g} min"),
            ("At the end", self.degrees(curve.temps_c[-1])),
            ("Buckets", f"{len(poured)}, at minute {', '.join(poured)}" if poured else "none"),
            *self._needs(setup.vessel, setup, place),
        ]
        if part.reheat is not None:
            facts.append(("Hot again after", minutes(part.reheat.seconds)))
            facts.append(("Top up with cold", self.water(part.top_up_kg, decimals=1)))
        return HogLine(
            name=str(animal),
            facts=tuple(facts),
            band_note=f"{band.note} From: {band.source}.",
            picture=self._dip(part, str(animal)),
        )

    def _needs(self, vessel: Vessel, setup: ScaldSetup, place: int) -> list[tuple[str, str]]:
        said = []
        for cover, words in ((Cover.WHOLE, "Water to cover it"), (Cover.HALF, "Half, with a roll")):
            try:
                need = self.water(water_needed_kg(vessel, setup.hogs[place], cover=cover))
            except OutOfRange:
                need = "does not fit this vessel"
            said.append((words, need))
        return said

    def _dip(self, part: HogScald, name: str) -> curves.Picture:
        curve, band = part.curve, part.band
        trace = curves.Trace(
            times_s=curve.times_s,
            temps_c=curve.temps_c,
            low_c=part.spread.low_c,
            high_c=part.spread.high_c,
            levels=(("floor", band.floor_c), ("ceiling", band.ceiling_c)),
            buckets_s=tuple(bucket.at_s for bucket in curve.buckets),
        )
        low, high = (self.degrees(temps[-1]) for temps in (part.spread.low_c, part.spread.high_c))
        sentence = (
            f"{name}: {self.degrees(curve.temps_c[0])} as it goes in, "
            f"{self.degrees(curve.at(min(120.0, part.dip_s)))} after two minutes, "
            f"{self.degrees(curve.temps_c[-1])} after {part.dip_s / 60:g}; between {low} and "
            f"{high} by the other published formulas."
        )
        return curves.draw(trace, units=self.units, sentence=sentence)

    # --- why ---

    def _because(self, setup: ScaldSetup, plan: ScaldPlan, set_up: str) -> tuple[str, ...]:
        said = [
            f"A lid while it heats saves {minutes(plan.lid_saves_s)} and "
            f"{self.fuel(plan.lid_saves_kg, self.trough.fuel)}. "
            "Boards over nine tenths of it will do.",
            self._wind(setup, plan),
            self._losses(setup, plan),
            self._kettle(plan),
            self._between(plan),
            self._shallow(setup),
            set_up,
        ]
        return tuple(sentence for sentence in said if sentence)

    def _wind(self, setup: ScaldSetup, plan: ScaldPlan) -> str:
        strike = plan.hogs[0].strike_c
        more = min(10.0, setup.air.wind_m_s + MORE_WIND_M_S)
        calm, windy = (in_wind(setup, wind_m_s=wind, strike_c=strike) for wind in (0.0, more))
        speed = WIND.shown(more, self.units)
        at = f"in a wind of {speed} {minutes(windy.seconds)}" if windy else ""
        lost = f"in a wind of {speed} this fire never gets there"
        still = f"in still air it takes {minutes(calm.seconds)}" if calm else ""
        return f"From cold, {still}, {at or lost}. A screen is worth more than a bigger fire."

    def _losses(self, setup: ScaldSetup, plan: ScaldPlan) -> str:
        strike, surface = plan.hogs[0].strike_c, setup.vessel.surface_m2
        low, high = (each * surface for each in evaporation_band_w_m2(strike, setup.air))
        chosen = evaporation_w_m2(strike, setup.air) * surface
        return (
            f"At the strike the open water gives off {self.heat(chosen)} as steam; published "
            f"formulas say {self.heat(low)} to {self.heat(high)}, and the readings at the trough "
            f"decide. The fire puts in {self.heat(setup.fire.useful_w)}."
        )

    def _kettle(self, plan: ScaldPlan) -> str:
        kettles = plan.kettles
        buckets = sum(len(part.curve.buckets) for part in plan.hogs)
        if kettles is None:
            return (
                f"There is no kettle; {buckets} buckets of boiling water must come from elsewhere."
                if buckets
                else "There is no kettle, and by this plan no bucket is needed."
            )
        boils = self.degrees(self.trough_boils_c)
        if not kettles.buckets:
            return (
                f"By this plan no bucket is needed; a kettle boils in {minutes(kettles.boil_s)} "
                f"(at {boils} here) if the readings say otherwise."
            )
        return (
            f"{kettles.buckets} bucket{'s' if kettles.buckets != 1 else ''}: "
            f"{kettles.kettlefuls} kettleful{'s' if kettles.kettlefuls != 1 else ''}, each "
            f"boiling in {minutes(kettles.boil_s)} (at {boils} here), "
            f"{self.fuel(kettles.fuel_kg, self.trough.kettle_fuel)} in all. Light it so long "
            "before the first hog, and again as soon as it is drawn."
        )

    @property
    def trough_boils_c(self) -> float:
        """The boiling point at the farm."""
        return heating.air_of(self.trough).boils_at_c

    def _shallow(self, setup: ScaldSetup) -> str:
        """Too little water is not refused: the lead may roll more, but is told."""
        need = max(water_needed_kg(setup.vessel, hog, cover=setup.cover) for hog in setup.hogs)
        if setup.fill_kg >= need - 1.0:
            return ""
        return (
            f"The largest hog needs {self.water(need)} for this cover; there are "
            f"{self.water(setup.fill_kg)}. Add water, or roll it more often."
        )

    @staticmethod
    def _between(plan: ScaldPlan) -> str:
        again = [part.reheat.seconds for part in plan.hogs if part.reheat is not None]
        if not again:
            return ""
        return f"Between hogs the water is hot again after {', '.join(map(minutes, again))}."

    # --- poured ---

    def poured(self, animals: Sequence[Animal]) -> ScaldSheet:
        pot = heating.kettle_of(self.trough)
        assert pot is not None, "the form and a constraint both ask a pour-over for its kettle"
        air = heating.air_of(self.trough)
        needs = [
            plan_pour_over(
                heating.hog_of(self.trough, animal),
                band=heating.band_of(self.trough, animal),
                air=air,
                kettle=pot,
                tap_c=self.trough.tap_c,
            )
            for animal in animals
        ]
        hottest = max(need.pour_c for need in needs)
        boil = heating.kettle_boil(self.trough)
        all_water = sum(need.water_kg for need in needs)
        kettlefuls = sum(need.kettlefuls for need in needs)
        return ScaldSheet(
            figures=(
                Figure(label="Pour at", value=self.degrees(hottest)),
                Figure(label="Kettle boils in", value=minutes(boil.seconds)),
                Figure(label="Kettlefuls", value=str(kettlefuls)),
                Figure(label="Water in all", value=self.water(all_water)),
                Figure(
                    label="Fuel",
                    value=self.fuel(boil.fuel_kg * kettlefuls, self.trough.kettle_fuel),
                ),
            ),
            verdict=self._verdict(hottest),
            burn=burn_at(hottest, self.units, first_aid=FIRST_AID),
            heat_up=None,
            hogs=tuple(
                self._poured_hog(need, animal) for need, animal in zip(needs, animals, strict=True)
            ),
            because=(
                "Half of the heat is taken to run off unused (a judgement): sacking over the side "
                "that is worked keeps it there. Pour away from people, never over hands at work.",
            ),
            heat_min=None,
            boil_min=math.ceil(boil.seconds / 60),
        )

    def _poured_hog(self, need: PourOver, animal: Animal) -> HogLine:
        band = heating.band_of(self.trough, animal)
        return HogLine(
            name=str(animal),
            facts=(
                ("Weight, coat", f"{WEIGHT.shown(animal.live_kg, self.units)}, {animal.coat}"),
                ("Pour", f"{self.water(need.water_kg)} at {self.degrees(need.pour_c)}"),
                ("Boiling", self.water(need.boiling_kg)),
                ("Cold to mix in", self.water(need.cold_kg)),
                ("Kettlefuls", str(need.kettlefuls)),
                ("Work each side", f"{band.soak_low_s / 60:g} to {band.soak_high_s / 60:g} min"),
            ),
            band_note=f"{band.note} From: {band.source}.",
        )
