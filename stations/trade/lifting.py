"""The revised single-person lifting equation, its multipliers, tables and limits of use.

It screens one person's two-handed lift. It says nothing on teams, animals or slippery floors, and
most work at a trough is outside it: see :class:`Exclusion`. It comes in US and metric form, which
differ a little, so both are kept; :func:`recommended_weight` answers in kg either way.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from stations.trade.errors import TradeError, within
from stations.trade.frequency import DurationClass, Frequency, frequency_multiplier
from stations.trade.multipliers import (
    Coupling,
    System,
    asymmetry_multiplier,
    coupling_multiplier,
    distance_multiplier,
    horizontal_multiplier,
    vertical_multiplier,
)
from stations.trade.sources import Source, Trust
from stations.trade.verdicts import Grade, Verdict

MANUAL = Source(
    title="DHHS (NIOSH) 94-110, Applications Manual for the Revised Lifting Equation",
    place="RWL = LC HM VM DM AM FM CM",
    trust=Trust.PUBLISHED,
)
CHAPTER = Source(
    title="Waters 2006, in Marras and Karwowski", place="sec. 46.3", trust=Trust.PUBLISHED
)
MANUAL_MEMORY = Source(title="DHHS (NIOSH) 94-110", place="sec. 1.2", trust=Trust.MEMORY)


class Method(StrEnum):
    """Exact formulas, or multipliers as printed: two decimals, slips of the printing included."""

    EXACT = "exact"
    PRINTED = "printed"


# Of 100 printed entries these three differ from the rounded formula.
_PRINTED_HM: Mapping[tuple[System, float], float] = MappingProxyType(
    {(System.US, 22.0): 0.46, (System.US, 23.0): 0.44}
)
_PRINTED_DM: Mapping[tuple[System, float], float] = MappingProxyType({(System.METRIC, 130.0): 0.86})


@dataclass(frozen=True, slots=True, kw_only=True)
class LiftingTask:
    """One end, origin or destination, of a lift. H, V and D in inches for the US form and in
    centimetres for the metric; A in degrees; F in lifts a minute over 15 minutes."""

    H: float
    V: float
    D: float
    A: float = 0.0
    F: float = 0.2
    duration: DurationClass = DurationClass.SHORT
    coupling: Coupling = Coupling.POOR
    system: System = System.METRIC


@dataclass(frozen=True, slots=True, kw_only=True)
class RecommendedWeight:
    """The recommended weight, kg, its multipliers by letter, and how far they are to be trusted."""

    kg: float
    multipliers: Mapping[str, float]
    source: Source

    def index(self, *, load_kg: float) -> float:
        """Lifting index, load over recommended weight; infinite where nothing is recommended.

        >>> task = LiftingTask(H=40.0, V=30.0, D=60.0)
        >>> round(recommended_weight(task=task).index(load_kg=30.0), 1)
        3.0
        """
        within("load", load_kg, low=0.0, high=2000.0, unit="kg", rule="lifting equation")
        return load_kg / self.kg if self.kg > 0.0 else math.inf


def recommended_weight(*, task: LiftingTask, method: Method = Method.EXACT) -> RecommendedWeight:
    """The weight recommended for one person's two-handed lift.

    RWL = LC HM VM DM AM FM CM.

    Args:
        task: the lift; see the multipliers for ranges.
        method: exact formulas, or the tables as printed.

    Returns: kg, with the multipliers. Its source is from memory when the frequency row is.
    Raises: OutOfRange as the multipliers.

    >>> round(recommended_weight(task=LiftingTask(H=40.0, V=30.0, D=60.0)).kg, 1)
    10.0

    Source: DHHS (NIOSH) 94-110 (published).
    """
    frequency = frequency_multiplier(
        F=task.F, duration=task.duration, is_low=task.system.units.knuckle > task.V
    )
    multipliers = {
        "HM": horizontal_multiplier(H=task.H, system=task.system),
        "VM": vertical_multiplier(V=task.V, system=task.system),
        "DM": distance_multiplier(D=task.D, system=task.system),
        "AM": asymmetry_multiplier(A=task.A),
        "FM": frequency.multiplier,
        "CM": coupling_multiplier(coupling=task.coupling, V=task.V, system=task.system),
    }
    if method is Method.PRINTED:
        multipliers = _as_printed(task, multipliers)
    return RecommendedWeight(
        kg=task.system.units.load_constant_kg * math.prod(multipliers.values()),
        multipliers=MappingProxyType(multipliers),
        source=_source(frequency),
    )


def _source(frequency: Frequency) -> Source:
    return MANUAL if frequency.source.trust.may_decide else frequency.source


def _as_printed(task: LiftingTask, multipliers: Mapping[str, float]) -> dict[str, float]:
    # The tiny term keeps halves such as 0.8875 from falling by binary rounding.
    printed = {
        letter: math.floor(value * 100.0 + 0.5 + 1e-9) / 100.0
        for letter, value in multipliers.items()
    }
    printed["HM"] = _PRINTED_HM.get((task.system, task.H), printed["HM"])
    printed["DM"] = _PRINTED_DM.get((task.system, task.D), printed["DM"])
    return printed


@dataclass(frozen=True, slots=True, kw_only=True)
class JobTask:
    """One task of a job, hardest first: its index without frequency, its lifts a minute."""

    frequency_free_index: float
    multiplier_with_all_so_far: float


def composite_index(*, worst_index: float, others: Sequence[JobTask], first_FM: float) -> float:
    """The index of a job of several tasks.

    CLI = STLI1 + sum over the others of FILI (1 / FM(so far) - 1 / FM(before)).

    Args:
        worst_index: STLI1, the hardest task's own index, above 0, to 100.
        others: the other tasks, hardest first; FM(so far) counts the lifts of all up to this one.
        first_FM: FM of the hardest task alone, 0.01 to 1.

    Returns: the composite index.
    Raises: OutOfRange outside those ranges; TradeError when FM grows along the list.

    >>> others = (JobTask(frequency_free_index=1.0, multiplier_with_all_so_far=0.88),
    ...           JobTask(frequency_free_index=0.67, multiplier_with_all_so_far=0.70))
    >>> round(composite_index(worst_index=1.6, others=others, first_FM=0.94), 2)
    1.87

    Source: manual, sec. 2.4.5 (from memory; the arithmetic is checked in the tests).
    """
    within("index", worst_index, low=0.0, high=100.0, unit="", rule="composite index")
    within("FM", first_FM, low=0.01, high=1.0, unit="", rule="composite index")
    total, before = worst_index, first_FM
    for task in others:
        now = within(
            "FM", task.multiplier_with_all_so_far, low=0.01, high=1.0, unit="", rule="composite"
        )
        if now > before:
            raise TradeError("FM cannot grow as lifts are added; list the tasks hardest first.")
        total += task.frequency_free_index * (1.0 / now - 1.0 / before)
        before = now
    return total


class Exclusion(StrEnum):
    """What the equation does not cover."""

    ONE_HANDED = "one-handed lifting"
    OVER_EIGHT_HOURS = "more than eight hours"
    SEATED_OR_KNEELING = "seated or kneeling"
    TEAM = "lifting by a team"
    TIGHT_SPACE = "a restricted work space"
    UNSTABLE_LOAD = "a load that shifts"
    CARRY_PUSH_PULL = "carrying, pushing or pulling with the lift"
    SHOVEL = "a wheelbarrow or shovel"
    FAST = "fast lifting"
    POOR_FOOTING = "a slippery floor"
    HARSH_AIR = "heat, cold or damp well away from a mild room"

    @property
    def source(self) -> Source:
        """Where the exclusion comes from."""
        read = {Exclusion.ONE_HANDED, Exclusion.OVER_EIGHT_HOURS, Exclusion.SEATED_OR_KNEELING}
        return CHAPTER if self in read | {Exclusion.TEAM} else MANUAL_MEMORY


AT_THE_TROUGH = frozenset({Exclusion.TEAM, Exclusion.UNSTABLE_LOAD, Exclusion.POOR_FOOTING})


def screen_lift(
    *,
    task: LiftingTask,
    load_kg: float,
    exclusions: frozenset[Exclusion] = AT_THE_TROUGH,
) -> Verdict:
    """What the equation says of one person's lift; it may say no, or ask the lead.

    Load against RWL. Over it: needs an aid. Not over it, but the equation does not cover the work
    or a multiplier is from memory: ask the lead.

    Args:
        task: the lift.
        load_kg: one person's load, 0 to 2000 kg.
        exclusions: what the equation does not cover and is the case here.

    Returns: a verdict in kg.
    Raises: OutOfRange as :func:`recommended_weight`.

    >>> screen_lift(task=LiftingTask(H=40.0, V=30.0, D=60.0), load_kg=8.0).grade.words
    'ask the lead'

    Source: DHHS (NIOSH) 94-110 (published); exclusions as marked on each.
    """
    recommended = recommended_weight(task=task)
    if recommended.index(load_kg=load_kg) > 1.0:
        grade, remedy = Grade.NEEDS_AID, "Bring it closer, raise it, or split it"
    elif exclusions:
        named = ", ".join(sorted(exclusions))
        grade, remedy = Grade.ASK_LEAD, f"The equation does not cover {named}"
    elif not recommended.source.trust.may_decide:
        grade, remedy = Grade.ASK_LEAD, "The frequency row is from memory"
    else:
        grade, remedy = Grade.WITHIN, ""
    return Verdict(
        grade=grade,
        rule="One person's lift",
        value=load_kg,
        limit=recommended.kg,
        unit="kg",
        source=recommended.source,
        remedy=remedy,
    )
