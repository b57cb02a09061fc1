"""Cold and heat for people at work outdoors, from the weather expected at the trough.

Cautions for the morning page. They know nobody's health, clothes or wet gloves.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from stations.cautions import Caution
from stations.fields import WIND
from stations.models import Signal, Trough
from stations.trade.measures import celsius
from stations.trade.verdicts import Grade, Verdict
from stations.trade.weather import (
    FROSTBITE,
    FROSTBITE_DEGF,
    STOP_WORK_SIGNS,
    WIND_CHILL,
    Effort,
    Sky,
    screen_cold,
    screen_heat,
)
from stations.wording import caution
from workshops.models import Workshop
from workshops.quantities import TEMPERATURE

KMH_PER_M_S = 3.6
WARMEST_WITH_CHILL_C, LEAST_WIND_KMH = 10.0, 4.8  # where the wind chill formula begins
COLDEST_HEAT_C = -20.0
FROSTBITE_MIN = 30  # published, at or under -18 degF of wind chill; no cap is published above it


@dataclass(frozen=True, slots=True, kw_only=True)
class Outdoors:
    """The weather expected, in words, and what it means for people at work.

    ``wet_cap_min`` is how long one turn at wet work may last; None where no figure is published.
    """

    letter: str
    expected: str
    notes: tuple[Caution, ...]
    wet_cap_min: int | None


def outdoors(workshop: Workshop) -> Outdoors | None:
    """The first trough's weather; None where no trough is written down. One query."""
    troughs = Trough.objects.filter(station__workshop=workshop).select_related("station")
    trough = troughs.order_by("station__order").first()
    return weather_at(trough, workshop.units) if trough else None


def weather_at(trough: Trough, units: str) -> Outdoors:
    """What the weather typed for one trough means.

    The wind is typed at the water, the chill formula wants it at 10 m, where it blows harder: the
    true chill is as cold or colder, and the note says so.
    """
    wind_kmh = trough.wind_m_s * KMH_PER_M_S
    cold, hot = verdicts_at(trough)
    air = TEMPERATURE.shown(trough.air_c, units)
    wind = WIND.shown(trough.wind_m_s, units)
    verdicts = [verdict for verdict in (cold, hot) if verdict and verdict.grade is not Grade.WITHIN]
    freezes = cold is not None and cold.grade is Grade.NEEDS_AID
    return Outdoors(
        letter=trough.station.letter,
        expected=f"{air}, wind {wind}, {trough.humidity:.0%} damp",
        notes=(
            *(caution(verdict, units) for verdict in verdicts),
            *_calm(trough.air_c, wind_kmh, air),
            *_extras(hot, cold, units),
        ),
        wet_cap_min=FROSTBITE_MIN if freezes else None,
    )


def verdicts_at(trough: Trough) -> tuple[Verdict | None, Verdict | None]:
    """What the screens of cold and heat say to the weather typed for a trough."""
    wind_kmh = trough.wind_m_s * KMH_PER_M_S
    return _cold(trough.air_c, wind_kmh), _heat(trough.air_c, trough.humidity)


def _cold(air_c: float, wind_kmh: float) -> Verdict | None:
    if air_c > WARMEST_WITH_CHILL_C or wind_kmh < LEAST_WIND_KMH:
        return None
    return screen_cold(air_degc=air_c, wind_kmh=wind_kmh)


def _calm(air_c: float, wind_kmh: float, air: str) -> Iterable[Caution]:
    """Too little wind for the formula: the air itself counts."""
    if air_c < 0 and wind_kmh < LEAST_WIND_KMH:
        yield Caution(
            signal=Signal.CAUTION,
            text=f"Calm, and the air is {air}. Keep wet hands covered and a warm place near.",
            source_line="common practice, no source; wind chill begins at 3 mph",
        )


def _heat(air_c: float, humidity: float) -> Verdict | None:
    """Carrying, scraping and hauling are heavy; part cloud, since nobody has typed the sky."""
    if air_c < COLDEST_HEAT_C:
        return None
    return screen_heat(air_degc=air_c, sky=Sky.PART_CLOUD, humidity=humidity, effort=Effort.HEAVY)


def _extras(hot: Verdict | None, cold: Verdict | None, units: str) -> Iterable[Caution]:
    if hot is not None and hot.grade is not Grade.WITHIN:
        yield Caution(
            signal=Signal.CAUTION,
            text="Waterproof aprons make heat worse. Stop someone who shows any of: "
            + " ".join(STOP_WORK_SIGNS),
            source_line="NIOSH 2016-106 (published); a laboratory's guideline on heat (published)",
        )
    if cold is None or cold.grade is Grade.WITHIN:
        return
    if cold.grade is Grade.NEEDS_AID:
        text = f"Wet or hot duties in turns of at most {FROSTBITE_MIN} minutes, then indoors."
    else:
        edge = TEMPERATURE.shown(celsius(fahrenheit=FROSTBITE_DEGF), units)
        text = (
            f"No turn at wet work is published for this chill; at {edge} it is under "
            f"{FROSTBITE_MIN} minutes. Shorten turns when hands go numb."
        )
    yield Caution(
        signal=Signal.CAUTION,
        text=f"{text} The wind was given at the water; out of its shelter it is colder.",
        source_line=str(FROSTBITE if cold.grade is Grade.NEEDS_AID else WIND_CHILL),
    )
