"""What a good rotation is: the goals in their order, each with how it is said, counted and bounded.

Order, and why. First the demands themselves: as few broken locks, unwatched stations and short
hands as can be, none when the course is possible. Then coverage, since trying everything is what
people came for. Then chains that are balanced, where loads or heights are known: a badly matched
crew is a danger. Then few changes against what people were told (first of all where the problem
asks to keep the posted plan). What follows, the lead may put in another order: wishes; evenness
(idle hands first: optional hands are filled before work is made even, because evenness reached with
few hands would either be spoiled by filling up afterwards or forbid it); a mix of partners, which
needs only exchanges among equals; few stations in a day.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from ortools.sat.python.cp_model import LinearExpr

from scheduling.planner import rotation_bounds as bounds
from scheduling.planner import rotation_terms as terms
from scheduling.planner.measuring import RotationMeasures
from scheduling.planner.problem import RotationProblem
from scheduling.planner.rotation_model import RotationModel
from scheduling.planner.rotation_problem import Concern


def _no_limit(measures: RotationMeasures) -> int:
    """Nothing counted is below nothing."""
    return 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """One goal: how the model says it, how a plan measures it, its share of the time.

    ``proving`` is the part of that share that goes into proving before improving: much where
    proofs are quick, little where the bound stays far. ``limit`` is the value that no plan can
    beat, counted without any search. ``scale`` is what a distance from the bound is small against,
    where the bound itself may be nothing: for a spread of minutes, the minutes of an average
    attendee. ``size`` grows with the model that the goal needs. What only breaks ties is not
    ``reported``; what the local search does not count is not ``on_board``.
    """

    name: str
    say: Callable[[RotationModel], LinearExpr]
    measure: Callable[[RotationMeasures], int]
    share: int
    proving: float = 0.5
    minimise: bool = True
    reported: bool = True
    limit: Callable[[RotationMeasures], int] = _no_limit
    scale: Callable[[RotationMeasures], int] = _no_limit
    size: Callable[[RotationMeasures], int] = _no_limit
    on_board: bool = True


def _booleans_of_evenness(measures: RotationMeasures) -> int:
    """Evenness has few Booleans of its own but ties all the placements together: five count one."""
    return 5 * len(measures.able)


def aims(problem: RotationProblem) -> list[Aim]:
    """The goals of this problem in order, after its demands are met as far as they can be."""
    covered = [*_COVERAGE, *([_CHAINS_BALANCED] if _chains_can_differ(problem) else [])]
    rest = [aim for concern in problem.order for aim in _of(problem, concern)]
    if not problem.posted:
        return [*covered, *rest]
    if problem.keep_posted:
        return [_FEWEST_CHANGES, *covered, *rest]
    return [*covered, _FEW_CHANGES, *rest]


def _of(problem: RotationProblem, concern: Concern) -> list[Aim]:
    """The goals of one concern, those left out that every plan would meet alike."""
    match concern:
        case Concern.WISHES:
            return [_WISHES] if any(person.wishes for person in problem.people) else []
        case Concern.EVENNESS:
            dirty = any(duty.dirty for duty in problem.duties)
            return [*_EVENNESS, *([_DIRTY_SPREAD] if dirty else [])]
        case Concern.MIXING:
            return [_MIXING]
        case Concern.STATIONS:
            return [_STATIONS]


def _chains_can_differ(problem: RotationProblem) -> bool:
    """Whether anything is known by which one chain crew is better matched than another."""
    loads = any(step.place_loads for step in problem.steps)
    lifts = any(person.lift_kg is not None for person in problem.people)
    chains = any(duty.across for duty in problem.duties)
    heights = sum(person.height_cm is not None for person in problem.people)
    return (loads and lifts) or (chains and heights > 1)


def _measure_short_early(measures: RotationMeasures) -> int:
    from_the_last = reversed(measures.shortages().values())
    return sum(rank * short for rank, short in enumerate(from_the_last, start=1))


ALL_DEMANDS = Aim(
    name="demands not met",
    say=lambda model: terms.locks_broken(model) + terms.hands_short(model) + terms.unwatched(model),
    measure=RotationMeasures.demands_not_met,
    share=40,
)
# Used when the demands cannot all be met: which of them give way.
DEMANDS_IN_ORDER = (
    Aim(
        name="locks broken",
        say=terms.locks_broken,
        measure=lambda measures: len(measures.locks_broken()),
        share=10,
        on_board=False,
    ),
    Aim(
        name="steps without the lead or a helper",
        say=terms.unwatched,
        measure=lambda measures: len(measures.unwatched()),
        share=10,
        on_board=False,
    ),
    Aim(
        name="hands short",
        say=terms.hands_short,
        measure=RotationMeasures.hands_short,
        share=10,
        on_board=False,
    ),
    Aim(
        name="hands short, the earlier the dearer",
        say=terms.short_early,
        measure=_measure_short_early,
        reported=False,
        share=10,
        on_board=False,
    ),
)
_COVERAGE = (
    Aim(
        name="coverage",
        say=terms.coverage,
        measure=RotationMeasures.coverage,
        share=40,
        proving=0.5,
        minimise=False,
        limit=bounds.most_coverage,
    ),
    Aim(
        name="core duties missed by one person",
        say=terms.most_missed,
        measure=RotationMeasures.most_missed,
        share=15,
        proving=0.9,
        limit=bounds.least_most_missed,
    ),
)
_CHAINS_BALANCED = Aim(
    name="chains balanced",
    say=terms.chains_balanced,
    measure=RotationMeasures.chains_balanced,
    share=15,
    limit=bounds.least_chain_share,
)
_FEW_CHANGES = Aim(
    name="changes to the posted plan",
    say=terms.changes,
    measure=lambda measures: len(measures.changes()),
    share=15,
    proving=0.7,
    limit=bounds.least_changes,
)
# Where the posted plan is to be kept, that comes first, and most of the time goes into it.
_FEWEST_CHANGES = replace(_FEW_CHANGES, share=300, proving=0.8)
_WISHES = Aim(
    name="wishes not met",
    say=terms.wishes_not_met,
    measure=RotationMeasures.wishes_not_met,
    share=10,
    proving=0.7,
    limit=bounds.least_wishes_not_met,
)
_EVENNESS = (
    Aim(
        name="minutes standing about",
        say=terms.standing_about,
        measure=RotationMeasures.standing_about,
        share=10,
        proving=0.9,
        limit=bounds.least_standing_about,
    ),
    Aim(
        name="spread of work",
        say=terms.work_spread,
        measure=RotationMeasures.work_spread,
        share=25,
        proving=0.1,
        scale=RotationMeasures.average_work,
        size=_booleans_of_evenness,
    ),
    Aim(
        name="spread of heavy work",
        say=terms.heavy_spread,
        measure=RotationMeasures.heavy_spread,
        share=10,
        proving=0.2,
        scale=RotationMeasures.average_work,
    ),
)
_DIRTY_SPREAD = Aim(
    name="spread of dirty work",
    say=terms.dirty_spread,
    measure=RotationMeasures.dirty_spread,
    share=10,
    proving=0.2,
    scale=RotationMeasures.average_work,
)
_MIXING = Aim(
    name="partners met again",
    say=terms.partner_repeats,
    measure=RotationMeasures.partner_repeats,
    share=25,
    proving=0.3,
    limit=bounds.least_partner_repeats,
    size=bounds.possible_meetings,
)
_STATIONS = Aim(
    name="stations in a day",
    say=terms.stations_visited,
    measure=RotationMeasures.stations_visited,
    share=10,
    limit=bounds.least_stations_visited,
)
