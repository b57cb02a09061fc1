"""Rest after heavy work, and how long a load may be held still.

No published work and rest regimen fits every job (OSHA 3123 says so); these are cautions that a
plan keeps, and the defaults among them are practice.
"""

from __future__ import annotations

from stations.trade.errors import OutOfRange, within
from stations.trade.frequency import MODERATE_RECOVERY, SHORT_RECOVERY, DurationClass
from stations.trade.sources import PRACTICE, Source, Trust
from stations.trade.verdicts import Grade, Verdict

ENDURANCE = Source(
    title="Bernard 2006, Design of Static Muscle Work",
    place="Rohmert's curve",
    trust=Trust.PUBLISHED,
)
LONG_HOLD = Source(
    title="Deeb, Drury and Pendergast 1992", place="15 % of strength", trust=Trust.PUBLISHED
)

LEAST_FRACTION = 0.2  # where the curve begins
LONGEST_HOLD_S = 60.0  # practice, from the endurance at half of full strength
REST_AFTER_HEAVY_MIN = 30  # practice: one hog's lifts per person in half an hour
SUSTAINED_FRACTION = 0.079  # Bjorksten and Jonsson 1977, an hour without a break (published)
INTERMITTENT_FRACTION = 0.14  # the same, with breaks (published)
LONG_HOLD_FRACTION = 0.15


def hold_endurance_s(*, fraction: float) -> float:
    """How long a fraction of full strength can be held still until it fails.

    t = -1.5 + 2.1 / f - 0.6 / f^2 + 0.1 / f^3 minutes. At the shoulder it promises too much below
    0.45 (NIOSHTIC 20037558), so it is a ceiling and no plan.

    Args:
        fraction: f, load over full strength, 0.2 to 1.

    Returns: seconds.
    Raises: OutOfRange outside 0.2 to 1.

    >>> round(hold_endurance_s(fraction=0.5))
    66

    Source: Rohmert's curve in Bernard 2006 (published).
    """
    f = within(
        "fraction of strength",
        fraction,
        low=LEAST_FRACTION,
        high=1.0,
        unit="of full strength",
        rule="hold",
    )
    return 60.0 * (-1.5 + 2.1 / f - 0.6 / f**2 + 0.1 / f**3)


def hold_limit_s(*, fraction: float) -> float:
    """How long one person should hold a load still before a swap.

    The endurance, never more than 60 s, which alone counts where the curve has not begun. A
    comfortable lift is less than full strength, so a load over a comfortable lift may be given as
    the fraction: it errs to the careful side.

    Args:
        fraction: load over strength or comfortable lift, 0 to 1.

    Returns: seconds, 6 to 60.
    Raises: OutOfRange outside 0 to 1: above 1 it is not to be held at all.

    >>> hold_limit_s(fraction=0.3), round(hold_limit_s(fraction=0.9))
    (60.0, 14)

    Source: Rohmert's curve (published), cut at 60 s (practice).
    """
    within("fraction of strength", fraction, low=0.0, high=1.0, unit="of it", rule="hold")
    if fraction < LEAST_FRACTION:
        return LONGEST_HOLD_S
    return min(LONGEST_HOLD_S, hold_endurance_s(fraction=fraction))


def screen_hold(*, fraction: float, held_s: float) -> Verdict:
    """Whether a hold is short enough.

    Args:
        fraction: load over strength or comfortable lift, 0 to 1.
        held_s: how long it is held, 0 to 3600 s.

    Returns: within to the limit; ask the lead to the endurance; beyond that it needs an aid.
    Raises: OutOfRange outside those ranges.

    >>> screen_hold(fraction=0.9, held_s=30.0).grade.words
    'needs an aid'

    Source: as :func:`hold_limit_s`.
    """
    within("hold", held_s, low=0.0, high=3600.0, unit="s", rule="hold")
    limit_s = hold_limit_s(fraction=fraction)
    grade, remedy = Grade.WITHIN, ""
    if held_s > limit_s:
        fails = fraction >= LEAST_FRACTION and held_s > hold_endurance_s(fraction=fraction)
        grade = Grade.NEEDS_AID if fails else Grade.ASK_LEAD
        remedy = "Swap hands or set it down sooner"
    return Verdict(
        grade=grade,
        rule="Time a load is held still",
        value=held_s,
        limit=limit_s,
        unit="s",
        source=ENDURANCE,
        remedy=remedy,
    )


def recovery_min(*, worked_min: float, duration: DurationClass) -> float:
    """Light work or rest after lifting, before the next lifting counts as fresh.

    1.2 times the work to an hour of it, 0.3 times to two hours.

    Args:
        worked_min: 0 to 60 minutes for short, to 120 for moderate.
        duration: short or moderate; longer lifting has no such figure.

    Returns: minutes.
    Raises: OutOfRange beyond those times, and for long.

    >>> recovery_min(worked_min=10.0, duration=DurationClass.SHORT)
    12.0

    Source: DHHS (NIOSH) 94-110: short from memory (the stricter of two copies), moderate published.
    """
    tops = {DurationClass.SHORT: (60.0, 1.2), DurationClass.MODERATE: (120.0, 0.3)}
    if duration not in tops:
        raise OutOfRange(
            "lifting", got=worked_min, low=0.0, high=120.0, unit="min", rule="recovery time"
        )
    high, times = tops[duration]
    return times * within(
        "lifting", worked_min, low=0.0, high=high, unit="min", rule="recovery time"
    )


def recovery_source(*, duration: DurationClass) -> Source:
    """Where :func:`recovery_min` has its factor from.

    Args:
        duration: short or moderate.

    Returns: the source with its trust.
    Raises: nothing.

    >>> recovery_source(duration=DurationClass.SHORT).trust
    <Trust.MEMORY: 'memory'>

    Source: DHHS (NIOSH) 94-110, as marked on each.
    """
    return SHORT_RECOVERY if duration is DurationClass.SHORT else MODERATE_RECOVERY


def rest_after_heavy_min(*, worked_min: float) -> float:
    """How long a person is kept off heavy duties after one.

    max(30, 1.2 times the lifting time).

    Args:
        worked_min: time on the heavy duty, 0 to 60 min.

    Returns: minutes, 30 or more.
    Raises: OutOfRange outside 0 to 60.

    >>> rest_after_heavy_min(worked_min=10.0), rest_after_heavy_min(worked_min=40.0)
    (30.0, 48.0)

    Source: practice, drawn from :func:`recovery_min`; heavy is followed by light (published,
        OSHA-based advice).
    """
    recovery = recovery_min(worked_min=worked_min, duration=DurationClass.SHORT)
    return max(float(REST_AFTER_HEAVY_MIN), recovery)


def screen_rest(*, worked_min: float, rested_min: float) -> Verdict:
    """Whether someone has been off heavy work long enough for the next.

    Args:
        worked_min: time on the last heavy duty, 0 to 60 min.
        rested_min: time since, 0 or more.

    Returns: within the screen, or ask the lead.
    Raises: OutOfRange outside those ranges.

    >>> print(screen_rest(worked_min=10.0, rested_min=20.0).sentence())
    Ask the lead: time off heavy work is 20 min against 30 min. Give them a light duty first.

    Source: as :func:`rest_after_heavy_min`.
    """
    within("rest", rested_min, low=0.0, high=10080.0, unit="min", rule="rest after heavy work")
    needed_min = rest_after_heavy_min(worked_min=worked_min)
    rested = rested_min >= needed_min
    return Verdict(
        grade=Grade.WITHIN if rested else Grade.ASK_LEAD,
        rule="Time off heavy work",
        value=rested_min,
        limit=needed_min,
        unit="min",
        source=PRACTICE,
        remedy="" if rested else "Give them a light duty first",
    )
