"""``manage.py bench handling``: screens a second, plans a second, crews placed a second.

No database: the hogs, the station and the people are made here, so that only the rules count.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from statistics import median
from time import perf_counter

from scheduling.benches import Write
from stations.models import HandlingSetup, HogCover, Lifting, Station, Trough
from stations.screening import PHASES, plan_lift
from stations.trade.capacities import Lifter
from stations.trade.crews import ChainCrew, assign_places
from stations.trade.handling import Move, screen_move
from stations.trade.loads import phase_loads
from stations.trade.places import Hog, Phase, Setup
from stations.trade.verdicts import Grade
from workshops.models import Animal

HOGS_KG = tuple(range(80, 181, 10))
LIFTS_KG = (38.0, 30.0, 32.0, 22.0, 18.0, 20.0, 16.0, None)
REPEATS = 3


def run(write: Write, words: Sequence[str]) -> None:
    """Print each rate as the median of three, and what the screens said of the dead lifts."""
    four = [Lifter(id=str(number), comfortable_kg=kg) for number, kg in enumerate(LIFTS_KG)]
    crew = ChainCrew(fore_left=four[0], fore_right=four[1], hind_left=four[2], hind_right=four[3])
    moves = [
        Move(phase=phase, hog=Hog(live_kg=float(kg)), crew=crew)
        for kg in HOGS_KG
        for phase in Phase
    ]
    station = Station(name="Trough")
    station.trough = Trough(station=station, cover=HogCover.HALF)
    handling = HandlingSetup(station=station, ramp_deg=14)
    hogs = [Animal(tag=str(kg), live_kg=kg) for kg in HOGS_KG]
    lifts = [
        phase_loads(phase=Phase.LIFT_OUT, hog=Hog(live_kg=float(kg)), setup=Setup())
        for kg in HOGS_KG
    ]
    write(f"On {os.cpu_count()} cores, one used; the median of {REPEATS} runs.")
    rate = _rate(len(moves), lambda: [screen_move(move=move) for move in moves])
    write(f"{rate:,.0f} screens a second (a phase, a hog, a crew, with the aids where needed)")
    rate = _rate(len(hogs), lambda: [plan_lift(handling, hog) for hog in hogs])
    write(f"{rate:,.0f} plans a second (a hog's {len(PHASES[Lifting.CHAINS])} phases at a trough)")
    rate = _rate(len(lifts), lambda: [assign_places(people=four, loads=one) for one in lifts])
    write(f"{rate:,.0f} crews placed a second (the best of 1680 ways for eight people)")
    dead = [screen_move(move=move) for move in moves if move.phase is Phase.LIFT_OUT]
    short = sum(screened.grade is Grade.NEEDS_AID for screened in dead)
    aided = sum(screened.aid is not None for screened in dead)
    write(f"{short} of {len(dead)} dead lifts of 80 to 180 kg need an aid; {aided} have one.")


def _rate(count: int, work: Callable[[], object]) -> float:
    """Pieces of work a second."""

    def once() -> float:
        start = perf_counter()
        work()
        return count / (perf_counter() - start)

    return median(once() for _ in range(REPEATS))
