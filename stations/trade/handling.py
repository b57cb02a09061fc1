"""Whether four people should move a hog this way, and the cheapest aid where they should not.

The screens (``screens.py``) can say "no" or "ask the lead"; that one stays quiet certifies
nothing. A full dead lift of an 80 to 180 kg hog fails every four-person screen: plan a ramp or a
hoist for lift-out. ``places.py``, ``loads.py`` and ``crews.py`` come first.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from types import MappingProxyType

from stations.trade.crews import ChainCrew, phase_capacity
from stations.trade.hanging import HangingPoint, screen_hanging
from stations.trade.loads import PhaseLoads, phase_loads, without_memory
from stations.trade.places import Hog, Hoisting, Phase, Place, Setup
from stations.trade.screens import man, man_without_memory, screens
from stations.trade.sources import Source, Trust
from stations.trade.statics import EQUILIBRIUM, WET_WOOD_ON_WOOD, slack_corner_shares
from stations.trade.teams import team_note
from stations.trade.verdicts import Grade, Verdict

USUAL = Setup()
UNRATED = HangingPoint()
RAMP_DEGREES = range(
    10, 46
)  # steeper is no ramp to roll up, flatter is too long to build (practice)
ONLY_MEMORY = Source(title="figures known only from memory", trust=Trust.MEMORY)


class Aid(StrEnum):
    """What makes a move lighter, cheapest first (the order is practice)."""

    GUIDES = "guides"
    BOARDS = "boards"
    RAMP = "ramp"
    SPLIT = "split"
    HOIST = "hoist"


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One phase of one hog with one crew, held in one way."""

    phase: Phase
    hog: Hog
    crew: ChainCrew
    setup: Setup = USUAL
    point: HangingPoint = UNRATED


@dataclass(frozen=True, slots=True, kw_only=True)
class AidOutcome:
    """A move with an aid: what to do in words, the move as it then is, and its verdict."""

    aid: Aid
    words: str
    move: Move
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Screening:
    """The answer to a move.

    ``deciding`` is the verdict of the gravest screen, with the aid as its remedy; ``verdicts``
    are all of them. ``aids`` are the aids tried, cheapest first, only where one is needed.
    ``notes`` are sentences on what the answer rests on, in SI; ``rests_on`` are the sources from
    memory among it, and ``slack_kg`` is what one hand may take if a corner goes slack, None where
    no four hold the hog up.
    """

    move: Move
    loads: PhaseLoads
    deciding: Verdict
    verdicts: tuple[Verdict, ...]
    aids: tuple[AidOutcome, ...]
    notes: tuple[str, ...]
    rests_on: tuple[Source, ...]
    slack_kg: float | None

    @property
    def grade(self) -> Grade:
        """The gravest grade of all the screens."""
        return self.deciding.grade

    @property
    def aid(self) -> AidOutcome | None:
        """The cheapest aid after which no screen says no; None where none is needed or found."""
        return cheapest(self.aids)


def cheapest(aids: Iterable[AidOutcome]) -> AidOutcome | None:
    """The first aid after which no screen says no.

    Args:
        aids: outcomes, cheapest first.

    Returns: that outcome, None where there is none.
    Raises: nothing.

    >>> cheapest(()) is None
    True

    Source: the order of aids is practice.
    """
    return next((tried for tried in aids if tried.verdict.grade is not Grade.NEEDS_AID), None)


def screen_move(*, move: Move) -> Screening:
    """What the published screens say of a move, and the cheapest aid where they say no.

    The grade is the gravest of: the team rule, W against k(n) sum(c); the worst person's load
    against their own lift; push and pull figures; the military standard; the assessment charts;
    the ratings of hoist and anchor. A pass that would not survive the loss of every figure known
    only from memory becomes "ask the lead".

    Args:
        move: phase, hog, crew at their places, setup, and what the hog hangs from.

    Returns: the screening; adding weight never improves its grade.
    Raises: OutOfRange for a figure outside its range.

    >>> from stations.trade.capacities import Lifter
    >>> four = [Lifter(id=name, comfortable_kg=25.0) for name in "abcd"]
    >>> crew = ChainCrew(fore_left=four[0], fore_right=four[1],
    ...                  hind_left=four[2], hind_right=four[3])
    >>> lift = screen_move(move=Move(phase=Phase.LIFT_OUT, hog=Hog(live_kg=120.0), crew=crew))
    >>> print(lift.deciding.sentence())
    Needs an aid: load on a team of 4 is 120 kg against 50 kg. Use a ramp at 23 degrees.

    Source: HSE L23, HSE risk filter, HSE INDG143, MIL-STD-1472D (published); HSE MAC (published
        for two, from memory for three and four); statics (computed); fore share, body density and
        ramp friction from memory.
    """
    verdicts = _verdicts(move)
    deciding = gravest(verdicts)
    aids: tuple[AidOutcome, ...] = ()
    if deciding.grade is Grade.NEEDS_AID:
        aids = _aids(move)
        deciding = replace(deciding, remedy=_remedy(deciding, aids))
    return Screening(
        move=move,
        loads=_loads(move),
        deciding=deciding,
        verdicts=verdicts,
        aids=aids,
        notes=_notes(move),
        rests_on=tuple(dict.fromkeys(_memory_sources(move))),
        slack_kg=_slack_kg(move, _loads(move)),
    )


def gravest(verdicts: Iterable[Verdict]) -> Verdict:
    """The verdict with the highest grade; among equals the one furthest along to its limit.

    Args:
        verdicts: one or more.

    Returns: one of them.
    Raises: ValueError when there is none.

    >>> from stations.trade.teams import screen_team
    >>> gravest([screen_team(load_kg=kg, capacities_kg=(20.0, 20.0)) for kg in (9.0, 30.0)]).value
    30.0

    Source: practice.
    """
    return max(verdicts, key=lambda verdict: (verdict.grade.rank, _strain(verdict)))


def _strain(verdict: Verdict) -> float:
    return verdict.value / verdict.limit if verdict.limit > 0.0 else math.inf


def _loads(move: Move) -> PhaseLoads:
    return phase_loads(phase=move.phase, hog=move.hog, setup=move.setup)


def _verdicts(move: Move) -> tuple[Verdict, ...]:
    found = screens(manned=man(loads=_loads(move), crew=move.crew)) + _hanging(move)
    if any(verdict.grade is not Grade.WITHIN for verdict in found):
        return found
    return found + _resting_on_memory(move, gravest(found))


def _hanging(move: Move) -> tuple[Verdict, ...]:
    if move.phase is not Phase.HANG:
        return ()
    point = replace(
        move.point,
        is_tackle=move.setup.hoisting is Hoisting.TACKLE,
        parts=move.setup.tackle_parts,
        sheave_efficiency=move.setup.sheave_efficiency,
    )
    return screen_hanging(point=point, load_kg=move.hog.handled_kg)


def _resting_on_memory(move: Move, passed: Verdict) -> tuple[Verdict, ...]:
    """A pass that fails with every figure from memory at its hardest case is the lead's."""
    setup = without_memory(phase=move.phase, setup=move.setup)
    loads = phase_loads(phase=move.phase, hog=move.hog, setup=setup)
    hardest = screens(manned=man_without_memory(loads=loads, crew=move.crew))
    stands = all(verdict.grade is Grade.WITHIN for verdict in hardest)
    if move.phase is Phase.DRAG and not move.setup.drag_source.trust.may_decide:
        stands = False  # friction has no hardest case to put
    if stands:
        return ()
    titles = dict.fromkeys(source.title for source in _memory_sources(move))
    return (
        replace(
            passed,
            grade=Grade.ASK_LEAD,
            source=ONLY_MEMORY,
            remedy=f"That rests, from memory, on: {'; '.join(titles)}",
        ),
    )


def _guides(move: Move) -> tuple[str, Move]:
    return (
        "another pair of hands as guides, to keep the load centred",
        replace(move, setup=replace(move.setup, left_share=0.5)),
    )


def _boards(move: Move) -> tuple[str, Move]:
    setup = replace(move.setup, drag_mu=WET_WOOD_ON_WOOD.mu, drag_source=WET_WOOD_ON_WOOD.source)
    return ("a pallet on wetted boards, or rollers", replace(move, setup=setup))


def _ramp_at(move: Move, degrees: float) -> Move:
    return replace(move, phase=Phase.RAMP, setup=replace(move.setup, ramp_deg=degrees))


def _ramp(move: Move) -> tuple[str, Move]:
    """The steepest whole degree at which no screen says no; the flattest where all do."""

    def fails(degrees: int) -> bool:
        return gravest(_verdicts(_ramp_at(move, degrees))).grade is Grade.NEEDS_AID

    passing = bisect_left(RAMP_DEGREES, 1, key=fails)  # a steeper ramp is never easier
    steepest = RAMP_DEGREES[max(0, passing - 1)]
    return (f"a ramp at {steepest} degrees", _ramp_at(move, steepest))


def _split(move: Move) -> tuple[str, Move]:
    """One end at a time, all four at it: the heavier end is the load, shared evenly."""
    heavier = max(move.setup.fore_share, 1.0 - move.setup.fore_share)
    end = Hog(live_kg=max(1.0, heavier * move.hog.handled_kg))
    setup = replace(move.setup, fore_share=0.5)
    return ("all four at one end at a time", replace(move, hog=end, setup=setup))


def _hoist(move: Move) -> tuple[str, Move]:
    setup = replace(move.setup, hoisting=Hoisting.HOIST)
    return ("a hoist rated for the hog", replace(move, phase=Phase.HANG, setup=setup))


_APPLY: Mapping[Aid, Callable[[Move], tuple[str, Move]]] = MappingProxyType(
    {
        Aid.GUIDES: _guides,
        Aid.BOARDS: _boards,
        Aid.RAMP: _ramp,
        Aid.SPLIT: _split,
        Aid.HOIST: _hoist,
    }
)
_HELPS: Mapping[Phase, tuple[Aid, ...]] = MappingProxyType(
    {
        Phase.LOWER: (Aid.GUIDES, Aid.RAMP, Aid.SPLIT, Aid.HOIST),
        Phase.SLOSH: (Aid.GUIDES, Aid.HOIST),
        Phase.ROLL: (Aid.GUIDES, Aid.HOIST),
        Phase.LIFT_OUT: (Aid.GUIDES, Aid.RAMP, Aid.SPLIT, Aid.HOIST),
        Phase.RAMP: (Aid.RAMP, Aid.HOIST),
        Phase.DRAG: (Aid.BOARDS, Aid.HOIST),
        Phase.HANG: (Aid.HOIST,),
    }
)


def _aids(move: Move) -> tuple[AidOutcome, ...]:
    outcomes = []
    for aid in _HELPS[move.phase]:
        if aid is Aid.GUIDES and move.setup.left_share == 0.5:
            continue  # it is centred already
        words, aided = _APPLY[aid](move)
        outcomes.append(
            AidOutcome(aid=aid, words=words, move=aided, verdict=gravest(_verdicts(aided)))
        )
    return tuple(outcomes)


def _remedy(deciding: Verdict, aids: tuple[AidOutcome, ...]) -> str:
    found = cheapest(aids)
    if found is not None:
        return f"Use {found.words}"
    return deciding.remedy or "No aid tried brings it within: do not move it this way"


def _notes(move: Move) -> tuple[str, ...]:
    """What the answer rests on, in sentences."""
    loads = _loads(move)
    manned = man(loads=loads, crew=move.crew)
    assumed = [
        f"{place[:1].upper()}{place[1:]}: {manned.capacities[place].sentence}"
        for place in loads.hands
        if manned.capacities[place].is_assumed
    ]
    gap = [note for note in [team_note(people=len(loads.hands))] if note] if loads.hands else []
    resting = dict.fromkeys(f"Rests on {source}." for source in _memory_sources(move))
    return (*assumed, *resting, *gap, *_slack(move, loads))


def _memory_sources(move: Move) -> Iterable[Source]:
    """Every source from memory that this phase's loads and capacities used."""
    phase, setup = move.phase, move.setup
    used = [
        (setup.fore_share_source, phase not in {Phase.DRAG, Phase.HANG}),
        (setup.body_source, phase in {Phase.SLOSH, Phase.ROLL}),
        (setup.ramp_friction_source, phase is Phase.RAMP),
        (setup.drag_source, phase is Phase.DRAG),
        (setup.sheave_source, phase is Phase.HANG and setup.hoisting is Hoisting.TACKLE),
    ]
    yield from (source for source, is_used in used if is_used and not source.trust.may_decide)
    for person in move.crew.people:
        capacity = phase_capacity(lifter=person, phase=phase)
        if capacity.is_assumed and not capacity.source.trust.may_decide:
            yield capacity.source


def _slack_kg(move: Move, loads: PhaseLoads) -> float | None:
    if move.phase.is_haul or len(loads.hands) < len(Place):
        return None
    share = slack_corner_shares(fore_share=move.setup.fore_share, left_share=move.setup.left_share)
    return share * loads.in_hands_kg


def _slack(move: Move, loads: PhaseLoads) -> Iterable[str]:
    taken_kg = _slack_kg(move, loads)
    if taken_kg is not None:
        yield (
            f"If one corner goes slack, one hand may take {taken_kg:.0f} kg "
            f"({EQUILIBRIUM.trust.words})."
        )
