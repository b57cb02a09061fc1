"""Who stands where: the four places filled so that the worst relative load is least.

A relative load is what a hand feels over what that person may be asked to hold. Every
arrangement is tried; :func:`relative_loads` gives the same numbers as data to a planner.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import permutations
from types import MappingProxyType

from stations.trade.capacities import (
    OWN_WORD,
    PULLS,
    Capacity,
    Lifter,
    Reach,
    Zone,
    start_pull_kg,
    starting_capacity,
)
from stations.trade.errors import TradeError, within
from stations.trade.loads import PhaseLoads
from stations.trade.places import Phase, Place

MOST_TO_CHOOSE_FROM = 8
_BALANCE_STEP = 0.05  # imbalances closer than this count as equal, and heights then decide


@dataclass(frozen=True, slots=True, kw_only=True)
class Posture:
    """Where the hands go and how far from the body (practice)."""

    zones: tuple[Zone, ...]
    reach: Reach


_KNEE_TO_WAIST = Posture(zones=(Zone.SHIN_TO_KNUCKLE, Zone.KNUCKLE_TO_ELBOW), reach=Reach.CLOSE)
_OVER_THE_TROUGH = Posture(zones=(Zone.KNUCKLE_TO_ELBOW,), reach=Reach.FAR)
_STANDING = Posture(zones=(Zone.KNUCKLE_TO_ELBOW,), reach=Reach.CLOSE)

POSTURES: Mapping[Phase, Posture] = MappingProxyType(
    {
        Phase.LOWER: _KNEE_TO_WAIST,
        Phase.SLOSH: _OVER_THE_TROUGH,
        Phase.ROLL: _OVER_THE_TROUGH,
        Phase.LIFT_OUT: _KNEE_TO_WAIST,
        Phase.RAMP: _STANDING,
        Phase.DRAG: _STANDING,
        Phase.HANG: _STANDING,
    }
)


def phase_capacity(*, lifter: Lifter, phase: Phase) -> Capacity:
    """What a person may be asked to hold, or to pull, in a phase.

    Their own comfortable lift, or the starting value for the posture where they gave none; for a
    pull on a line no more than the figure for starting a load.

    Args:
        lifter: the person.
        phase: the stage.

    Returns: the capacity, marked when it was assumed.
    Raises: nothing.

    >>> phase_capacity(lifter=Lifter(id="ann"), phase=Phase.LOWER).sentence
    'Comfortable lift not given: 13 kg assumed, a cautious starting value (from memory).'

    Source: HSE risk filter, see :func:`stations.trade.capacities.starting_capacity`; HSE INDG143
        for pulls (published). Which posture a phase has: practice.
    """
    posture = POSTURES[phase]
    if lifter.comfortable_kg is None:
        held = starting_capacity(zones=posture.zones, reach=posture.reach, figure=lifter.figure)
    else:
        held = Capacity(kg=lifter.comfortable_kg, source=OWN_WORD, is_assumed=False)
    pull_kg = start_pull_kg(figure=lifter.figure)
    if not phase.is_haul or held.kg <= pull_kg:
        return held
    return Capacity(kg=pull_kg, source=PULLS, is_assumed=held.is_assumed)


def relative_load(*, load_kg: float, capacity_kg: float) -> float:
    """A load over a capacity: 1 is all of it; infinite where nothing may be held.

    Args:
        load_kg: 0 or more.
        capacity_kg: 0 or more.

    Returns: 0 or more.
    Raises: OutOfRange for a negative figure.

    >>> relative_load(load_kg=20.0, capacity_kg=25.0)
    0.8

    Source: arithmetic (computed).
    """
    within("load", load_kg, low=0.0, high=math.inf, unit="kg", rule="relative load")
    within("capacity", capacity_kg, low=0.0, high=math.inf, unit="kg", rule="relative load")
    if load_kg == 0.0:
        return 0.0
    return load_kg / capacity_kg if capacity_kg > 0.0 else math.inf


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainCrew:
    """Four people at the four places."""

    fore_left: Lifter
    fore_right: Lifter
    hind_left: Lifter
    hind_right: Lifter

    def __post_init__(self) -> None:
        if len({person.id for person in self.people}) < len(Place):
            raise TradeError("One person stands at two places; name four different people.")

    @property
    def people(self) -> tuple[Lifter, Lifter, Lifter, Lifter]:
        """The four, in the order of :class:`Place`."""
        return (self.fore_left, self.fore_right, self.hind_left, self.hind_right)

    def at(self, place: Place) -> Lifter:
        """Who stands at a place."""
        return dict(zip(Place, self.people, strict=True))[place]


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """One way to fill the places, with the measures it is ranked by.

    ``relative`` is each place's relative load. ``sides`` and ``ends`` are how far left and right,
    fore and hind, differ in relative load, each pair taken together. ``height_gap_cm`` is the
    difference across the fore chain plus that across the hind chain; unknown heights add none.
    """

    crew: ChainCrew
    relative: Mapping[Place, float]
    sides: float
    ends: float
    height_gap_cm: float

    @property
    def worst_place(self) -> Place:
        """Who has most to hold for what they manage."""
        return max(Place, key=lambda place: self.relative[place])

    @property
    def worst_relative(self) -> float:
        """The worst relative load; above 1 someone is beyond their own screen."""
        return self.relative[self.worst_place]

    @property
    def _rank(self) -> tuple[float, float, float, float, tuple[str, ...]]:
        uneven = self.sides + self.ends
        step = round(uneven / _BALANCE_STEP) if math.isfinite(uneven) else math.inf
        names = tuple(person.id for person in self.crew.people)
        return (self.worst_relative, step, self.height_gap_cm, uneven, names)


def relative_loads(
    *, people: Sequence[Lifter], loads: PhaseLoads
) -> Mapping[tuple[str, Place], float]:
    """Each person's relative load at each place, as data.

    Args:
        people: any number.
        loads: what each place holds.

    Returns: (person's id, place) to relative load.
    Raises: nothing.

    >>> from stations.trade.loads import phase_loads
    >>> from stations.trade.places import Hog, Setup
    >>> loads = phase_loads(phase=Phase.LIFT_OUT, hog=Hog(live_kg=100.0), setup=Setup())
    >>> table = relative_loads(people=[Lifter(id="ann", comfortable_kg=28.0)], loads=loads)
    >>> round(table["ann", Place.FORE_LEFT], 2)
    1.0

    Source: :func:`phase_capacity`.
    """
    table: dict[tuple[str, Place], float] = {}
    for person in people:
        capacity_kg = phase_capacity(lifter=person, phase=loads.phase).kg
        for place in Place:
            table[person.id, place] = relative_load(
                load_kg=loads.pull_kg[place], capacity_kg=capacity_kg
            )
    return MappingProxyType(table)


def arrangements(*, people: Sequence[Lifter], loads: PhaseLoads) -> tuple[Arrangement, ...]:
    """Every way to fill the four places, best first.

    Ranked by the worst relative load; then by balance left against right and fore against hind,
    to within 0.05; then by heights matched across each chain; then by name, so that the same
    people always stand alike.

    Args:
        people: 4 to 8, each with their own id.
        loads: what each place holds.

    Returns: 24 arrangements of four people, 1680 of eight.
    Raises: OutOfRange for fewer than 4 or more than 8; TradeError when two share an id.

    >>> from stations.trade.loads import phase_loads
    >>> from stations.trade.places import Hog, Setup
    >>> loads = phase_loads(phase=Phase.LOWER, hog=Hog(live_kg=80.0), setup=Setup())
    >>> crew = [Lifter(id=name, comfortable_kg=kg)
    ...         for name, kg in (("ann", 16.0), ("bo", 30.0), ("cy", 16.0), ("di", 30.0))]
    >>> [person.id for person in arrangements(people=crew, loads=loads)[0].crew.people]
    ['bo', 'di', 'ann', 'cy']

    Source: match build and height, Network Rail and Queensland DEIR on team handling (published);
        the weaker member governs, Proc. HFES 1995 (published). The order of rank: practice.
    """
    _check_people(people)
    table = relative_loads(people=people, loads=loads)
    return _ranked(list(permutations(people, len(Place))), loads, table)


def _check_people(people: Sequence[Lifter]) -> None:
    high = float(MOST_TO_CHOOSE_FROM)
    within("people", len(people), low=4.0, high=high, unit="people", rule="four places")
    if len({person.id for person in people}) < len(people):
        raise TradeError("Two people share an id; give each their own.")


def _ranked(
    ways: Sequence[tuple[Lifter, ...]],
    loads: PhaseLoads,
    table: Mapping[tuple[str, Place], float],
) -> tuple[Arrangement, ...]:
    people = {person.id: person for four in ways for person in four}
    capacity_kg = {
        name: phase_capacity(lifter=person, phase=loads.phase).kg for name, person in people.items()
    }
    found = [_arranged(four, loads, table, capacity_kg) for four in ways]
    return tuple(sorted(found, key=lambda arrangement: arrangement._rank))


def assign_places(*, people: Sequence[Lifter], loads: PhaseLoads) -> Arrangement:
    """The best of :func:`arrangements`.

    Args:
        people: 4 to 8, each with their own id.
        loads: what each place holds.

    Returns: the arrangement with the least worst relative load.
    Raises: OutOfRange or TradeError as there.

    >>> from stations.trade.loads import phase_loads
    >>> from stations.trade.places import Hog, Setup
    >>> loads = phase_loads(phase=Phase.LOWER, hog=Hog(live_kg=80.0), setup=Setup())
    >>> assign_places(people=[Lifter(id=name) for name in "abcd"], loads=loads).worst_place
    <Place.FORE_LEFT: 'fore-left'>

    Source: as there.
    """
    _check_people(people)
    table = relative_loads(people=people, loads=loads)
    rows = {person.id: tuple(table[person.id, place] for place in Place) for person in people}

    def worst(four: tuple[Lifter, ...]) -> float:
        return max(rows[person.id][i] for i, person in enumerate(four))

    ways = [(worst(four), four) for four in permutations(people, len(Place))]
    least = min(load for load, _ in ways)
    # Only those that tie on the first measure need the others.
    return _ranked([four for load, four in ways if load == least], loads, table)[0]


def arrange(*, crew: ChainCrew, loads: PhaseLoads) -> Arrangement:
    """The measures of a crew as it stands, to show or to compare with the best.

    Args:
        crew: four people at their places.
        loads: what each place holds.

    Returns: the arrangement.
    Raises: nothing.

    >>> from stations.trade.loads import phase_loads
    >>> from stations.trade.places import Hog, Setup
    >>> loads = phase_loads(phase=Phase.LOWER, hog=Hog(live_kg=80.0), setup=Setup())
    >>> a, b, c, d = (Lifter(id=name, comfortable_kg=20.0) for name in "abcd")
    >>> crew = ChainCrew(fore_left=a, fore_right=b, hind_left=c, hind_right=d)
    >>> round(arrange(crew=crew, loads=loads).worst_relative, 2)
    1.12

    Source: as :func:`arrangements`.
    """
    table = relative_loads(people=crew.people, loads=loads)
    capacity_kg = {
        person.id: phase_capacity(lifter=person, phase=loads.phase).kg for person in crew.people
    }
    return _arranged(crew.people, loads, table, capacity_kg)


def _arranged(
    four: tuple[Lifter, ...],
    loads: PhaseLoads,
    table: Mapping[tuple[str, Place], float],
    capacity_kg: Mapping[str, float],
) -> Arrangement:
    fore_left, fore_right, hind_left, hind_right = four
    managed = dict(zip(Place, (capacity_kg[person.id] for person in four), strict=True))
    felt = loads.pull_kg
    left, right = (Place.FORE_LEFT, Place.HIND_LEFT), (Place.FORE_RIGHT, Place.HIND_RIGHT)
    fore, hind = (Place.FORE_LEFT, Place.FORE_RIGHT), (Place.HIND_LEFT, Place.HIND_RIGHT)
    return Arrangement(
        crew=ChainCrew(
            fore_left=fore_left, fore_right=fore_right, hind_left=hind_left, hind_right=hind_right
        ),
        relative={
            place: table[person.id, place] for place, person in zip(Place, four, strict=True)
        },
        sides=_uneven(left, right, felt, managed),
        ends=_uneven(fore, hind, felt, managed),
        height_gap_cm=_gap(fore_left, fore_right) + _gap(hind_left, hind_right),
    )


def _uneven(
    these: tuple[Place, Place],
    those: tuple[Place, Place],
    felt: Mapping[Place, float],
    managed: Mapping[Place, float],
) -> float:
    one, other = (
        relative_load(
            load_kg=sum(felt[place] for place in pair),
            capacity_kg=sum(managed[place] for place in pair),
        )
        for pair in (these, those)
    )
    return 0.0 if one == other else abs(one - other)


def _gap(one: Lifter, other: Lifter) -> float:
    if one.height_cm is None or other.height_cm is None:
        return 0.0
    return abs(one.height_cm - other.height_cm)
