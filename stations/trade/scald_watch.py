"""Prompts beside the trough: test hair, roll, pull, add hot, cool. Hair decides, not the clock."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from stations.trade.coats import DETRIMENTAL_C, DETRIMENTAL_S, FB_2265, JAS_1975, ScaldBand
from stations.trade.errors import within
from stations.trade.sources import PRACTICE, Source

FIRST_TEST_S = 120.0
TEST_EVERY_S = 75.0
TEST_EVERY_HOT_S = 45.0
ROLL_EVERY_S = 60.0
HOT_SPELL_S = 60.0
"""The intervals are a judgement inside common practice (a check at two minutes, then often)."""


class Hair(StrEnum):
    """What the last hair test found."""

    UNTESTED = "untested"
    HOLDS = "holds"
    SLIPS = "slips"
    SET = "set"


class Part(StrEnum):
    """Where on the hog a hair test is made."""

    BACK = "back"
    FLANK = "flank"
    SHOULDER = "shoulder"
    HEAD = "head"
    FEET = "feet"


class Prompt(StrEnum):
    """What to do next; the order here is the order of urgency."""

    PULL = "pull"
    COOL = "cool"
    ADD_HOT = "add_hot"
    TEST_HAIR = "test_hair"
    ROLL = "roll"


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """One prompt, why, and what it rests on."""

    prompt: Prompt
    reason: str
    source: Source

    def sentence(self) -> str:
        """The prompt as a sentence."""
        words = {
            Prompt.PULL: "Pull the hog",
            Prompt.COOL: "Trim with cool water",
            Prompt.ADD_HOT: "Add hot water",
            Prompt.TEST_HAIR: "Test hair",
            Prompt.ROLL: "Roll",
        }
        return f"{words[self.prompt]}: {self.reason}."


@dataclass(frozen=True, slots=True, kw_only=True)
class DipSoFar:
    """The dip as known now: time in water (s, 0 to 3600), readings as (s, degC), last acts (s)."""

    now_s: float
    readings: tuple[tuple[float, float], ...]
    hair: Hair = Hair.UNTESTED
    tested_s: float | None = None
    rolled_s: float = 0.0

    def __post_init__(self) -> None:
        within("time in water", self.now_s, low=0.0, high=3600.0, unit="s", rule="scald watch")


def time_above_s(readings: tuple[tuple[float, float], ...], limit_c: float) -> float:
    """Time the water stood above a limit, straight lines between readings, in s.

    Readings are (s, degC) with rising times; a time that does not rise raises OutOfRange.

    >>> time_above_s(((0.0, 66.0), (60.0, 64.0), (120.0, 64.0)), 65.0)
    30.0

    Source: geometry (computed).
    """
    total = 0.0
    for (t1, c1), (t2, c2) in pairwise(readings):
        within("reading time", t2, low=t1, high=1e6, unit="s", rule="readings in order")
        over1, over2 = c1 - limit_c, c2 - limit_c
        if over1 > 0.0 and over2 > 0.0:
            total += t2 - t1
        elif max(over1, over2) > 0.0:
            total += (t2 - t1) * max(over1, over2) / abs(c1 - c2)
    return total


def _of_hair(dip: DipSoFar) -> list[Advice]:
    if dip.hair is Hair.SET:
        reason = "the hair is setting; the skin is cooking, more time makes it worse"
        return [Advice(prompt=Prompt.PULL, reason=reason, source=FB_2265)]
    if dip.hair is Hair.SLIPS:
        return [Advice(prompt=Prompt.PULL, reason="the hair slips", source=FB_2265)]
    return []


def _of_heat(dip: DipSoFar, band: ScaldBand) -> list[Advice]:
    found: list[Advice] = []
    above = time_above_s(dip.readings, band.ceiling_c)
    if above >= HOT_SPELL_S:
        reason = f"{above:.0f} s above the band; lift it out a moment, then test"
        found.append(Advice(prompt=Prompt.PULL, reason=reason, source=FB_2265))
    if dip.readings and dip.readings[-1][1] > band.ceiling_c:
        reason = "the water is above the band"
        found.append(Advice(prompt=Prompt.COOL, reason=reason, source=band.source))
    if dip.readings and dip.readings[-1][1] < band.floor_c:
        reason = "the water is below the floor"
        found.append(Advice(prompt=Prompt.ADD_HOT, reason=reason, source=band.source))
    return found


def _test_due_s(dip: DipSoFar, band: ScaldBand) -> float:
    if dip.tested_s is None:
        return FIRST_TEST_S
    hot = bool(dip.readings) and dip.readings[-1][1] > band.ceiling_c
    return dip.tested_s + (TEST_EVERY_HOT_S if hot else TEST_EVERY_S)


def _of_time(dip: DipSoFar, band: ScaldBand) -> list[Advice]:
    found: list[Advice] = []
    if dip.now_s >= band.soak_high_s:
        reason = "the longest published soak for this coat is over; ask the lead"
        found.append(Advice(prompt=Prompt.PULL, reason=reason, source=band.source))
    if dip.now_s >= _test_due_s(dip, band):
        reason = "back and sides slip first, the flank behind the shoulder last"
        found.append(Advice(prompt=Prompt.TEST_HAIR, reason=reason, source=PRACTICE))
    elif time_above_s(dip.readings, DETRIMENTAL_C) > DETRIMENTAL_S and dip.tested_s is None:
        reason = "over 6 min above 58 degC was found hard on the skin"
        found.append(Advice(prompt=Prompt.TEST_HAIR, reason=reason, source=JAS_1975))
    if dip.now_s - dip.rolled_s >= ROLL_EVERY_S:
        reason = "keep it moving so no side cooks"
        found.append(Advice(prompt=Prompt.ROLL, reason=reason, source=FB_2265))
    return found


def hair_of(tests: Iterable[tuple[Part, Hair]]) -> Hair:
    """What the hair tests so far come to, oldest first; the last test of each part counts.

    Set anywhere is set. It slips when it slips on the flank, which slips last; the back, the head
    or the feet alone do not decide. Raises nothing.

    >>> hair_of([(Part.BACK, Hair.SLIPS), (Part.FLANK, Hair.HOLDS)]).value
    'holds'
    >>> hair_of([(Part.FLANK, Hair.HOLDS), (Part.FLANK, Hair.SLIPS)]).value
    'slips'
    >>> hair_of([]).value
    'untested'

    Source: Farmers' Bulletin 2265, Scalding and Fig. 7 (published).
    """
    last = dict(tests)
    if not last:
        return Hair.UNTESTED
    if Hair.SET in last.values():
        return Hair.SET
    return Hair.SLIPS if last.get(Part.FLANK) is Hair.SLIPS else Hair.HOLDS


def next_check(dip: DipSoFar, band: ScaldBand) -> tuple[Prompt, float]:
    """The next roll or hair test by the clock, and when it falls due, in s after "in water".

    A time already past means that it is due now. Raises nothing.

    >>> from stations.trade.coats import Coat, Season, band_for
    >>> from stations.trade.vessels import Method
    >>> band = band_for(coat=Coat.EASY, season=Season.SPRING, method=Method.OPEN_TROUGH)
    >>> prompt, due_s = next_check(DipSoFar(now_s=65.0, readings=(), rolled_s=62.0), band)
    >>> prompt.value, due_s
    ('test_hair', 120.0)

    Source: intervals common practice, as in ``scald_advice``.
    """
    roll_s, test_s = dip.rolled_s + ROLL_EVERY_S, _test_due_s(dip, band)
    return (Prompt.ROLL, roll_s) if roll_s < test_s else (Prompt.TEST_HAIR, test_s)


def scald_advice(dip: DipSoFar, band: ScaldBand) -> tuple[Advice, ...]:
    """What to do now, most urgent first, at most one of each prompt. It advises; the lead decides.

    Raises OutOfRange for readings out of order.

    >>> from stations.trade.coats import Coat, Season, band_for
    >>> from stations.trade.vessels import Method
    >>> band = band_for(coat=Coat.EASY, season=Season.SPRING, method=Method.OPEN_TROUGH)
    >>> dip = DipSoFar(now_s=125.0, readings=((0.0, 62.0), (120.0, 61.0)), rolled_s=100.0)
    >>> [advice.prompt.value for advice in scald_advice(dip, band)]
    ['test_hair']

    Source: Farmers' Bulletin 2265 and J. Anim. Sci. 1975 (published); intervals common practice.
    """
    found = [*_of_hair(dip), *_of_heat(dip, band), *_of_time(dip, band)]
    order = list(Prompt)
    kept: dict[Prompt, Advice] = {}
    for advice in found:
        kept.setdefault(advice.prompt, advice)
    return tuple(kept[prompt] for prompt in order if prompt in kept)
