"""When something of the live day has gone past its limit, what it is, and what to do first.

Each rule answers with a :class:`Raised` or with None. A limit is the course's own or a published
one, handed in by the caller; what is done about it is the lead's decision. No answer says that all
is well: None says only that this rule has nothing to say.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from stations.trade.chill_rules import BELOW_40_F, DAY_S, TWENTY_FOUR_HOURS
from stations.trade.chilling import CHILLED_C
from stations.trade.errors import within
from stations.trade.rest import REST_AFTER_HEAVY_MIN
from stations.trade.sources import PRACTICE, Source
from stations.trade.verdicts import Grade, Verdict

LONGEST_WAIT_MIN = 3 * 24 * 60


class AlarmKind(StrEnum):
    """What is wrong, the most urgent first."""

    DIP_LONG = "dip_long"
    WATER_LOW = "water_low"
    HEAT = "heat"
    COLD = "cold"
    WAITING = "waiting"
    BELLY = "belly"
    NOT_CHILLED = "not_chilled"
    REST = "rest"

    @property
    def rank(self) -> int:
        """0 for the most urgent."""
        return list(AlarmKind).index(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Raised:
    """One limit that is past: by what value, in which unit, and what to do first."""

    kind: AlarmKind
    value: float
    limit: float
    unit: str
    to_do: str
    source: Source


def water_low(*, water_c: float, floor_c: float, source: Source = PRACTICE) -> Raised | None:
    """The scald water is under the floor of its band.

    T < T_floor.

    Args:
        water_c: T, the water now, -5 to 105 degC.
        floor_c: T_floor, 40 to 80 degC.
        source: where the floor comes from.

    Returns: the alarm, in degC, or None.
    Raises: OutOfRange outside those ranges.

    >>> water_low(water_c=58.0, floor_c=60.0).to_do
    'Hot buckets in now, poured away from hands; keep the hog moving'
    >>> water_low(water_c=60.0, floor_c=60.0) is None
    True

    Source: the band's own (``stations.trade.coats``); what to do is common practice.
    """
    within("water", water_c, low=-5.0, high=105.0, unit="degC", rule="water alarm")
    within("floor", floor_c, low=40.0, high=80.0, unit="degC", rule="water alarm")
    if water_c >= floor_c:
        return None
    return Raised(
        kind=AlarmKind.WATER_LOW,
        value=water_c,
        limit=floor_c,
        unit="degC",
        to_do="Hot buckets in now, poured away from hands; keep the hog moving",
        source=source,
    )


def dip_long(*, dip_s: float, longest_s: float, source: Source = PRACTICE) -> Raised | None:
    """The hog is in the water for longer than the longest published soak of its coat.

    t > t_longest.

    Args:
        dip_s: t, seconds in the water, 0 to three days.
        longest_s: t_longest, 60 to 3600 s.
        source: where the longest soak comes from.

    Returns: the alarm, in s, or None.
    Raises: OutOfRange outside those ranges.

    >>> dip_long(dip_s=451.0, longest_s=450.0).kind
    <AlarmKind.DIP_LONG: 'dip_long'>
    >>> dip_long(dip_s=450.0, longest_s=450.0) is None
    True

    Source: the band's own (``stations.trade.coats``); hair slipping decides, and the lead.
    """
    within("dip", dip_s, low=0.0, high=60.0 * LONGEST_WAIT_MIN, unit="s", rule="dip alarm")
    within("longest soak", longest_s, low=60.0, high=3600.0, unit="s", rule="dip alarm")
    if dip_s <= longest_s:
        return None
    return Raised(
        kind=AlarmKind.DIP_LONG,
        value=dip_s,
        limit=longest_s,
        unit="s",
        to_do="Lift it out and test the hair: slips, pull; holds, the lead says how much longer",
        source=source,
    )


def waiting(*, waited_min: float, most_min: float, opens_the_belly: bool = False) -> Raised | None:
    """A carcass has waited for its next step for longer than the course allows.

    t > t_most. Where the next step opens the belly, the gut has been warm for too long.

    Args:
        waited_min: t, from the end of the step before, 0 to 4320 min.
        most_min: t_most, the course's own limit, 0 to 4320 min.
        opens_the_belly: whether the step that is waited for opens the belly.

    Returns: the alarm, in min, or None.
    Raises: OutOfRange outside those ranges.

    >>> waiting(waited_min=6.0, most_min=5.0).kind
    <AlarmKind.WAITING: 'waiting'>
    >>> waiting(waited_min=121.0, most_min=120.0, opens_the_belly=True).kind
    <AlarmKind.BELLY: 'belly'>

    Source: the limit is the course's, with the source typed beside it; to do is common practice.
    """
    rule = "waiting alarm"
    within("wait", waited_min, low=0.0, high=LONGEST_WAIT_MIN, unit="min", rule=rule)
    within("longest wait", most_min, low=0.0, high=LONGEST_WAIT_MIN, unit="min", rule=rule)
    if waited_min <= most_min:
        return None
    to_do = "Bring hands to it now, or put the next hog back"
    if opens_the_belly:
        to_do = "Open the belly next, before anything else; look at and smell the gut first"
    return Raised(
        kind=AlarmKind.BELLY if opens_the_belly else AlarmKind.WAITING,
        value=waited_min,
        limit=most_min,
        unit="min",
        to_do=to_do,
        source=PRACTICE,
    )


def not_chilled(*, since_kill_s: float, ham_c: float | None) -> Raised | None:
    """A day after the kill the ham's centre is not known to be at 40 F or below.

    t > 24 h and (T unknown or T > 4.4 degC).

    Args:
        since_kill_s: t, 0 to 30 days in s.
        ham_c: T, the last reading at the ham's centre, -40 to 45 degC; None where none was taken.

    Returns: the alarm, in h, or None.
    Raises: OutOfRange outside those ranges.

    >>> not_chilled(since_kill_s=25 * 3600.0, ham_c=6.0).limit
    24.0
    >>> not_chilled(since_kill_s=25 * 3600.0, ham_c=4.0) is None
    True

    Source: ICAR/IASRI e-course (published); Farmers' Bulletin 2265, Chilling (published).
    """
    within("time", since_kill_s, low=0.0, high=30 * DAY_S, unit="s", rule="chill alarm")
    if ham_c is not None:
        within("ham centre", ham_c, low=-40.0, high=45.0, unit="degC", rule="chill alarm")
    if since_kill_s <= DAY_S or (ham_c is not None and ham_c <= CHILLED_C):
        return None
    return Raised(
        kind=AlarmKind.NOT_CHILLED,
        value=since_kill_s / 3600.0,
        limit=DAY_S / 3600.0,
        unit="h",
        to_do=BELOW_40_F.remedy if ham_c is not None else "Read the ham's centre at the bone now",
        source=TWENTY_FOUR_HOURS,
    )


def rest_missed(
    *, rested_min: float, needed_min: float = float(REST_AFTER_HEAVY_MIN)
) -> Raised | None:
    """Someone goes to a heavy duty again with less rest than the course asks for.

    t < t_needed.

    Args:
        rested_min: t, since the end of the last heavy duty, 0 to 4320 min.
        needed_min: t_needed, the course's own, 0 to 240 min.

    Returns: the alarm, in min, or None.
    Raises: OutOfRange outside those ranges.

    >>> rest_missed(rested_min=12.0, needed_min=30.0).to_do
    'Put someone rested there, or start later; light work until then'

    Source: as ``stations.trade.rest.rest_after_heavy_min`` (practice).
    """
    within("rest", rested_min, low=0.0, high=LONGEST_WAIT_MIN, unit="min", rule="rest alarm")
    within("rest needed", needed_min, low=0.0, high=240.0, unit="min", rule="rest alarm")
    if rested_min >= needed_min:
        return None
    return Raised(
        kind=AlarmKind.REST,
        value=rested_min,
        limit=needed_min,
        unit="min",
        to_do="Put someone rested there, or start later; light work until then",
        source=PRACTICE,
    )


def weather_past(*, kind: AlarmKind, verdict: Verdict) -> Raised | None:
    """Wind chill or heat past what its screen leaves to the lead.

    Args:
        kind: cold or heat.
        verdict: from ``weather.screen_cold`` or ``weather.screen_heat``.

    Returns: the alarm where the screen asks for more than the lead's eye, or None.
    Raises: nothing.

    >>> from stations.trade.weather import screen_cold
    >>> weather_past(kind=AlarmKind.COLD, verdict=screen_cold(air_degc=-5.0, wind_kmh=10.0)) is None
    True

    Source: the screen's own.
    """
    if verdict.grade is not Grade.NEEDS_AID:
        return None
    return Raised(
        kind=kind,
        value=verdict.value,
        limit=verdict.limit,
        unit=verdict.unit,
        to_do=verdict.remedy,
        source=verdict.source,
    )
