"""A trough's row and the hogs' rows to what ``stations.trade`` computes with. SI on both sides."""

from __future__ import annotations

from collections.abc import Iterable

from stations.models import ScaldMethod, Trough
from stations.trade.coats import Coat, ScaldBand, Season, band_for, falling_band
from stations.trade.fuels import Fire, Fuel
from stations.trade.hide import Hog
from stations.trade.scald import Bucket, boiling_bucket
from stations.trade.scald_plan import ScaldSetup
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
from workshops.models import Animal


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


def bucket_of(trough: Trough) -> Bucket:
    """A bucket of boiling water as it arrives at the trough."""
    return boiling_bucket(air_of(trough), kg=trough.bucket_kg)


def band_of(trough: Trough, animal: Animal) -> ScaldBand:
    """Where the water should be for one hog's coat, or the lead's falling scald."""
    if trough.falling_scald:
        return falling_band()
    return band_for(
        coat=Coat(animal.coat), season=Season(trough.season), method=Method(trough.method)
    )


def hog_of(trough: Trough, animal: Animal) -> Hog:
    """A hog at the water's edge, wet with the rinse."""
    return Hog(live_kg=float(animal.live_kg), film_c=trough.tap_c)


def scald_setup(
    trough: Trough, animals: Iterable[Animal], *, band: ScaldBand, vessel: Vessel
) -> ScaldSetup:
    """The whole scald as ``scald_plan`` takes it. Raises OutOfRange."""
    pot = kettle_of(trough)
    return ScaldSetup(
        vessel=vessel,
        hogs=tuple(hog_of(trough, animal) for animal in animals),
        air=air_of(trough),
        fire=fire_of(trough),
        band=band,
        cover=Cover(trough.cover),
        tap_c=trough.tap_c,
        water_kg=trough.water_kg,
        kettle=pot,
        kettle_fire=kettle_fire_of(trough) if pot else None,
        fire_stays=trough.fire_stays,
    )
