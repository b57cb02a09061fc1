"""What one person may be asked to hold or pull: their own word, or a published starting value.

The published figures are not limits under which nothing can happen, and they leave out animals,
wet floors and loads that shift.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from stations.trade.errors import TradeError, within
from stations.trade.sources import Source, Trust

FILTER = Source(title="HSE lifting and lowering risk filter", trust=Trust.PUBLISHED)
FILTER_MEMORY = Source(title="HSE lifting and lowering risk filter", trust=Trust.MEMORY)
PULLS = Source(title="HSE INDG143", place="pushing and pulling figures", trust=Trust.PUBLISHED)
OWN_WORD = Source(title="the person's own comfortable lift", trust=Trust.PRACTICE)


class Figure(StrEnum):
    """Which of two printed figures is used. The cautious one is used unless a person says
    otherwise; the sources print the lower for women and the higher for men."""

    LOWER = "lower"
    HIGHER = "higher"


class Zone(StrEnum):
    """Where the hands are; a lift through several zones takes the smallest figure."""

    ABOVE_SHOULDER = "above the shoulder"
    ELBOW_TO_SHOULDER = "elbow to shoulder"
    KNUCKLE_TO_ELBOW = "knuckle to elbow"
    SHIN_TO_KNUCKLE = "mid lower leg to knuckle"
    FLOOR_TO_SHIN = "floor to mid lower leg"


class Reach(StrEnum):
    """How far the hands are from the body."""

    CLOSE = "close to the body"
    FAR = "at arm's length"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cell:
    lower_kg: float
    higher_kg: float
    source: Source


_FILTER: Mapping[tuple[Zone, Reach], _Cell] = MappingProxyType(
    {
        (Zone.ABOVE_SHOULDER, Reach.CLOSE): _Cell(lower_kg=7, higher_kg=10, source=FILTER),
        (Zone.ABOVE_SHOULDER, Reach.FAR): _Cell(lower_kg=3, higher_kg=5, source=FILTER),
        (Zone.KNUCKLE_TO_ELBOW, Reach.CLOSE): _Cell(lower_kg=16, higher_kg=25, source=FILTER),
        # From memory: the rest of the figure was not legible in the copies read.
        (Zone.KNUCKLE_TO_ELBOW, Reach.FAR): _Cell(lower_kg=10, higher_kg=15, source=FILTER_MEMORY),
        (Zone.ELBOW_TO_SHOULDER, Reach.CLOSE): _Cell(
            lower_kg=13, higher_kg=20, source=FILTER_MEMORY
        ),
        (Zone.ELBOW_TO_SHOULDER, Reach.FAR): _Cell(lower_kg=7, higher_kg=10, source=FILTER_MEMORY),
        (Zone.SHIN_TO_KNUCKLE, Reach.CLOSE): _Cell(lower_kg=13, higher_kg=20, source=FILTER_MEMORY),
        (Zone.SHIN_TO_KNUCKLE, Reach.FAR): _Cell(lower_kg=7, higher_kg=10, source=FILTER_MEMORY),
        (Zone.FLOOR_TO_SHIN, Reach.CLOSE): _Cell(lower_kg=7, higher_kg=10, source=FILTER_MEMORY),
        (Zone.FLOOR_TO_SHIN, Reach.FAR): _Cell(lower_kg=3, higher_kg=5, source=FILTER_MEMORY),
    }
)
LOWEST_PUBLISHED_START_KG = 3.0  # above the shoulder at arm's length


@dataclass(frozen=True, slots=True, kw_only=True)
class Capacity:
    """What one person is taken to manage, where that comes from, and whether it was assumed
    because they did not say."""

    kg: float
    source: Source
    is_assumed: bool

    @property
    def sentence(self) -> str:
        """What the screen and the sheet say about it.

        >>> starting_capacity(zones=(Zone.KNUCKLE_TO_ELBOW,), reach=Reach.CLOSE).sentence
        'Comfortable lift not given: 16 kg assumed, a cautious starting value (published).'
        """
        if not self.is_assumed:
            return f"Comfortable lift given: {self.kg:g} kg."
        return (
            f"Comfortable lift not given: {self.kg:g} kg assumed, a cautious starting value "
            f"({self.source.trust.words})."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Lifter:
    """A person who may stand at a chain.

    ``comfortable_kg`` is what they lift to the waist without strain (0 to 150 kg), None where it
    was not given; ``height_cm`` 100 to 230, None where not known; ``figure`` says which printed
    starting value is used for them, the lower unless they chose otherwise.
    """

    id: str
    comfortable_kg: float | None = None
    height_cm: float | None = None
    figure: Figure = Figure.LOWER

    def __post_init__(self) -> None:
        if self.comfortable_kg is not None:
            within(
                "comfortable lift", self.comfortable_kg, low=0, high=150, unit="kg", rule="a person"
            )
        if self.height_cm is not None:
            within("height", self.height_cm, low=100, high=230, unit="cm", rule="a person")


def starting_capacity(
    *, zones: Sequence[Zone], reach: Reach, figure: Figure = Figure.LOWER
) -> Capacity:
    """The starting value for a person who has not said what they lift.

    The smallest figure of all zones the hands pass through.

    Args:
        zones: where the hands go, one or more.
        reach: how far from the body.
        figure: which of the two printed figures.

    Returns: the capacity, marked as assumed, with its own trust.
    Raises: TradeError when no zone is named.

    >>> starting_capacity(zones=tuple(Zone), reach=Reach.FAR).kg
    3

    Source: HSE risk filter: knuckle to elbow close, and above the shoulder (published); the
        other cells from memory. HSE: "not safe limits".
    """
    if not zones:
        raise TradeError("No zone is named; name where the hands pass through.")
    cells = [_FILTER[(zone, reach)] for zone in zones]
    kept = min(
        cells,
        key=lambda cell: (_figure_kg(cell, figure), not cell.source.trust.may_decide),
    )
    return Capacity(kg=_figure_kg(kept, figure), source=kept.source, is_assumed=True)


def _figure_kg(cell: _Cell, figure: Figure) -> float:
    return cell.lower_kg if figure is Figure.LOWER else cell.higher_kg


def start_pull_kg(*, figure: Figure = Figure.LOWER) -> float:
    """The figure for starting or stopping a load by a push or pull.

    Args:
        figure: which of the two printed figures.

    Returns: kg of pull, hands between knuckle and shoulder, on an even floor, 20 m at most.
    Raises: nothing.

    >>> start_pull_kg()
    15.0

    Source: HSE INDG143 (published).
    """
    return {Figure.LOWER: 15.0, Figure.HIGHER: 20.0}[figure]


def moving_pull_kg(*, figure: Figure = Figure.LOWER) -> float:
    """The figure for keeping a load moving by a push or pull.

    Args:
        figure: which of the two printed figures.

    Returns: kg of pull, as :func:`start_pull_kg`.
    Raises: nothing.

    >>> moving_pull_kg()
    7.0

    Source: HSE INDG143 (published).
    """
    return {Figure.LOWER: 7.0, Figure.HIGHER: 10.0}[figure]


def repeated_lift_factor(*, lifts_per_min: float) -> float:
    """What is left of a starting value when lifts are repeated.

    1 to 2 a minute 0.7, 5 to 8 a minute 0.5, more than 12 a minute 0.2; between those the next
    printed, smaller value.

    Args:
        lifts_per_min: 0 to 30.

    Returns: 0.2 to 1; 1 up to 30 lifts an hour.
    Raises: OutOfRange outside 0 to 30.

    >>> repeated_lift_factor(lifts_per_min=3.0)
    0.5

    Source: HSE risk filter (published).
    """
    within("lifts", lifts_per_min, low=0.0, high=30.0, unit="a minute", rule="HSE filter")
    for top, factor in ((0.5, 1.0), (2.0, 0.7), (8.0, 0.5)):
        if lifts_per_min <= top:
            return factor
    return 0.2


def twist_factor(*, twist_deg: float) -> float:
    """What is left of a starting value when the body twists: 0.9 beyond 45, 0.8 beyond 90 degrees.

    Args:
        twist_deg: 0 to 135 degrees.

    Returns: 0.8 to 1.
    Raises: OutOfRange outside 0 to 135.

    >>> twist_factor(twist_deg=60.0)
    0.9

    Source: HSE risk filter (published).
    """
    within("twist", twist_deg, low=0.0, high=135.0, unit="degrees", rule="HSE filter")
    if twist_deg > 90.0:
        return 0.8
    return 0.9 if twist_deg > 45.0 else 1.0
