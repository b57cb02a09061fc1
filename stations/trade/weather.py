"""Cold and heat for people at work outdoors: wind chill, and published work and rest times.

Cautions for the morning page. They do not know a person's health, clothes or wet gloves.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from stations.trade.errors import within
from stations.trade.measures import celsius, fahrenheit
from stations.trade.sources import Source, Trust
from stations.trade.verdicts import Grade, Verdict

WIND_CHILL = Source(
    title="US National Weather Service", place="wind chill, 2001", trust=Trust.PUBLISHED
)
FROSTBITE = Source(
    title="US National Weather Service",
    place="frostbite within about 30 minutes at -18 degF wind chill",
    trust=Trust.PUBLISHED,
)
WORK_REST = Source(
    title="NIOSH 2016-106", place="work and rest by air temperature", trust=Trust.PUBLISHED
)
HEAT_ADJUSTMENTS = Source(
    title="NIOSH 2016-106", place="sun and humidity, reverse side", trust=Trust.MEMORY
)
OSHA_MANUAL = Source(
    title="OSHA Technical Manual III:4", place="heat above 70 degF", trust=Trust.PUBLISHED
)
HEAT_INDEX = Source(title="OSHA, Using the Heat Index", place="bands", trust=Trust.PUBLISHED)
EXPOSURE = Source(
    title="NIOSH 2016-106", place="recommended limits by metabolic rate", trust=Trust.MEMORY
)

FROSTBITE_DEGF = -18.0
HEAT_POSSIBLE_DEGF = 70.0
STOP_WORK_SIGNS = (  # published: a laboratory's guideline on heat
    "Pulse above 100 a minute after one minute of rest.",
    "Body above 38.5 degC (101.3 degF), or 38.0 degC (100.4 degF) when not used to heat.",
    "Sudden fatigue, nausea, dizziness or confusion.",
)


def wind_chill_degf(*, air_degf: float, wind_mph: float) -> float:
    """Wind chill in the US form.

    WC = 35.74 + 0.6215 T - 35.75 V^0.16 + 0.4275 T V^0.16.

    Args:
        air_degf: T, -50 to 50 degF.
        wind_mph: V, at 33 ft, 3 to 110 mph.

    Returns: degF.
    Raises: OutOfRange outside those ranges (the ranges are from memory).

    >>> round(wind_chill_degf(air_degf=0.0, wind_mph=15.0), 2)
    -19.4

    Source: US National Weather Service 2001 (published).
    """
    T = within("air", air_degf, low=-50.0, high=50.0, unit="degF", rule="wind chill")
    V = within("wind", wind_mph, low=3.0, high=110.0, unit="mph", rule="wind chill")
    blown = math.pow(V, 0.16)
    return 35.74 + 0.6215 * T - 35.75 * blown + 0.4275 * T * blown


def wind_chill_degc(*, air_degc: float, wind_kmh: float) -> float:
    """Wind chill in the metric form.

    WC = 13.12 + 0.6215 T - 11.37 V^0.16 + 0.3965 T V^0.16.

    Args:
        air_degc: T, -45 to 10 degC.
        wind_kmh: V, at 10 m, 4.8 to 177 km/h.

    Returns: degC.
    Raises: OutOfRange outside those ranges (the ranges are from memory).

    >>> round(wind_chill_degc(air_degc=-10.0, wind_kmh=30.0), 1)
    -19.5

    Source: US National Weather Service 2001, metric form (published).
    """
    T = within("air", air_degc, low=-45.0, high=10.0, unit="degC", rule="wind chill")
    V = within("wind", wind_kmh, low=4.8, high=177.0, unit="km/h", rule="wind chill")
    blown = math.pow(V, 0.16)
    return 13.12 + 0.6215 * T - 11.37 * blown + 0.3965 * T * blown


def screen_cold(*, air_degc: float, wind_kmh: float) -> Verdict:
    """What the wind chill says to people outdoors.

    At or under -18 degF (-27.8 degC) skin freezes within about 30 minutes: needs an aid. Under
    0 degC: ask the lead, hands are wet at this work (practice).

    Args:
        air_degc: -45 to 10 degC.
        wind_kmh: 4.8 to 177 km/h.

    Returns: a verdict in degC; colder is worse.
    Raises: OutOfRange outside those ranges.

    >>> screen_cold(air_degc=-2.0, wind_kmh=10.0).grade.words
    'ask the lead'

    Source: US National Weather Service (published).
    """
    chill = wind_chill_degc(air_degc=air_degc, wind_kmh=wind_kmh)
    freezes = celsius(fahrenheit=FROSTBITE_DEGF)
    grade, limit, remedy = Grade.WITHIN, 0.0, ""
    if chill <= freezes:
        grade, limit = Grade.NEEDS_AID, freezes
        remedy = "Cover all skin, work in turns of under 30 minutes, warm up indoors"
    elif chill < 0.0:
        grade = Grade.ASK_LEAD
        remedy = "Keep wet hands out of the wind and have a warm place near"
    return Verdict(
        grade=grade,
        rule="Wind chill",
        value=chill,
        limit=limit,
        unit="degC",
        source=FROSTBITE if grade is Grade.NEEDS_AID else WIND_CHILL,
        remedy=remedy,
    )


class Effort(StrEnum):
    """How hard the work is, as the heat table has it."""

    LIGHT = "light"
    MODERATE = "moderate"
    HEAVY = "heavy"


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkRest:
    """Minutes of work and of rest in an hour; ``is_caution`` marks rows where the table gives no
    times but a warning of high heat stress."""

    work_min: int
    rest_min: int
    is_caution: bool = False


NORMAL = WorkRest(work_min=60, rest_min=0)
CAUTION = WorkRest(work_min=0, rest_min=60, is_caution=True)

_FIRST_ROW, _LAST_ROW = 90, 112
# The row where each column stops being normal, and the work minutes from there; then caution.
_COLUMNS: Mapping[Effort, tuple[int, tuple[int, ...]]] = MappingProxyType(
    {
        Effort.LIGHT: (106, (45, 40, 35, 30, 15)),
        Effort.MODERATE: (100, (45, 40, 35, 30, 30, 25, 20, 15)),
        Effort.HEAVY: (95, (45, 45, 40, 35, 35, 30, 30, 25, 20, 20, 15)),
    }
)


def work_rest(*, table_degf: float, effort: Effort) -> WorkRest:
    """Minutes of work and rest in an hour of heat; between rows the next hotter is read.

    Args:
        table_degf: air temperature, adjusted by :func:`table_degf`, 90 to 112 degF.
        effort: how hard the work is; carrying, scraping and hauling are heavy.

    Returns: the row.
    Raises: OutOfRange outside the table: cooler has no row, hotter no work.

    >>> work_rest(table_degf=98.0, effort=Effort.HEAVY)
    WorkRest(work_min=35, rest_min=25, is_caution=False)

    Source: NIOSH 2016-106 (published): normal clothes, 30 % humidity, fit, under 40, with water.
    """
    within(
        "adjusted air temperature",
        table_degf,
        low=_FIRST_ROW,
        high=_LAST_ROW,
        unit="degF",
        rule="work and rest table",
    )
    first, minutes = _COLUMNS[effort]
    row = math.ceil(table_degf - 1e-9) - first
    if row < 0:
        return NORMAL
    if row >= len(minutes):
        return CAUTION
    return WorkRest(work_min=minutes[row], rest_min=60 - minutes[row])


class Sky(StrEnum):
    """How much sun falls on people."""

    FULL_SUN = "full sun"
    PART_CLOUD = "part cloud"
    NO_SUN = "no sun"


_SUN_DEGF = {Sky.FULL_SUN: 13.0, Sky.PART_CLOUD: 7.0, Sky.NO_SUN: 0.0}
DAMPEST_IN_TABLE = 0.6
_HUMIDITY_DEGF = ((10, -8.0), (20, -4.0), (30, 0.0), (40, 3.0), (50, 6.0), (60, 9.0))


def table_degf(*, air_degc: float, sky: Sky, humidity: float) -> float:
    """The temperature to look up in the work and rest table, sun and damp counted.

    Full sun +13 degF, part cloud +7; humidity 10 % -8, 20 % -4, 30 % 0, 40 % +3, 50 % +6, 60 % +9;
    between those the damper is read.

    Args:
        air_degc: -20 to 55 degC.
        sky: how much sun.
        humidity: relative, 0 to 0.6; the table has nothing damper.

    Returns: degF.
    Raises: OutOfRange outside those ranges.

    >>> round(table_degf(air_degc=30.0, sky=Sky.FULL_SUN, humidity=0.4), 1)
    102.0

    Source: NIOSH 2016-106, reverse side (from memory): it may raise a caution, not lift one.
    """
    within("air", air_degc, low=-20.0, high=55.0, unit="degC", rule="work and rest table")
    within("humidity", humidity, low=0.0, high=DAMPEST_IN_TABLE, unit="relative", rule="heat table")
    damp = next(extra for top, extra in _HUMIDITY_DEGF if 100.0 * humidity <= top + 1e-9)
    return fahrenheit(celsius=air_degc) + _SUN_DEGF[sky] + damp


def screen_heat(*, air_degc: float, sky: Sky, humidity: float, effort: Effort) -> Verdict:
    """What the heat tables say to people at work.

    Normal row: within, but above 70 degF moderate or heavy work asks the lead. A row with rest:
    ask the lead, with the minutes. Caution, or beyond the table: needs an aid. The temperature is
    the higher of the air and the adjusted one, because the adjustments are from memory. Damper
    than the table's 60 %, it is at least as bad as there, and above 70 degF the lead is asked.

    Args:
        air_degc: -20 to 55 degC.
        sky: how much sun.
        humidity: relative, 0 to 1.
        effort: how hard the work is.

    Returns: a verdict in degC; hotter is worse.
    Raises: OutOfRange outside those ranges.

    >>> print(screen_heat(air_degc=36.0, sky=Sky.NO_SUN, humidity=0.3,
    ...                   effort=Effort.HEAVY).remedy)
    Work 40 minutes, rest 20 in the shade, with water

    Source: NIOSH 2016-106 (published), OSHA Technical Manual III:4 (published).
    """
    within("humidity", humidity, low=0.0, high=1.0, unit="relative", rule="heat screen")
    adjusted = table_degf(air_degc=air_degc, sky=sky, humidity=min(humidity, DAMPEST_IN_TABLE))
    hot_degf = max(fahrenheit(celsius=air_degc), adjusted)
    found = _by_table(hot_degf, effort)
    if (
        humidity > DAMPEST_IN_TABLE
        and found.grade is Grade.WITHIN
        and hot_degf > HEAT_POSSIBLE_DEGF
    ):
        return _heat(
            Grade.ASK_LEAD, hot_degf, HEAT_POSSIBLE_DEGF, "Damper than the table; read a heat index"
        )
    return found


def _by_table(hot_degf: float, effort: Effort) -> Verdict:
    first, minutes = _COLUMNS[effort]
    if hot_degf > _LAST_ROW:
        return _heat(Grade.NEEDS_AID, hot_degf, _LAST_ROW, "Stop; move the work to a cooler hour")
    row = NORMAL if hot_degf < _FIRST_ROW else work_rest(table_degf=hot_degf, effort=effort)
    if row.is_caution:
        last = first + len(minutes) - 1
        return _heat(Grade.NEEDS_AID, hot_degf, last, "Stop; move the work to a cooler hour")
    if row.rest_min:
        remedy = f"Work {row.work_min} minutes, rest {row.rest_min} in the shade, with water"
        return _heat(Grade.ASK_LEAD, hot_degf, first - 1, remedy)
    if effort is Effort.LIGHT:
        return _heat(Grade.WITHIN, hot_degf, first - 1, "")
    if hot_degf > HEAT_POSSIBLE_DEGF:
        remedy = "Shade and water near, and someone to watch for signs of heat"
        return _heat(Grade.ASK_LEAD, hot_degf, HEAT_POSSIBLE_DEGF, remedy)
    return _heat(Grade.WITHIN, hot_degf, HEAT_POSSIBLE_DEGF, "")


def _heat(grade: Grade, hot_degf: float, limit_degf: float, remedy: str) -> Verdict:
    at_table = limit_degf >= _FIRST_ROW
    return Verdict(
        grade=grade,
        rule="Air temperature with sun and damp counted",
        value=celsius(fahrenheit=hot_degf),
        limit=celsius(fahrenheit=limit_degf),
        unit="degC",
        source=WORK_REST if at_table else OSHA_MANUAL,
        remedy=remedy,
    )


class HeatBand(StrEnum):
    """Bands of the heat index."""

    LOWER = "lower"
    MODERATE = "moderate"
    HIGH = "high"
    EXTREME = "very high to extreme"


def heat_index_band(*, index_degf: float) -> HeatBand:
    """The band of a heat index: under 91 lower, to 103 moderate, to 115 high, then extreme; on an
    edge between the last three the hotter one.

    Args:
        index_degf: 40 to 180 degF.

    Returns: the band.
    Raises: OutOfRange outside 40 to 180.

    >>> heat_index_band(index_degf=103.0)
    <HeatBand.HIGH: 'high'>

    Source: OSHA, Using the Heat Index (published).
    """
    within("heat index", index_degf, low=40.0, high=180.0, unit="degF", rule="heat index")
    return tuple(HeatBand)[sum(index_degf >= edge for edge in (91.0, 103.0, 115.0))]


def wet_bulb_globe_degc(*, wet_degc: float, globe_degc: float, air_degc: float) -> float:
    """Wet bulb globe temperature outdoors.

    WBGT = 0.7 Tnwb + 0.2 Tg + 0.1 Ta.

    Args:
        wet_degc: natural wet bulb, -10 to 50 degC.
        globe_degc: black globe, -10 to 90 degC.
        air_degc: shaded air, -10 to 55 degC.

    Returns: degC.
    Raises: OutOfRange outside those ranges.

    >>> round(wet_bulb_globe_degc(wet_degc=25.0, globe_degc=40.0, air_degc=32.0), 1)
    28.7

    Source: from memory.
    """
    rule = "wet bulb globe temperature"
    within("natural wet bulb", wet_degc, low=-10.0, high=50.0, unit="degC", rule=rule)
    within("globe", globe_degc, low=-10.0, high=90.0, unit="degC", rule=rule)
    within("air", air_degc, low=-10.0, high=55.0, unit="degC", rule=rule)
    return 0.7 * wet_degc + 0.2 * globe_degc + 0.1 * air_degc


class Acclimatised(StrEnum):
    """Whether someone is used to working in heat; a guest rarely is."""

    YES = "used to heat"
    NO = "not used to heat"


def exposure_limit_degc(*, metabolic_w: float, used: Acclimatised = Acclimatised.NO) -> float:
    """The wet bulb globe temperature above which continuous work is not recommended.

    56.7 - 11.5 log10 M for people used to heat, 59.9 - 14.1 log10 M for others.

    Args:
        metabolic_w: M, 115 to 600 W.
        used: whether they are used to heat.

    Returns: degC.
    Raises: OutOfRange outside 115 to 600 W.

    >>> round(exposure_limit_degc(metabolic_w=300.0), 2)
    24.97

    Source: NIOSH 2016-106 (formula from memory): a caution, never a pass.
    """
    M = within("metabolic rate", metabolic_w, low=115.0, high=600.0, unit="W", rule="heat limit")
    top, slope = {Acclimatised.YES: (56.7, 11.5), Acclimatised.NO: (59.9, 14.1)}[used]
    return top - slope * math.log10(M)
