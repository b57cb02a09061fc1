"""Time at a temperature for whole meat, the table of 1999, and for minced or injected meat.

The first table was written for beef roasts; the Food Code lists pork and ham roasts with it. It
was replaced in December 2021 by guidelines that were not read here, and the Food Code still
carries it. It is not for poultry. A row counts only while every reading holds its temperature.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from stations.trade.findings import Finding, Rule, Sense
from stations.trade.measures import celsius
from stations.trade.sources import Source, Trust
from stations.trade.temperature_log import TemperatureLog

ROASTS = Source(
    title="FSIS Appendix A, 1999 (replaced December 2021)",
    place="whole roasts; the same times in Food Code table 3-2, WAC 246-215-03400",
    trust=Trust.PUBLISHED,
)
MINCED = Source(
    title="FDA Food Code as WAC 246-215-03400",
    place="table 3-1, 2022: comminuted or injected meat; 158 F row from the 2021 text",
    trust=Trust.PUBLISHED,
)


class Reduction(StrEnum):
    """How far the first table brings Salmonella down: powers of ten."""

    LOG_6_5 = "6.5-log"
    LOG_7 = "7-log"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """A printed row: degF, and the time to hold it in s."""

    temp_f: int
    hold_s: float

    @property
    def temp_c(self) -> float:
        """The row's temperature, exact from the printed degF."""
        return celsius(fahrenheit=self.temp_f)


_MINUTES = (  # degF, 6.5-log, 7-log, min
    (130, 112, 121),
    (131, 89, 97),
    (132, 71, 77),
    (133, 56, 62),
    (134, 45, 47),
    (135, 36, 37),
    (136, 28, 32),
    (137, 23, 24),
    (138, 18, 19),
    (139, 15, 15),
    (140, 12, 12),
    (141, 9, 10),
    (142, 8, 8),
    (143, 6, 6),
    (144, 5, 5),
    (145, 4, 4),
)
_SECONDS = (  # degF, 6.5-log, 7-log, s
    (146, 169, 182),
    (147, 134, 144),
    (148, 107, 115),
    (149, 85, 91),
    (150, 67, 72),
    (151, 54, 58),
    (152, 43, 46),
    (153, 34, 37),
    (154, 27, 29),
    (155, 22, 23),
    (156, 17, 19),
    (157, 14, 15),
    (158, 0, 0),
)
_ROWS = tuple((f, 60 * a, 60 * b) for f, a, b in _MINUTES) + _SECONDS
ROAST_HOLDS = {
    Reduction.LOG_6_5: tuple(Hold(temp_f=f, hold_s=a) for f, a, _ in _ROWS),
    Reduction.LOG_7: tuple(Hold(temp_f=f, hold_s=b) for f, _, b in _ROWS),
}
MINCED_HOLDS = (
    Hold(temp_f=145, hold_s=180),
    Hold(temp_f=150, hold_s=60),
    Hold(temp_f=155, hold_s=17),
    Hold(temp_f=158, hold_s=0),  # printed "<1 s": one reading at it
)


def nearest_hold(
    log: TemperatureLog, holds: tuple[Hold, ...], *, name: str, source: Source, cooking: bool
) -> Finding:
    """The row the log keeps, or comes nearest to, as a finding in minutes.

    A row is kept when the longest stretch of readings, none below the row, lasts the row's time.
    Rows are not read between (no interpolation).

    Args:
        log: probe readings at the coldest place.
        holds: a table's rows.
        name: what is cooked, for the sentence.
        source: the table's.
        cooking: whether it is still in the heat: a row not yet kept then stays open.

    Returns: minutes held against the row's minutes.

    Raises: nothing.

    >>> from stations.trade.temperature_log import log_of
    >>> log = log_of((0.0, 50.0), (1800.0, 61.0), (2600.0, 61.5))
    >>> rows = ROAST_HOLDS[Reduction.LOG_6_5]
    >>> kept = nearest_hold(log, rows, name="roast", source=ROASTS, cooking=False)
    >>> kept.standing.value, round(kept.value, 1), kept.limit
    ('within', 13.3, 12.0)

    Source: the table's own.
    """
    held = [(log.longest_at_or_above_s(hold.temp_c), hold) for hold in holds]
    kept = [(s, h) for s, h in held if s >= h.hold_s and log.reaches(h.temp_c)]
    # Nearest means most of its time done; of rows equally near, the coolest, first printed.
    seconds, hold = (kept or [max(held, key=lambda one: one[0] / max(one[1].hold_s, 1.0))])[0]
    if not kept and hold.hold_s == 0:
        hold, seconds = holds[-2], 0.0
    rule = Rule(
        name=f"{name}: time held at {hold.temp_f} F or above",
        limit=hold.hold_s / 60,
        sense=Sense.AT_LEAST,
        unit="min",
        source=source,
        remedy=f"Keep cooking until a row is held, or to {holds[-1].temp_f} F; then read again",
    )
    return rule.held_against(seconds / 60, still_running=cooking)
