"""How many days a cure takes, by the weight of the heaviest piece, and how warm it may lie.

The ham methods and the drying table are those of former 9 CFR 318.10(c)(3), written against
trichinae; the sweet-pickle days are the farm bulletin's. Days round up, always.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from stations.trade.errors import within
from stations.trade.findings import Finding, Rule, Sense
from stations.trade.measures import celsius, fahrenheit, pounds
from stations.trade.sources import Source, Trust

FORMER_HAMS = Source(
    title="former 9 CFR 318.10(c)(3)(iv)", place="hams, methods 3 and 4", trust=Trust.PUBLISHED
)
FORMER_DRYING = Source(
    title="former 9 CFR 318.10(c)(3)", place="table 5, drying", trust=Trust.PUBLISHED
)
FORMER_SAUSAGE = Source(
    title="former 9 CFR 318.10(c)(3)(i)", place="tables 3B and 4, notes", trust=Trust.PUBLISHED
)
BULLETIN = Source(
    title="USDA Farmers' Bulletin 2265, 1978 (rev. 1981)",
    place="Sweet Pickle Curing; Dry Curing",
    trust=Trust.PUBLISHED,
)
RUBS = Source(title="MSU Extension P2648", place="rubs", trust=Trust.PUBLISHED)


class HamMethod(StrEnum):
    """Ways of curing a ham, as the section numbered them."""

    METHOD_3 = "method_3"
    METHOD_4 = "method_4"
    BAG = "bag"


@dataclass(frozen=True, slots=True, kw_only=True)
class HamDays:
    """Whole days in contact with the cure, of evening out after it, and in all."""

    contact: int
    evening_out: int
    total: int
    source: Source


def _up(days: float) -> int:
    return math.ceil(days - 1e-9)  # the dust of pounds made of kilograms is no day


def ham_days(method: HamMethod, *, heaviest_kg: float) -> HamDays:
    """Least days for the heaviest ham of the lot.

    Method 3: contact max(28, 1.5 a lb), in all max(40, 2 a lb). Method 4: contact max(30, 2 a
    lb), then evening out max(14, 1 a lb). Bag: max(40, 2 a lb), not split.

    Args:
        method: which.
        heaviest_kg: 1 to 25 kg.

    Returns: days.

    Raises: OutOfRange.

    >>> from stations.trade.measures import kilograms
    >>> days = ham_days(HamMethod.METHOD_3, heaviest_kg=kilograms(pounds=22))
    >>> days.contact, days.total
    (33, 44)

    Source: ``FORMER_HAMS``.
    """
    within("heaviest ham", heaviest_kg, low=1.0, high=25.0, unit="kg", rule="ham cure")
    lb = pounds(kilograms=heaviest_kg)
    match method:
        case HamMethod.METHOD_3:
            contact, total = max(28, _up(1.5 * lb)), max(40, _up(2 * lb))
        case HamMethod.METHOD_4:
            contact = max(30, _up(2 * lb))
            total = contact + max(14, _up(lb))
        case HamMethod.BAG:
            contact = total = max(40, _up(2 * lb))
    return HamDays(contact=contact, evening_out=total - contact, total=total, source=FORMER_HAMS)


class PickledPiece(StrEnum):
    """What lies in the sweet pickle."""

    HAM_OR_SHOULDER = "ham_or_shoulder"
    BELLY = "belly"
    LOIN = "loin"


def sweet_pickle_days(piece: PickledPiece, *, heaviest_kg: float) -> int:
    """Least days in sweet pickle: hams and shoulders 4 a lb, a belly to 10 lb 15, the rest 21.

    The bulletin gives 3.5 to 4 days to a lb and reckons its own examples with 4.

    Args:
        piece: what it is.
        heaviest_kg: 0.5 to 25 kg.

    Returns: days.

    Raises: OutOfRange.

    >>> from stations.trade.measures import kilograms
    >>> sweet_pickle_days(PickledPiece.HAM_OR_SHOULDER, heaviest_kg=kilograms(pounds=15))
    60

    Source: ``BULLETIN``.
    """
    within("heaviest piece", heaviest_kg, low=0.5, high=25.0, unit="kg", rule="sweet pickle")
    lb = pounds(kilograms=heaviest_kg)
    if piece is PickledPiece.HAM_OR_SHOULDER:
        return _up(4 * lb)
    return 15 if piece is PickledPiece.BELLY and lb <= 10 + 1e-9 else 21


def soak_minutes(days_in_cure: int) -> int:
    """Soak after the cure, 2 min for each day in it, in water at most 70 F; then dry about 3 h.

    1 to 200 days, else OutOfRange.

    >>> soak_minutes(24)
    48

    Source: ``BULLETIN``.
    """
    within("days in cure", days_in_cure, low=1, high=200, unit="days", rule="soak")
    return 2 * days_in_cure


@dataclass(frozen=True, slots=True, kw_only=True)
class Rubbing:
    """Mix in all (kg), in how many rubs, with least and most days between."""

    mix_kg: float
    rubs: int
    least_days_between: int = 3
    most_days_between: int = 5


def rubbing(*, piece_kg: float) -> Rubbing:
    """Dry mix to a piece: to 20 lb 1 oz a lb in 3 rubs, heavier 1.5 oz a lb in 4.

    0.5 to 25 kg, else OutOfRange.

    >>> rubbing(piece_kg=8.0).mix_kg, rubbing(piece_kg=10.0).rubs
    (0.5, 4)

    Source: ``RUBS``.
    """
    within("piece", piece_kg, low=0.5, high=25.0, unit="kg", rule="rubs")
    if pounds(kilograms=piece_kg) <= 20 + 1e-9:
        return Rubbing(mix_kg=piece_kg / 16, rubs=3)
    return Rubbing(mix_kg=piece_kg * 1.5 / 16, rubs=4)


DRYING_DAYS = {
    130: 1.5,
    125: 2.0,
    120: 3.0,
    115: 4.0,
    110: 5.0,
    105: 6.0,
    100: 7.0,
    95: 9.0,
    90: 11.0,
    85: 18.0,
    80: 25.0,
    75: 35.0,
}
"""Table 5: days of drying or smoking at no less than a temperature, degF."""
DRYING_PER_DAY = {
    130: 0.67,
    125: 0.50,
    120: 0.33,
    115: 0.25,
    110: 0.20,
    105: 0.17,
    100: 0.14,
    95: 0.11,
    90: 0.091,
    85: 0.056,
    80: 0.040,
    75: 0.029,
}
"""Table 5: what each day at no less than a temperature counts; the sum must pass 1.5."""
DRYING_SUM = 1.5


def drying_row_f(temp_c: float) -> int | None:
    """The table's row for a room: the next printed temperature below, never between; None below 75.

    >>> drying_row_f(30.0), drying_row_f(20.0)
    (85, None)

    Source: ``FORMER_DRYING``, no interpolation.
    """
    temp_f = fahrenheit(celsius=temp_c) + 1e-9
    return max((row for row in DRYING_DAYS if row <= temp_f), default=None)


def drying_finding(day_lows_c: Sequence[float]) -> Finding:
    """Days of drying at their lowest temperatures: the sum of what each counts must pass 1.5.

    Args:
        day_lows_c: lowest room temperature of each whole day.

    Returns: the finding.

    Raises: nothing; a day below 75 F counts nothing.

    >>> drying_finding([38.0] * 10).standing.value, drying_finding([38.0] * 11).standing.value
    ('outside', 'within')

    Source: ``FORMER_DRYING``.
    """
    rows = [drying_row_f(temp) for temp in day_lows_c]
    total = round(sum(DRYING_PER_DAY[row] for row in rows if row is not None), 9)
    rule = Rule(
        name="drying counted by table 5",
        limit=math.nextafter(DRYING_SUM, 2.0),  # "more than", not "at least"
        sense=Sense.AT_LEAST,
        unit="of the sum",
        source=FORMER_DRYING,
        remedy="Dry on at 75 F or more, or cook it by the chart for its kind",
    )
    return rule.held_against(total)


def shorter_drying_days(base_days: int, *, reduction: float) -> int:
    """Table 3B: drying days less a share, the fraction of a day left off the reduction.

    Args:
        base_days: 1 to 200, from the table for the casing.
        reduction: fraction, 0 to 1.

    Returns: days.

    Raises: OutOfRange.

    >>> shorter_drying_days(20, reduction=0.18)
    17

    Source: ``FORMER_SAUSAGE``, table 3B note 1.
    """
    within("drying days", base_days, low=1, high=200, unit="days", rule="table 3B")
    within("reduction", reduction, low=0.0, high=1.0, unit="of 1", rule="table 3B")
    return base_days - math.floor(base_days * reduction + 1e-9)


def longer_drying_days(base_days: int, *, increase: float) -> int:
    """Table 4: drying days more by a share, the fraction of a day rounded up.

    Args:
        base_days: 1 to 200.
        increase: fraction, 0 to 2.

    Returns: days.

    Raises: OutOfRange.

    >>> longer_drying_days(23, increase=0.40)
    33

    Source: ``FORMER_SAUSAGE``, table 4 note 2.
    """
    within("drying days", base_days, low=1, high=200, unit="days", rule="table 4")
    within("increase", increase, low=0.0, high=2.0, unit="of 1", rule="table 4")
    return base_days + _up(base_days * increase)


def sausage_salt_percent(*, salt_kg: float, total_kg: float, dry_kg: float) -> float:
    """Salt for table 4: 100 x salt / (all - dry ingredients), cut to a tenth.

    Args:
        salt_kg: above 0.
        total_kg: meat, water, wine and all dry ingredients.
        dry_kg: the dry ingredients, salt with them, less than all.

    Returns: per cent.

    Raises: OutOfRange.

    >>> dry = 3.56 + 2 + 0.8 + 0.012
    >>> sausage_salt_percent(salt_kg=3.56, total_kg=127.872, dry_kg=dry)
    2.9

    Source: ``FORMER_SAUSAGE``, table 4 note 1.
    """
    within("salt", salt_kg, low=1e-6, high=dry_kg, unit="kg", rule="table 4")
    within("dry ingredients", dry_kg, low=1e-6, high=0.9 * total_kg, unit="kg", rule="table 4")
    return math.floor(1000 * salt_kg / (total_kg - dry_kg) + 1e-9) / 10


def brine_concentration_finding(*, salt_kg: float, water_kg: float) -> Finding:
    """Salt over salt and water in the meat, 6 per cent or more.

    Both above 0 to 1000 kg, else OutOfRange.

    >>> brine_concentration_finding(salt_kg=3.0, water_kg=60.0).standing.value
    'outside'

    Source: ``FORMER_HAMS``.
    """
    within("salt", salt_kg, low=1e-6, high=1000.0, unit="kg", rule="brine concentration")
    within("water", water_kg, low=1e-6, high=1000.0, unit="kg", rule="brine concentration")
    rule = Rule(
        name="brine concentration",
        limit=6.0,
        sense=Sense.AT_LEAST,
        unit="%",
        source=FORMER_HAMS,
        remedy="More salt or longer drying before it counts",
    )
    return rule.held_against(100 * salt_kg / (salt_kg + water_kg))


COUNTS_FROM_C = celsius(fahrenheit=35)


def days_that_count(day_lows_c: Sequence[float]) -> int:
    """Days of cure that count: those never below 35 F. Raises nothing.

    >>> days_that_count([3.0, 1.0, 4.0])
    2

    Source: ``FORMER_HAMS``.
    """
    return sum(low >= COUNTS_FROM_C for low in day_lows_c)
