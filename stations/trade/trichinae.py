"""Destroying trichinae by heat or by cold: the tables of former 9 CFR 318.10, now guidance.

The section was removed in 2018; its figures live on in a federal guideline. They speak of
trichinae alone: a batch within these rows may be far from killing Salmonella (``lethality``), and
freezing is not reliable against the trichinae of wild game.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from stations.trade.errors import within
from stations.trade.findings import Finding, Rule, Sense
from stations.trade.lethality import Hold, nearest_hold
from stations.trade.measures import M_PER_IN, celsius
from stations.trade.sources import Source, Trust
from stations.trade.temperature_log import TemperatureLog


def _former(place: str) -> Source:
    return Source(title=f"former 9 CFR 318.10{place}", trust=Trust.PUBLISHED)


HEATING = _former("(c)(1), heating")
FREEZING_ROOM = _former("(c)(2), freezing, table 1")
FREEZING_CENTRE = _former("(c)(2), freezing, table 2")
COME_UP_LIMIT_S = 2 * 3600.0
DAY_S = 86_400.0

HEAT_HOLDS = (
    Hold(temp_f=120, hold_s=21 * 3600),
    Hold(temp_f=122, hold_s=9.5 * 3600),
    Hold(temp_f=124, hold_s=4.5 * 3600),
    Hold(temp_f=126, hold_s=2 * 3600),
    Hold(temp_f=128, hold_s=3600),
    Hold(temp_f=130, hold_s=30 * 60),
    Hold(temp_f=132, hold_s=15 * 60),
    Hold(temp_f=134, hold_s=6 * 60),
    Hold(temp_f=136, hold_s=3 * 60),
    Hold(temp_f=138, hold_s=2 * 60),
    Hold(temp_f=140, hold_s=60),
    Hold(temp_f=142, hold_s=60),
    Hold(temp_f=144, hold_s=0),
)


class Piece(StrEnum):
    """How thick the pieces are: the table's two groups."""

    TO_6_IN = "to_6_in"
    TO_27_IN = "to_27_in"


def piece_of(thick_m: float) -> Piece:
    """The group of a thickness, above 0 to 27 in (0.6858 m); exactly 6 in is the first group.

    Raises OutOfRange.

    >>> piece_of(0.10)
    <Piece.TO_6_IN: 'to_6_in'>

    Source: ``FREEZING_ROOM``.
    """
    within("thickness", thick_m, low=0.005, high=27 * M_PER_IN, unit="m", rule="freezing table 1")
    return Piece.TO_6_IN if thick_m <= 6 * M_PER_IN else Piece.TO_27_IN


@dataclass(frozen=True, slots=True, kw_only=True)
class Freeze:
    """A printed row: degF of the room or the centre, and the time at or below it in s."""

    temp_f: int
    hold_s: float

    @property
    def temp_c(self) -> float:
        """The row's temperature, exact from the printed degF."""
        return celsius(fahrenheit=self.temp_f)


ROOM_FREEZES = {
    Piece.TO_6_IN: tuple(
        Freeze(temp_f=f, hold_s=days * DAY_S) for f, days in ((5, 20), (-10, 10), (-20, 6))
    ),
    Piece.TO_27_IN: tuple(
        Freeze(temp_f=f, hold_s=days * DAY_S) for f, days in ((5, 30), (-10, 20), (-20, 12))
    ),
}
CENTRE_FREEZES = tuple(
    Freeze(temp_f=f, hold_s=hours * 3600)
    for f, hours in (
        (0, 106),
        (-5, 82),
        (-10, 63),
        (-15, 48),
        (-20, 35),
        (-25, 22),
        (-30, 8),
        (-35, 0.5),
    )
)
_COME_UP = Rule(
    name="time from 60 to 120 F, unless cured or fermented",
    limit=COME_UP_LIMIT_S / 3600,
    sense=Sense.AT_MOST,
    unit="h",
    source=HEATING,
    remedy="These rows then do not count; cook it by the chart for its kind",
)


def heating_findings(log: TemperatureLog, *, heating: bool = False) -> tuple[Finding, ...]:
    """The heating rows, and the time to come up to 120 F from the log's first reading.

    Args:
        log: readings at the coldest place, from 60 F or when heating began.
        heating: still in the heat.

    Returns: the row kept or nearest, then the come-up.

    Raises: nothing.

    >>> from stations.trade.temperature_log import log_of
    >>> [one.standing.value for one in heating_findings(
    ...     log_of((0.0, 15.0), (5000.0, 58.0), (5300.0, 58.5)))]
    ['within', 'within']

    Source: ``HEATING``.
    """
    row = nearest_hold(log, HEAT_HOLDS, name="all muscle", source=HEATING, cooking=heating)
    reached = log.reaches_at_s(HEAT_HOLDS[0].temp_c)
    at_s = log.last.at_s if reached is None else reached
    hours = (at_s - log.first.at_s) / 3600
    return row, _COME_UP.held_against(hours, still_running=reached is None)


def room_finding(piece: Piece, log: TemperatureLog, *, frozen_on: bool = False) -> Finding:
    """Days in a cold room against table 1; the meat went in at 40 F or below, air moving freely.

    Args:
        piece: thickness group.
        log: readings of the room where it is warmest.
        frozen_on: still in the room; days not yet full then stay open.

    Returns: the row kept, or the one with most of its time done, in days.

    Raises: nothing.

    >>> from stations.trade.temperature_log import log_of
    >>> home = log_of((0.0, -17.8), (10 * DAY_S, -17.0), (20 * DAY_S, -18.0))
    >>> room_finding(Piece.TO_6_IN, home).standing.value
    'within'

    Source: ``FREEZING_ROOM``.
    """
    rows = ROOM_FREEZES[piece]
    return _freeze_finding(log, rows, unit_s=DAY_S, source=FREEZING_ROOM, running=frozen_on)


def centre_finding(log: TemperatureLog, *, frozen_on: bool = False) -> Finding:
    """Hours at the centre of the thickest piece against table 2.

    Args:
        log: readings at the centre.
        frozen_on: still frozen.

    Returns: the row kept, or the one with most of its time done, in h.

    Raises: nothing.

    >>> from stations.trade.temperature_log import log_of
    >>> centre_finding(log_of((0.0, -24.0), (60 * 3600.0, -24.0))).standing.value
    'outside'

    Source: ``FREEZING_CENTRE``.
    """
    return _freeze_finding(
        log, CENTRE_FREEZES, unit_s=3600.0, source=FREEZING_CENTRE, running=frozen_on
    )


def _freeze_finding(
    log: TemperatureLog, rows: tuple[Freeze, ...], *, unit_s: float, source: Source, running: bool
) -> Finding:
    held = [(log.longest_at_or_below_s(row.temp_c), row) for row in rows]
    kept = [(s, row) for s, row in held if s >= row.hold_s]
    seconds, row = (kept or [max(held, key=lambda one: one[0] / one[1].hold_s)])[0]
    rule = Rule(
        name=f"time at or below {row.temp_f} F",
        limit=row.hold_s / unit_s,
        sense=Sense.AT_LEAST,
        unit="days" if unit_s == DAY_S else "h",
        source=source,
        remedy="Keep it frozen until the time is full, or cook it by the chart for its kind",
    )
    return rule.held_against(seconds / unit_s, still_running=running)
