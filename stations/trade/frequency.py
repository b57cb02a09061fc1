"""How often, how long and with how much rest: the lifting equation's frequency table."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from stations.trade.errors import within
from stations.trade.sources import Source, Trust

TABLE_5 = Source(title="DHHS (NIOSH) 94-110", place="table 5", trust=Trust.PUBLISHED)
TABLE_5_MEMORY = Source(
    title="DHHS (NIOSH) 94-110", place="table 5, above 10 lifts a minute", trust=Trust.MEMORY
)
SHORT_RECOVERY = Source(
    title="DHHS (NIOSH) 94-110",
    place="short duration, rest 1.2 times the work",
    trust=Trust.MEMORY,
)
MODERATE_RECOVERY = Source(
    title="DHHS (NIOSH) 94-110",
    place="moderate duration, rest 0.3 times the work",
    trust=Trust.PUBLISHED,
)


class DurationClass(StrEnum):
    """How long lifting goes on: up to 1 h, up to 2 h, up to 8 h."""

    SHORT = "short"
    MODERATE = "moderate"
    LONG = "long"


@dataclass(frozen=True, slots=True, kw_only=True)
class Frequency:
    """The frequency multiplier with its source; rows above 10 a minute are from memory."""

    multiplier: float
    source: Source


# Lifts a minute; then short, moderate, long, each below and at or above 30 in (75 cm).
_ROWS: tuple[tuple[float, tuple[float, float, float, float, float, float]], ...] = (
    (0.2, (1.00, 1.00, 0.95, 0.95, 0.85, 0.85)),
    (0.5, (0.97, 0.97, 0.92, 0.92, 0.81, 0.81)),
    (1.0, (0.94, 0.94, 0.88, 0.88, 0.75, 0.75)),
    (2.0, (0.91, 0.91, 0.84, 0.84, 0.65, 0.65)),
    (3.0, (0.88, 0.88, 0.79, 0.79, 0.55, 0.55)),
    (4.0, (0.84, 0.84, 0.72, 0.72, 0.45, 0.45)),
    (5.0, (0.80, 0.80, 0.60, 0.60, 0.35, 0.35)),
    (6.0, (0.75, 0.75, 0.50, 0.50, 0.27, 0.27)),
    (7.0, (0.70, 0.70, 0.42, 0.42, 0.22, 0.22)),
    (8.0, (0.60, 0.60, 0.35, 0.35, 0.18, 0.18)),
    (9.0, (0.52, 0.52, 0.30, 0.30, 0.00, 0.15)),
    (10.0, (0.45, 0.45, 0.26, 0.26, 0.00, 0.13)),
    # From memory, as is the last row, nothing above 15 a minute:
    (11.0, (0.41, 0.41, 0.00, 0.23, 0.00, 0.00)),
    (12.0, (0.37, 0.37, 0.00, 0.21, 0.00, 0.00)),
    (13.0, (0.00, 0.34, 0.00, 0.00, 0.00, 0.00)),
    (14.0, (0.00, 0.31, 0.00, 0.00, 0.00, 0.00)),
    (15.0, (0.00, 0.28, 0.00, 0.00, 0.00, 0.00)),
    (60.0, (0.00, 0.00, 0.00, 0.00, 0.00, 0.00)),
)
_LAST_PUBLISHED = 10.0


def frequency_multiplier(*, F: float, duration: DurationClass, is_low: bool) -> Frequency:
    """FM: what repeating leaves, table 5; between rows the next higher frequency is read.

    Args:
        F: lifts a minute, averaged over 15 minutes, 0 to 60; under 0.2 counts as 0.2.
        duration: how long it goes on.
        is_low: whether the hands are below 30 in (75 cm).

    Returns: 0 to 1, with its source.
    Raises: OutOfRange outside 0 to 60.

    >>> frequency_multiplier(F=2.5, duration=DurationClass.SHORT, is_low=True).multiplier
    0.88

    Source: DHHS (NIOSH) 94-110, table 5 (published to 10 a minute, from memory above).
    """
    within("lifts", F, low=0.0, high=60.0, unit="a minute", rule="lifting equation")
    lifts, row = next(entry for entry in _ROWS if entry[0] >= F)
    column = 2 * list(DurationClass).index(duration) + (not is_low)
    return Frequency(
        multiplier=row[column],
        source=TABLE_5 if lifts <= _LAST_PUBLISHED else TABLE_5_MEMORY,
    )


def duration_class(*, hours: float) -> DurationClass:
    """Which columns of table 5 are read: short to 1 h, moderate to 2 h, long to 8 h.

    Args:
        hours: of lifting, above 0, to 8 h; beyond that the equation does not apply.

    Returns: the class.
    Raises: OutOfRange outside 0 to 8 h.

    >>> duration_class(hours=1.5)
    <DurationClass.MODERATE: 'moderate'>

    Source: DHHS (NIOSH) 94-110, table 5 (published).
    """
    within("lifting", hours, low=0.0, high=8.0, unit="h", rule="lifting equation")
    if hours <= 1.0:
        return DurationClass.SHORT
    return DurationClass.MODERATE if hours <= 2.0 else DurationClass.LONG
