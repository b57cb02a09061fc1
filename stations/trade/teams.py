"""What several people together may be asked to hold: the published team rules and their gaps.

None of these figures is a limit under which nothing can happen, and all of them leave out
animals, wet floors or loads that shift. They can say "no" or "ask the lead".
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from stations.trade.capacities import Figure
from stations.trade.errors import within
from stations.trade.sources import Source, Trust
from stations.trade.verdicts import Grade, Verdict

TEAM_RULE = Source(
    title="HSE L23, Manual Handling Operations Regulations",
    place="two people two thirds, three people half",
    trust=Trust.PUBLISHED,
)
TEAM_RULE_EXTENDED = Source(
    title="HSE L23",
    place="kept at three people's half; no fraction is published for four or more",
    trust=Trust.PRACTICE,
)
MILITARY = Source(
    title="MIL-STD-1472D",
    place="one person, floor to 91 cm; each further person adds 75 %",
    trust=Trust.PUBLISHED,
)
MAC = Source(title="HSE Manual Handling Assessment Charts", place="INDG383", trust=Trust.PUBLISHED)
MAC_MEMORY = Source(
    title="HSE Manual Handling Assessment Charts", place="INDG383", trust=Trust.MEMORY
)

MOST_IN_TEAM = 8


def team_fraction(*, people: int) -> float:
    """What part of the sum of what each can lift a team is good for.

    k(1) = 1, k(2) = 2/3, k(3) = 1/2; k(4) = 1/2 and k(n) = 2/n for 5 to 8.

    Args:
        people: n, 1 to 8.

    Returns: 1/4 to 1.
    Raises: OutOfRange outside 1 to 8.

    >>> team_fraction(people=4)
    0.5

    Source: HSE L23 for two and three (published). Four is a choice (practice): no loss was
        measured from two to four people (Sharp et al. 1997, published), and 1/2 lies below every
        measured value. Five to eight get no credit beyond four: HSE finds them unlikely to work.
    """
    within("team", people, low=1, high=MOST_IN_TEAM, unit="people", rule="team rule")
    if people == 1:
        return 1.0
    if people == 2:
        return 2.0 / 3.0
    return 0.5 if people <= 4 else 2.0 / people


def team_note(*, people: int) -> str:
    """The gap in the published rule for a team of this size, in words; empty where there is none.

    Args:
        people: 1 to 8.

    Returns: a sentence, or nothing.
    Raises: OutOfRange outside 1 to 8.

    >>> team_note(people=4)
    "No fraction is published for four people; three people's half is kept."
    >>> team_note(people=6)
    'More than four are unlikely to lift well together; the extra people guide and do not lift.'

    Source: HSE L23 (published).
    """
    within("team", people, low=1, high=MOST_IN_TEAM, unit="people", rule="team rule")
    if people < 4:
        return ""
    if people == 4:
        return "No fraction is published for four people; three people's half is kept."
    return (
        "More than four are unlikely to lift well together; the extra people guide and do not lift."
    )


def team_limit_kg(*, capacities_kg: Sequence[float]) -> float:
    """What a team is good for by the team rule.

    k(n) sum(c).

    Args:
        capacities_kg: what each can handle alone in that posture, 0 to 150 kg, 1 to 8 people.

    Returns: kg.
    Raises: OutOfRange outside those ranges.

    >>> team_limit_kg(capacities_kg=(25.0, 25.0, 16.0, 16.0))
    41.0

    Source: :func:`team_fraction`.
    """
    for capacity_kg in capacities_kg:
        within("capacity", capacity_kg, low=0.0, high=150.0, unit="kg", rule="team rule")
    return team_fraction(people=len(capacities_kg)) * sum(capacities_kg)


def published_team_limit_kg(*, capacities_kg: Sequence[float]) -> float:
    """As :func:`team_limit_kg`, counting only fractions that are published: with four or more,
    the strongest three lift and the rest guide.

    Args:
        capacities_kg: as there.

    Returns: kg.
    Raises: OutOfRange as there.

    >>> published_team_limit_kg(capacities_kg=(25.0, 25.0, 25.0, 25.0))
    37.5

    Source: HSE L23, three people half (published).
    """
    limit_kg = team_limit_kg(capacities_kg=capacities_kg)
    if len(capacities_kg) <= 3:
        return limit_kg
    return min(limit_kg, team_limit_kg(capacities_kg=sorted(capacities_kg)[-3:]))


def screen_team(*, load_kg: float, capacities_kg: Sequence[float]) -> Verdict:
    """What the team rule says of a load, its gaps stated.

    Over k(n) sum(c): needs an aid. Over what the published fractions alone allow, or with more
    than four people: ask the lead.

    Args:
        load_kg: all there is to hold, 0 to 2000 kg.
        capacities_kg: what each can handle alone, 1 to 8 people.

    Returns: a verdict.
    Raises: OutOfRange outside those ranges.

    >>> screen_team(load_kg=45.0, capacities_kg=(25.0, 25.0, 25.0, 25.0)).remedy
    "No fraction is published for four people; three people's half is kept"

    Source: HSE L23 (published); four and more, see :func:`team_fraction`.
    """
    within("load", load_kg, low=0.0, high=2000.0, unit="kg", rule="team rule")
    people = len(capacities_kg)
    limit_kg = team_limit_kg(capacities_kg=capacities_kg)
    published_kg = published_team_limit_kg(capacities_kg=capacities_kg)
    grade, remedy = Grade.WITHIN, ""
    if load_kg > limit_kg:
        grade = Grade.NEEDS_AID
    elif load_kg > published_kg or people > 4:
        grade, remedy = Grade.ASK_LEAD, team_note(people=people).rstrip(".")
    chosen = grade is Grade.NEEDS_AID and people > 3
    return Verdict(
        grade=grade,
        rule=f"Load on a team of {people}" if people > 1 else "Load on one person",
        value=load_kg,
        limit=limit_kg if grade is Grade.NEEDS_AID else published_kg,
        unit="kg",
        source=TEAM_RULE_EXTENDED if chosen else TEAM_RULE,
        remedy=remedy,
    )


def military_limit_kg(*, people: int, figure: Figure = Figure.LOWER) -> float:
    """What the military design standard allows a team to lift from the floor to 91 cm now and then.

    One 20 kg (39.5 kg by the higher figure), two double it, each further person adds 75 % of it.

    Args:
        people: 1 to 8.
        figure: the higher only where it fits everyone in the team.

    Returns: kg.
    Raises: OutOfRange outside 1 to 8.

    >>> military_limit_kg(people=4), military_limit_kg(people=4, figure=Figure.HIGHER)
    (70.0, 138.25)

    Source: MIL-STD-1472D, as reported in Sharp et al. 1997 (published).
    """
    within("team", people, low=1, high=MOST_IN_TEAM, unit="people", rule="MIL-STD-1472D")
    one_kg = {Figure.LOWER: 20.0, Figure.HIGHER: 39.5}[figure]
    return one_kg * (min(people, 2) + 0.75 * max(0, people - 2))


class Band(StrEnum):
    """A colour of the assessment charts, mildest first."""

    GREEN = "green"
    AMBER = "amber"
    RED = "red"
    PURPLE = "purple"

    @property
    def grade(self) -> Grade:
        """The verdict it stands for here."""
        if self is Band.GREEN:
            return Grade.WITHIN
        return Grade.ASK_LEAD if self is Band.AMBER else Grade.NEEDS_AID


_MAC_TOPS: Mapping[int, tuple[tuple[float, float, float], Source]] = MappingProxyType(
    {
        2: ((35.0, 50.0, 85.0), MAC),  # the page's "35-40" is a slip: the next band starts at 50
        3: ((40.0, 75.0, 125.0), MAC_MEMORY),
        4: ((40.0, 100.0, 170.0), MAC_MEMORY),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TeamBand:
    """A load's band, the edge that gave its grade, and how far the row is to be trusted."""

    band: Band
    edge_kg: float
    source: Source


def team_band(*, load_kg: float, people: int) -> TeamBand:
    """The band of a team lift in the assessment charts; on an edge the harder band.

    Args:
        load_kg: 0 to 2000 kg.
        people: 2 to 4.

    Returns: the band with its source.
    Raises: OutOfRange outside those ranges.

    >>> team_band(load_kg=80.0, people=2).band
    <Band.RED: 'red'>

    Source: HSE MAC, INDG383: two people published, three and four from memory.
    """
    within("load", load_kg, low=0.0, high=2000.0, unit="kg", rule="assessment charts")
    within("team", people, low=2, high=4, unit="people", rule="assessment charts")
    tops, source = _MAC_TOPS[int(people)]
    passed = sum(load_kg >= top for top in tops[:2]) + (load_kg > tops[2])
    edge_kg = tops[0] if passed < 2 else tops[1]
    return TeamBand(band=tuple(Band)[passed], edge_kg=edge_kg, source=source)
