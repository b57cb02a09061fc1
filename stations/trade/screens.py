"""Each published screen, put to one crew in one phase; ``handling.py`` weighs them together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from stations.trade.capacities import (
    FILTER,
    LOWEST_PUBLISHED_START_KG,
    PULLS,
    Capacity,
    Figure,
    moving_pull_kg,
)
from stations.trade.crews import ChainCrew, phase_capacity, relative_load
from stations.trade.loads import PhaseLoads
from stations.trade.places import Place
from stations.trade.teams import MILITARY, military_limit_kg, screen_team, team_band
from stations.trade.verdicts import Grade, Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Manned:
    """Loads with the people who hold them and what each may be asked to hold."""

    loads: PhaseLoads
    crew: ChainCrew
    capacities: Mapping[Place, Capacity]

    @property
    def figure(self) -> Figure:
        """The higher printed figure only where every hand uses it."""
        figures = {self.crew.at(place).figure for place in self.loads.hands}
        return Figure.HIGHER if figures == {Figure.HIGHER} else Figure.LOWER


def man(*, loads: PhaseLoads, crew: ChainCrew) -> Manned:
    """Put a crew to the loads of a phase, with what each may be asked to hold.

    Args:
        loads: what each place holds.
        crew: who stands there.

    Returns: all three together.
    Raises: nothing.

    >>> from stations.trade.capacities import Lifter
    >>> from stations.trade.loads import phase_loads
    >>> from stations.trade.places import Hog, Phase, Setup
    >>> a, b, c, d = (Lifter(id=name) for name in "abcd")
    >>> crew = ChainCrew(fore_left=a, fore_right=b, hind_left=c, hind_right=d)
    >>> loads = phase_loads(phase=Phase.LOWER, hog=Hog(live_kg=80.0), setup=Setup())
    >>> man(loads=loads, crew=crew).capacities[Place.FORE_LEFT].kg
    13

    Source: :func:`stations.trade.crews.phase_capacity`.
    """
    people = zip(Place, crew.people, strict=True)
    return Manned(
        loads=loads,
        crew=crew,
        capacities=MappingProxyType(
            {place: phase_capacity(lifter=person, phase=loads.phase) for place, person in people}
        ),
    )


def man_without_memory(*, loads: PhaseLoads, crew: ChainCrew) -> Manned:
    """As :func:`man`, with each starting value known only from memory cut to the lowest that is
    published, 3 kg.

    Args:
        loads: what each place holds.
        crew: who stands there.

    Returns: loads, crew and the smaller capacities.
    Raises: nothing.

    >>> from stations.trade.capacities import Lifter
    >>> from stations.trade.loads import phase_loads
    >>> from stations.trade.places import Hog, Phase, Setup
    >>> a, b, c, d = (Lifter(id=name) for name in "abcd")
    >>> crew = ChainCrew(fore_left=a, fore_right=b, hind_left=c, hind_right=d)
    >>> loads = phase_loads(phase=Phase.LOWER, hog=Hog(live_kg=80.0), setup=Setup())
    >>> man_without_memory(loads=loads, crew=crew).capacities[Place.FORE_LEFT].kg
    3.0

    Source: HSE risk filter, above the shoulder at arm's length (published).
    """
    manned = man(loads=loads, crew=crew)
    hardened = {
        place: capacity
        if not capacity.is_assumed or capacity.source.trust.may_decide
        else Capacity(
            kg=min(capacity.kg, LOWEST_PUBLISHED_START_KG), source=FILTER, is_assumed=True
        )
        for place, capacity in manned.capacities.items()
    }
    return Manned(loads=loads, crew=crew, capacities=MappingProxyType(hardened))


def screens(*, manned: Manned) -> tuple[Verdict, ...]:
    """Every screen that has something to say of this phase; none when no hand holds anything.

    Held up: team rule, worst person, military standard, assessment charts. Hauled: team rule and
    worst person on pulls, and the figure for keeping a load moving.

    Args:
        manned: loads, crew and capacities.

    Returns: a verdict each.
    Raises: OutOfRange for loads beyond 2000 kg.

    >>> from stations.trade.capacities import Lifter
    >>> from stations.trade.loads import phase_loads
    >>> from stations.trade.places import Hog, Phase, Setup
    >>> a, b, c, d = (Lifter(id=name) for name in "abcd")
    >>> crew = ChainCrew(fore_left=a, fore_right=b, hind_left=c, hind_right=d)
    >>> loads = phase_loads(phase=Phase.LOWER, hog=Hog(live_kg=80.0), setup=Setup())
    >>> [verdict.limit for verdict in screens(manned=man(loads=loads, crew=crew))]
    [26.0, 13, 70.0, 40.0]

    Source: on each verdict.
    """
    if not manned.loads.hands:
        return ()
    both = (_team(manned), _worst_person(manned))
    if manned.loads.phase.is_haul:
        return (*both, _keep_moving(manned))
    return (*both, _military(manned), *_charts(manned))


def _team(manned: Manned) -> Verdict:
    return screen_team(
        load_kg=manned.loads.in_hands_kg,
        capacities_kg=[manned.capacities[place].kg for place in manned.loads.hands],
    )


def _worst_person(manned: Manned) -> Verdict:
    felt = manned.loads.pull_kg

    def relative(place: Place) -> float:
        return relative_load(load_kg=felt[place], capacity_kg=manned.capacities[place].kg)

    worst = max(manned.loads.hands, key=relative)
    capacity = manned.capacities[worst]
    return Verdict(
        grade=Grade.NEEDS_AID if felt[worst] > capacity.kg else Grade.WITHIN,
        rule=f"Load at {worst}",
        value=felt[worst],
        limit=capacity.kg,
        unit="kg",
        source=capacity.source,
    )


def _keep_moving(manned: Manned) -> Verdict:
    felt = manned.loads.pull_kg

    def kept(place: Place) -> float:
        return moving_pull_kg(figure=manned.crew.at(place).figure)

    worst = max(manned.loads.hands, key=lambda place: felt[place] / kept(place))
    over = felt[worst] > kept(worst)
    return Verdict(
        grade=Grade.ASK_LEAD if over else Grade.WITHIN,
        rule=f"Steady pull at {worst}",
        value=felt[worst],
        limit=kept(worst),
        unit="kg",
        source=PULLS,
        remedy="Haul in short pulls with a turn to hold between them" if over else "",
    )


def _military(manned: Manned) -> Verdict:
    load_kg = manned.loads.in_hands_kg
    limit_kg = military_limit_kg(people=len(manned.loads.hands), figure=manned.figure)
    return Verdict(
        grade=Grade.NEEDS_AID if load_kg > limit_kg else Grade.WITHIN,
        rule="Team lift by the military standard",
        value=load_kg,
        limit=limit_kg,
        unit="kg",
        source=MILITARY,
    )


def _charts(manned: Manned) -> tuple[Verdict, ...]:
    people = len(manned.loads.hands)
    if people not in {2, 3, 4}:
        return ()
    load_kg = manned.loads.in_hands_kg
    found = team_band(load_kg=load_kg, people=people)
    return (
        Verdict(
            grade=found.band.grade,
            rule=f"Team lift by the assessment charts ({found.band})",
            value=load_kg,
            limit=found.edge_kg,
            unit="kg",
            source=found.source,
        ),
    )
