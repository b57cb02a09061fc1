"""When a number read at the trough is asked about again before it is written down.

A cold thumb types 1470 for 147.0, or reads the next line of the dial. Such a number is neither
dropped nor believed: whoever read it is asked, and a "yes" keeps it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

FREEZES_C = 0.0
BOIL_MARGIN_K = 3.0
"""A thermometer further off than this at the boil is replaced (see ``thermometers``)."""
JUMP_K = 6.0
JUMP_K_PER_S = 0.03
"""Half a dozen buckets that nobody noted, and two degrees C a minute more (judgement)."""
STRIKE_LOW_C, STRIKE_HIGH_C = 55.0, 82.2
"""Below the coolest published scald, or past the hottest strike that the model takes."""


class Doubt(StrEnum):
    """What speaks against a number."""

    FROZEN = "frozen"
    BOILING = "boiling"
    JUMP = "jump"


@dataclass(frozen=True, slots=True, kw_only=True)
class Questioned:
    """A number that is asked about, why, and the number it was held against (degC)."""

    read_c: float
    doubt: Doubt
    against_c: float


def question_reading(
    read_c: float, *, boils_c: float, expected_c: float | None, since_s: float
) -> Questioned | None:
    """What speaks against a reading; None when nothing does.

    ``read_c`` any number, degC; ``boils_c`` the farm's boiling point; ``expected_c`` what the
    water should show, None when nothing is known; ``since_s`` 0 or more, seconds since the last
    reading. No water in a trough is ice or hotter than the boil, and none moves by more than
    6 K + 0.03 K/s from where it was believed to be. Raises nothing.

    >>> question_reading(798.9, boils_c=99.0, expected_c=66.0, since_s=60.0).doubt.value
    'boiling'
    >>> question_reading(80.0, boils_c=99.0, expected_c=66.0, since_s=60.0).doubt.value
    'jump'
    >>> question_reading(65.0, boils_c=99.0, expected_c=66.0, since_s=60.0) is None
    True

    Source: limits are a judgement; boiling point published (``water.boiling_point_c``).
    """
    if read_c <= FREEZES_C:
        return Questioned(read_c=read_c, doubt=Doubt.FROZEN, against_c=FREEZES_C)
    if read_c > boils_c + BOIL_MARGIN_K:
        return Questioned(read_c=read_c, doubt=Doubt.BOILING, against_c=boils_c)
    if expected_c is not None and abs(read_c - expected_c) > JUMP_K + JUMP_K_PER_S * since_s:
        return Questioned(read_c=read_c, doubt=Doubt.JUMP, against_c=expected_c)
    return None


def question_strike(read_c: float) -> Questioned | None:
    """What speaks against a strike reading: it lies below or above any strike. Raises nothing.

    >>> question_strike(69.0) is None, question_strike(40.0).against_c
    (True, 55.0)

    Source: published scald ranges in ``coats``; 82.2 degC as in ``scald``.
    """
    if read_c < STRIKE_LOW_C:
        return Questioned(read_c=read_c, doubt=Doubt.JUMP, against_c=STRIKE_LOW_C)
    if read_c > STRIKE_HIGH_C:
        return Questioned(read_c=read_c, doubt=Doubt.JUMP, against_c=STRIKE_HIGH_C)
    return None
