"""A hog, a station's handling settings and people to ``stations.trade``, and back to a plan.

The only translator for lifting. A phase that four may not do by hand gets the cheapest aid that
the station has; where it has none, the shortfall is named. Nothing here is ever called safe.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from stations.lifting import crew_of, hog_of, point_of, setup_of
from stations.models import HandlingSetup, Hoist, Lifting
from stations.trade.capacities import Capacity, Lifter
from stations.trade.crews import phase_capacity
from stations.trade.handling import Move, Screening, screen_move
from stations.trade.places import Hog, Phase, Place
from stations.trade.rest import ENDURANCE, LONGEST_HOLD_S
from stations.trade.sources import Source
from stations.trade.statics import WET_WOOD_ON_WOOD
from stations.trade.teams import team_note
from stations.trade.verdicts import Grade
from stations.wording import said
from workshops.models import Animal
from workshops.quantities import WEIGHT

PHASES: Mapping[Lifting, tuple[Phase, ...]] = {
    Lifting.CHAINS: (Phase.LOWER, Phase.SLOSH, Phase.ROLL, Phase.LIFT_OUT),
    Lifting.DRAG: (Phase.DRAG,),
    Lifting.HANG: (Phase.HANG,),
}
IN_THE_WATER = {Phase.SLOSH, Phase.ROLL}
NAMES: Mapping[Phase, str] = {
    Phase.LOWER: "into the water",
    Phase.SLOSH: "slosh",
    Phase.ROLL: "roll",
    Phase.LIFT_OUT: "out of the water",
    Phase.RAMP: "haul up the ramp",
    Phase.DRAG: "drag",
    Phase.HANG: "hang",
}


class Way(StrEnum):
    """How a phase is done, cheapest first."""

    BY_HAND = "by_hand"
    FLOOR = "floor"
    BOARDS = "boards"
    RAMP = "ramp"
    SPLIT = "split"
    HOIST = "hoist"


ANYONE = crew_of({})


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedMove:
    """One phase: what the screens say of bare hands, and how it is to be done.

    ``by_hand`` is for four who gave no lift, so that it may hang on a wall: it tells of nobody.
    ``done`` is the phase as planned, None where the trough's floor carries the hog and no figure
    is published. ``is_short`` marks a phase that nothing at the station brings within.
    """

    phase: Phase
    by_hand: Screening
    way: Way
    done: Screening | None
    is_short: bool = False

    @property
    def name(self) -> str:
        """The phase in the words of the yard."""
        return NAMES[self.phase]

    @property
    def grade(self) -> Grade:
        """What the screens say of the phase as planned."""
        return self.done.grade if self.done else Grade.ASK_LEAD

    @property
    def how(self) -> str:
        """The way in a few words, for the run sheet and the drawing."""
        if self.is_short:
            return "nothing here brings it within the screens"
        match self.way:
            case Way.BY_HAND:
                hauled = self.phase is Phase.HANG
                return "on the hoist" if hauled and not self.by_hand.loads.hands else "by hand"
            case Way.FLOOR:
                return "on the trough's floor, never held clear of it"
            case Way.BOARDS:
                return "on wetted boards or rollers"
            case Way.RAMP:
                return f"over the ramp at {self._ramp_deg:g}°, rolled in the chains"
            case Way.SPLIT:
                return "one end at a time, all four at it"
            case Way.HOIST:
                return "on the hoist"

    @property
    def _ramp_deg(self) -> float:
        return self.done.move.setup.ramp_deg if self.done else 0.0

    @property
    def count(self) -> str:
        """What the caller says; everyone moves on the last word."""
        last = {
            Phase.LOWER: "lower",
            Phase.SLOSH: "slosh",
            Phase.ROLL: "roll",
            Phase.LIFT_OUT: "out",
            Phase.RAMP: "haul",
            Phase.DRAG: "haul",
            Phase.HANG: "up",
        }[self.phase]
        return f"One, two, {last}"

    def sentence(self, units: str) -> str:
        """Phase, way, and why not by hand, in the workshop's units. It gives nobody's own lift."""
        head = f"{self.name[:1].upper()}{self.name[1:]}: {self.how}."
        alone = said(self.by_hand.deciding, units)
        if self.is_short:
            return f"{head} {alone}"
        if self.way is Way.BY_HAND and self.by_hand.grade is Grade.NEEDS_AID:
            return f"{head} Only with this crew: four who gave no lift would need an aid."
        if self.way is Way.BY_HAND:
            return f"{head} {alone}"
        return f"{head} Straight by hand it {_beyond(alone)}"


def _beyond(sentence: str) -> str:
    """ "Needs an aid: load on ... is 267 lb against 57 lb." without the remedy that is planned."""
    return sentence[:1].lower() + sentence[1:].split(". ")[0].rstrip(".") + "."


@dataclass(frozen=True, slots=True, kw_only=True)
class Beyond:
    """Someone past their own screen at a place: the phase, the load and what they may be asked."""

    place: Place
    phase: Phase
    load_kg: float
    limit_kg: float
    is_assumed: bool

    def sentence(self, name: str, units: str) -> str:
        """The rule, the load, the limit, and what would satisfy it."""
        whose = "the starting value assumed for them" if self.is_assumed else "what they gave"
        return (
            f"{name} at {self.place} would bear {WEIGHT.shown(self.load_kg, units)} "
            f"({NAMES[self.phase]}); {whose} is {WEIGHT.shown(self.limit_kg, units)}. "
            "Choose someone who lifts more, or an aid."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class LiftPlan:
    """How one hog is moved at one station, with one crew."""

    work: Lifting
    moves: tuple[PlannedMove, ...]

    @property
    def place_loads(self) -> dict[Place, float]:
        """The most each place holds or pulls in any phase as planned, kg; 0 where nothing."""
        screened = [move.done.loads for move in self.moves if move.done]
        return {
            place: max((loads.pull_kg[place] for loads in screened), default=0.0) for place in Place
        }

    @property
    def shortfalls(self) -> tuple[PlannedMove, ...]:
        """The phases that nothing at the station brings within."""
        return tuple(move for move in self.moves if move.is_short)

    @property
    def aids(self) -> str:
        """The aids planned, phase by phase, in one line; empty where hands are enough."""
        aided = [move for move in self.moves if move.is_short or move.way is not Way.BY_HAND]
        hows = dict.fromkeys(move.how for move in aided)
        return "; ".join(
            f"{_listed([move.name for move in aided if move.how == how])}: {how}" for how in hows
        )

    def beyond(self, place: Place, lifter: Lifter) -> Beyond | None:
        """The phase in which someone at that place is furthest past their own screen, if any."""
        found = []
        for move in self.moves:
            if move.done is None:
                continue
            load_kg = move.done.loads.pull_kg[place]
            phase = move.done.move.phase
            capacity = phase_capacity(lifter=lifter, phase=phase)
            if load_kg > capacity.kg:
                found.append(
                    Beyond(
                        place=place,
                        phase=phase,
                        load_kg=load_kg,
                        limit_kg=capacity.kg,
                        is_assumed=capacity.is_assumed,
                    )
                )
        return max(found, key=lambda one: one.load_kg - one.limit_kg, default=None)

    def capacity(self, lifter: Lifter) -> Capacity:
        """What someone may be asked to hold in the phases as planned: the least of them."""
        phases = [move.done.move.phase for move in self.moves if move.done]
        found = [phase_capacity(lifter=lifter, phase=phase) for phase in phases]
        return min(found, key=lambda capacity: capacity.kg)

    @property
    def rests_on(self) -> tuple[Source, ...]:
        """The figures from memory that the plan as it is to be done used."""
        done = [move.done for move in self.moves if move.done]
        return tuple(dict.fromkeys(source for screened in done for source in screened.rests_on))

    def notes(self, units: str) -> list[str]:
        """What the plan rests on, and the gaps in what is published, in sentences."""
        done = [move.done for move in self.moves if move.done]
        hands = max((len(screened.loads.hands) for screened in done), default=0)
        gap = [team_note(people=hands)] if hands else []
        if any(move.way is Way.FLOOR for move in self.moves):
            gap.append("No figure is published for rolling a hog on a trough's floor.")
        slack = max((screened.slack_kg or 0.0 for screened in done), default=0.0)
        if slack:
            taken = WEIGHT.shown(slack, units)
            gap.append(f"If one corner goes slack, one hand may take {taken} (computed).")
        if any(move.done and not move.done.move.phase.is_haul for move in self.moves):
            gap.append(
                f"Hold it still for at most {LONGEST_HOLD_S:.0f} seconds, then set it down or "
                f"swap hands; less near a full lift (cut by practice from: {ENDURANCE})."
            )
        return [*(f"Rests on {source}." for source in self.rests_on), *filter(None, gap)]


def _listed(words: Iterable[str]) -> str:
    *rest, last = words
    return f"{', '.join(rest)} and {last}" if rest else last


def plan_lift(
    handling: HandlingSetup, animal: Animal, people: Mapping[Place, Lifter] | None = None
) -> LiftPlan:
    """How this hog is moved here: each phase by hand, or by the cheapest aid the station has.

    A way is chosen for four who gave no lift, so that the plan does not hang on who happens to be
    placed; only where none passes for them, for this crew. The crew is then screened in it.
    Raises OutOfRange for a setting outside its range.
    """
    work = Lifting(handling.work)
    crew = crew_of(people or {})
    start = Move(
        phase=PHASES[work][0],
        hog=hog_of(animal, work),
        crew=crew,
        setup=setup_of(handling),
        point=point_of(handling),
    )
    return LiftPlan(
        work=work,
        moves=tuple(_planned(handling, replace(start, phase=phase)) for phase in PHASES[work]),
    )


def _planned(handling: HandlingSetup, bare: Move) -> PlannedMove:
    by_hand = screen_move(move=replace(bare, crew=ANYONE))
    fails = by_hand.grade is Grade.NEEDS_AID
    if fails and bare.phase in IN_THE_WATER and hasattr(handling.station, "trough"):
        # The vessel's floor is the aid of these two; no figure is published for rolling on it.
        return PlannedMove(phase=bare.phase, by_hand=by_hand, way=Way.FLOOR, done=None)
    ways = [(Way.BY_HAND, bare), *_ways(handling, bare)]
    # First whoever comes, so that the plan stands before the crew does; then this crew.
    passing = (
        (way, move)
        for crew in (ANYONE, bare.crew)
        for way, move in ways
        if not _fails(replace(move, crew=crew))
    )
    found = next(passing, None)
    way, move = found or (Way.BY_HAND, bare)
    return PlannedMove(
        phase=bare.phase,
        by_hand=by_hand,
        way=way,
        done=screen_move(move=move),
        is_short=found is None,
    )


def _fails(move: Move) -> bool:
    return screen_move(move=move).grade is Grade.NEEDS_AID


def _ways(handling: HandlingSetup, bare: Move) -> Iterable[tuple[Way, Move]]:
    """The aids that are at the station and fit the phase, cheapest first."""
    setup, phase = bare.setup, bare.phase
    over_the_edge = phase in {Phase.LOWER, Phase.LIFT_OUT}
    if phase is Phase.DRAG and handling.has_boards:
        wet = replace(setup, drag_mu=WET_WOOD_ON_WOOD.mu, drag_source=WET_WOOD_ON_WOOD.source)
        yield Way.BOARDS, replace(bare, setup=wet)
    if over_the_edge and handling.ramp_deg is not None:
        yield Way.RAMP, replace(bare, phase=Phase.RAMP)
    if over_the_edge:
        heavier = max(setup.fore_share, 1.0 - setup.fore_share) * bare.hog.handled_kg
        yield (
            Way.SPLIT,
            replace(bare, hog=Hog(live_kg=heavier), setup=replace(setup, fore_share=0.5)),
        )
    if phase is not Phase.HANG and handling.hoisting != Hoist.NONE:
        yield Way.HOIST, replace(bare, phase=Phase.HANG)
