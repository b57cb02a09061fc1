"""How long hot water takes to burn a person seriously, and what to do first.

The published rows, joined by straight lines in the logarithm of time. Between the four rows of the
Consumer Product Safety Commission the more cautious rows of two other published charts are kept, so
no published time in between is exceeded. The damage integral is not used: driven by the water's
temperature it misses the table by up to a hundredfold.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from stations.trade.errors import within
from stations.trade.measures import celsius
from stations.trade.sources import Source, Trust

CPSC = Source(
    title="US CPSC, Tap Water Scalds",
    place="document 5098; between its rows and above 150 F two other lists, second hand",
    trust=Trust.PUBLISHED,
)
MORITZ_LIST = Source(
    title="list credited to Moritz and Henriques 1947", place="second hand", trust=Trust.PUBLISHED
)
HOSPITAL_CHART = Source(
    title="Children's of Alabama, scald prevention chart", trust=Trust.PUBLISHED
)
THRESHOLD = Source(
    title="Moritz and Henriques 1947, as restated",
    place="44 degC, 6 h, the lowest burn threshold found",
    trust=Trust.PUBLISHED,
)
FIRST_AID_SOURCE = Source(
    title="North Bristol NHS Trust, First aid for burns",
    place="cool 10 to 30 min; 20 min in the Cool, Call, Cover advice",
    trust=Trust.PUBLISHED,
)
FIRST_AID = (
    "Get away from the heat. Cool the burn under cool running water for 20 minutes. Take off "
    "clothing and rings near it, but nothing that sticks. No ice, butter or cream. Cover loosely "
    "with clean film. Call the emergency number for a large or deep burn, for a child, or for one "
    "on face, hands or groin."
)
FIRST_AID_LINE = (
    "Burnt: cool running water for 20 minutes, rings and clothing off unless they stick, no ice or "
    "cream; call for a large or deep burn, a child, or face, hands or groin."
)
CPSC_ROWS_F = ((120.0, 300.0), (130.0, 30.0), (140.0, 6.0), (150.0, 2.0))
_MORE_CAUTIOUS_F = (
    (125.0, 90.0, HOSPITAL_CHART),
    (133.0, 15.0, MORITZ_LIST),
    (135.0, 10.0, HOSPITAL_CHART),
    (145.0, 3.0, HOSPITAL_CHART),
    (148.0, 2.0, MORITZ_LIST),
    (155.0, 1.0, MORITZ_LIST),
)
_ROWS = tuple(
    (celsius(fahrenheit=f), seconds)
    for f, seconds in sorted([*CPSC_ROWS_F, *(row[:2] for row in _MORE_CAUTIOUS_F)])
)
COOLEST_C = 44.0
HOTTEST_ROW_C = _ROWS[-1][0]


@dataclass(frozen=True, slots=True, kw_only=True)
class BurnTime:
    """Seconds to a serious burn of an adult; children and the old burn sooner.

    ``open_above``: at water cooler than the table, it may take longer than ``seconds``.
    ``open_below``: at water hotter than the table, it takes less.
    """

    water_c: float
    seconds: float
    open_above: bool
    open_below: bool
    source: Source

    def sentence(self) -> str:
        """What the trough page says."""
        child = "Children and the old burn sooner."
        if self.open_below:
            return f"Serious burn in under {self.seconds:.0f} s. {child}"
        if self.open_above:
            return f"Serious burn possible in {self.seconds / 60:.0f} min or more. {child}"
        if self.seconds >= 120.0:  # rounded down, never up
            return f"Serious burn in about {math.floor(self.seconds / 60):d} min. {child}"
        return f"Serious burn in about {math.floor(self.seconds):d} s. {child}"


def seconds_to_burn(water_c: float) -> BurnTime:
    """How long this water takes to burn an adult seriously, never longer than the published table.

    ln t runs straight in T between rows. ``water_c`` 44 to 101 degC; otherwise raises OutOfRange.
    From 44 to 48.9 degC the answer is the first row's 300 s, said to be "or more"; above 68.3 degC
    the last row's 1 s, said to be "under".

    >>> from stations.trade.measures import celsius
    >>> [round(seconds_to_burn(celsius(fahrenheit=f)).seconds, 1) for f in (120, 130, 140, 150)]
    [300.0, 30.0, 6.0, 2.0]
    >>> seconds_to_burn(62.0).sentence()
    'Serious burn in about 3 s. Children and the old burn sooner.'

    Source: US CPSC document 5098 at 120, 130, 140, 150 F (published); between and at 155 F the
    lists of ``MORITZ_LIST`` and ``HOSPITAL_CHART`` (published, second hand).
    """
    within("water temperature", water_c, low=COOLEST_C, high=101.0, unit="degC", rule="burn table")
    first_c, first_s = _ROWS[0]
    seconds = _ROWS[-1][1]
    if water_c <= first_c:
        seconds = first_s
    else:
        for (c1, s1), (c2, s2) in pairwise(_ROWS):
            if c1 < water_c <= c2:
                part = (water_c - c1) / (c2 - c1)
                seconds = s2 if part == 1.0 else s1 * (s2 / s1) ** part
                break
    return BurnTime(
        water_c=water_c,
        seconds=seconds,
        open_above=water_c < first_c,
        open_below=water_c > HOTTEST_ROW_C,
        source=CPSC,
    )
