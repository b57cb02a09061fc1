"""A trough's row and the hogs' rows to what ``stations.trade`` computes with. SI on both sides."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import permutations

from stations.models import ScaldMethod, Station, Trough
from stations.refusals import refused
from stations.trade.coats import Coat, ScaldBand, Season, band_for, falling_band
from stations.trade.errors import OutOfRange
from stations.trade.fuels import Fire, Fuel
from stations.trade.heat import HeatUp
from stations.trade.hide import Hog
from stations.trade.pouring import pour_c
from stations.trade.scald import Bucket, boiling_bucket
from stations.trade.scald_plan import (
    ScaldSetup,
    boil_kettle,
    plan_scald,
    reheat,
    strike_for,
)
from stations.trade.vessels import (
    Cover,
    Method,
    Vessel,
    Wall,
    kettle,
    open_trough,
    tipped_barrel,
)
from stations.trade.water import Air
from workshops.models import Animal, AnimalStatus, Workshop

HANDLING_MIN = 5
"""Added to every re-heat: skim the hair, top up, stir, read both ends (a judgement, no source)."""
WARMEST_RINSE_C = 40.0


def vessel_of(trough: Trough) -> Vessel | None:
    """What the hog goes into; None where water is poured over it. Raises OutOfRange."""
    match ScaldMethod(trough.method):
        case ScaldMethod.OPEN_TROUGH:
            return open_trough(
                length_m=trough.length_m,
                width_m=trough.width_m,
                depth_m=trough.depth_m,
                wall=Wall(trough.wall),
                wall_kg=trough.wall_kg,
            )
        case ScaldMethod.TIPPED_BARREL:
            return tipped_barrel(
                diameter_m=trough.width_m, height_m=trough.length_m, wall_kg=trough.wall_kg
            )
        case _:  # the one that is left, POUR_OVER; enum classes of Django defeat assert_never
            return None


def kettle_of(trough: Trough) -> Vessel | None:
    """The kettle, if there is one."""
    return None if trough.kettle_l is None else kettle(litres=trough.kettle_l)


def air_of(trough: Trough) -> Air:
    """The air expected over the water, at the farm's altitude (one query unless joined)."""
    return Air(
        temp_c=trough.air_c,
        humidity=trough.humidity,
        wind_m_s=trough.wind_m_s,
        altitude_m=float(trough.station.workshop.altitude_m),
    )


def fire_of(trough: Trough) -> Fire:
    """The fire under the vessel."""
    return Fire(fuel=Fuel(trough.fuel), rated_w=trough.fire_w, efficiency=trough.fire_efficiency)


def kettle_fire_of(trough: Trough) -> Fire:
    """The fire under the kettle."""
    return Fire(
        fuel=Fuel(trough.kettle_fuel),
        rated_w=trough.kettle_w,
        efficiency=trough.kettle_efficiency,
    )


def kettle_boil(trough: Trough) -> HeatUp:
    """One kettleful from cold to the boil; the trough must have a kettle. Raises OutOfRange."""
    pot = kettle_of(trough)
    assert pot is not None, "asked of a trough without a kettle"
    return boil_kettle(pot, fire=kettle_fire_of(trough), air=air_of(trough), tap_c=trough.tap_c)


def bucket_of(trough: Trough) -> Bucket:
    """A bucket of boiling water as it arrives at the trough."""
    return boiling_bucket(air_of(trough), kg=trough.bucket_kg)


def band_of(trough: Trough, animal: Animal) -> ScaldBand:
    """Where the water should be for one hog's coat, or the lead's falling scald."""
    coat, season = Coat(animal.coat), Season(trough.season)
    if trough.falling_scald:
        return falling_band(coat=coat, season=season)
    return band_for(coat=coat, season=season, method=Method(trough.method))


def hog_of(trough: Trough, animal: Animal) -> Hog:
    """A hog at the water's edge, wet with the rinse. Raises OutOfRange over 350 kg."""
    # Rinse water warmer than a body only stands for a hot tap; the coat is no warmer than that.
    return Hog(live_kg=float(animal.live_kg), film_c=min(trough.tap_c, WARMEST_RINSE_C))


def scald_setup(trough: Trough, animals: Iterable[Animal], *, vessel: Vessel) -> ScaldSetup:
    """The whole scald as ``scald_plan`` takes it, each hog with its own band. Raises OutOfRange."""
    pot, hogs = kettle_of(trough), tuple(animals)
    return ScaldSetup(
        vessel=vessel,
        hogs=tuple(hog_of(trough, animal) for animal in hogs),
        bands=tuple(band_of(trough, animal) for animal in hogs),
        air=air_of(trough),
        fire=fire_of(trough),
        cover=Cover(trough.cover),
        tap_c=trough.tap_c,
        water_kg=trough.water_kg,
        kettle=pot,
        kettle_fire=kettle_fire_of(trough) if pot else None,
        bucket_kg=trough.bucket_kg,
        fire_stays=trough.fire_stays,
    )


def hogs_to_scald(workshop: Workshop) -> list[Animal]:
    """The hogs that take part, in the order of the kill: one query."""
    taking_part = [status for status in AnimalStatus if status.takes_part]
    return list(workshop.animals.filter(status__in=taking_part))


# --- the time between two hogs --------------------------------------------------------------


def reheat_minutes(trough: Trough, animals: Iterable[Animal]) -> dict[tuple[int, int], int]:
    """Whole minutes to heat the water again from one hog to another, by the hogs' ids.

    Every ordered pair: what one hog leaves depends on it alone, and so does what the next one
    needs. Rounded up; nothing is added. Empty for poured water, which is not heated between hogs.
    Raises OutOfRange when the plan refuses.
    """
    hogs, vessel = tuple(animals), vessel_of(trough)
    if vessel is None or not hogs:
        return {}
    setup = scald_setup(trough, hogs, vessel=vessel)
    parts = dict(zip(hogs, plan_scald(setup).hogs, strict=True))
    return {
        (before.pk, after.pk): math.ceil(
            reheat(setup, parts[before].left, strike_c=parts[after].strike_c).seconds / 60
        )
        for before, after in permutations(hogs, 2)
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUp:
    """Minutes the timetable keeps between two steps at a station, and where they come from."""

    minutes: int
    sentence: str = ""


def set_up_of(station: Station, animals: Iterable[Animal]) -> SetUp:
    """The longest re-heat between any two hogs and the handling; else what was typed, saying so.

    No query if the station was loaded with its trough and its workshop.
    """
    trough: Trough | None = getattr(station, "trough", None)
    typed = station.set_up_min
    if trough is None or station.capacity > 1:  # two vessels at one station: one is hot meanwhile
        return SetUp(minutes=typed)
    try:
        found = reheat_minutes(trough, animals)
    except OutOfRange as refusal:
        why = str(refused(refusal, station.workshop.units))
        return SetUp(
            minutes=typed,
            sentence=f"Between two hogs at the {station.name.lower()}: {typed} min, as typed at "
            f"the station, since the scald plan finds no re-heat. {why}",
        )
    if not found:
        return SetUp(minutes=typed)
    longest = max(found.values())
    return SetUp(
        minutes=longest + HANDLING_MIN,
        sentence=f"Between two hogs at the {station.name.lower()}: {longest + HANDLING_MIN} min. "
        f"The scald plan re-heats the water in {longest}; {HANDLING_MIN} more to skim, top up, "
        "stir and read both ends.",
    )


def set_up_sentences(stations: Iterable[Station], animals: Iterable[Animal]) -> list[str]:
    """Where the set-ups that are worked out come from, for the run sheet."""
    hogs = tuple(animals)
    found = (set_up_of(station, hogs) for station in stations)
    return [one.sentence for one in found if one.sentence]


# --- how hot ------------------------------------------------------------------------------------


def strikes_c(trough: Trough, animals: Iterable[Animal]) -> tuple[float, ...]:
    """How hot the water stands as each hog goes in, or is poured. Raises OutOfRange."""
    hogs, vessel = tuple(animals), vessel_of(trough)
    if vessel is None:
        return tuple(pour_c(band_of(trough, animal)) for animal in hogs)
    if not hogs:
        return ()
    setup = scald_setup(trough, hogs, vessel=vessel)
    return tuple(strike_for(setup, place) for place in range(len(hogs)))
