"""Probe readings of one batch or carcass, in order, and what may be claimed from them.

Between two readings nobody looked. Time is therefore credited to the side of caution: a heat is
held only between readings that both hold it, and a batch is cold only from the first reading
after which none is warmer.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from stations.trade.errors import TradeError, within

LONGEST_LOG_S = 366 * 86_400.0


class EmptyLog(TradeError):
    """A log without readings has nothing to judge."""

    def __init__(self) -> None:
        super().__init__("The log has no reading yet. Take one and enter it.")


class ReadingsAtOneTime(TradeError):
    """Two readings of one batch at the same moment contradict or repeat each other."""

    def __init__(self, at_s: float) -> None:
        self.at_s = at_s
        super().__init__(
            f"Two readings stand at {at_s:g} s. Keep one, or enter the second a moment later."
        )


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Probe:
    """A reading: seconds from the log's start (0 to a year), and what the probe showed.

    -60 to 250 degC, already corrected for the thermometer's own error; otherwise OutOfRange.
    """

    at_s: float
    temp_c: float

    def __post_init__(self) -> None:
        within("reading time", self.at_s, low=0.0, high=LONGEST_LOG_S, unit="s", rule="log")
        within("reading", self.temp_c, low=-60.0, high=250.0, unit="degC", rule="log")


@dataclass(frozen=True, slots=True, kw_only=True)
class TemperatureLog:
    """The readings of one batch in the order of their times; at least one, no two at one time.

    >>> log = log_of((0.0, 64.0), (60.0, 63.0), (180.0, 62.8), (240.0, 61.0))
    >>> log.longest_at_or_above_s(62.8), log.longest_above_s(62.8)
    (180.0, 180.0)
    >>> log.stays_at_or_below_from_s(63.0), log.stays_at_or_below_from_s(60.0)
    (60.0, None)
    """

    readings: tuple[Probe, ...]

    def __post_init__(self) -> None:
        if not self.readings:
            raise EmptyLog
        object.__setattr__(self, "readings", tuple(sorted(self.readings)))
        for before, after in pairwise(self.readings):
            if before.at_s == after.at_s:
                raise ReadingsAtOneTime(after.at_s)

    @property
    def first(self) -> Probe:
        """The earliest reading."""
        return self.readings[0]

    @property
    def last(self) -> Probe:
        """The latest reading."""
        return self.readings[-1]

    def longest_at_or_above_s(self, temp_c: float) -> float:
        """The longest stretch with every reading at or above a temperature; 0 for one alone."""
        return self._longest([one.temp_c >= temp_c for one in self.readings])

    def longest_at_or_below_s(self, temp_c: float) -> float:
        """The longest stretch with every reading at or below a temperature; 0 for one alone."""
        return self._longest([one.temp_c <= temp_c for one in self.readings])

    def longest_above_s(self, temp_c: float) -> float:
        """The longest time that may have been above: from the reading before to the one after."""
        return self._longest_outside([one.temp_c > temp_c for one in self.readings])

    def longest_between_s(self, low_c: float, high_c: float) -> float:
        """The longest time that may have been inside a range, its ends not counted in it."""
        return self._longest_outside([low_c < one.temp_c < high_c for one in self.readings])

    def reaches(self, temp_c: float) -> bool:
        """Whether any reading is at or above a temperature."""
        return any(one.temp_c >= temp_c for one in self.readings)

    def reaches_at_s(self, temp_c: float) -> float | None:
        """When a reading is first at or above a temperature; None if none is."""
        return next((one.at_s for one in self.readings if one.temp_c >= temp_c), None)

    def stays_at_or_below_from_s(self, temp_c: float) -> float | None:
        """The first reading from which none is warmer than this; None while the last one is."""
        since: float | None = None
        for one in reversed(self.readings):
            if one.temp_c > temp_c:
                break
            since = one.at_s
        return since

    def hot_until_s(self, temp_c: float) -> float | None:
        """The last reading of the opening stretch at or above a temperature; None if the first
        reading is already below it."""
        until: float | None = None
        for one in self.readings:
            if one.temp_c < temp_c:
                break
            until = one.at_s
        return until

    def _longest(self, held: list[bool]) -> float:
        longest = run = 0.0
        for index, (before, after) in enumerate(pairwise(self.readings)):
            run = run + after.at_s - before.at_s if held[index] and held[index + 1] else 0.0
            longest = max(longest, run)
        return longest

    def _longest_outside(self, out: list[bool]) -> float:
        longest = run = 0.0
        for index, (before, after) in enumerate(pairwise(self.readings)):
            run = run + after.at_s - before.at_s if out[index] or out[index + 1] else 0.0
            longest = max(longest, run)
            if not out[index + 1]:
                run = 0.0
        return longest


def log_of(*readings: tuple[float, float]) -> TemperatureLog:
    """A log from pairs of seconds (0 to a year) and degC (-60 to 250).

    Raises EmptyLog, ReadingsAtOneTime or OutOfRange. Example: see :class:`TemperatureLog`.

    Source: none needed.
    """
    return TemperatureLog(readings=tuple(Probe(at_s=at_s, temp_c=t) for at_s, t in readings))
