"""Whether a station's chains, hoist and angles hold the heaviest hog; and the counts of the kit.

A caution is no certificate: whoever rigs, the maker's plate and local code have the last word.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db import transaction

from stations.cautions import Caution
from stations.lifting import chain_of, hog_of, point_of
from stations.models import Equipment, HandlingSetup, Hoist, Lifting, Signal, Stage, Station
from stations.screening import LiftPlan, plan_lift
from stations.trade.hanging import screen_hanging
from stations.trade.rest import REST_AFTER_HEAVY_MIN, rest_after_heavy_min
from stations.trade.rigging import (
    CHAIN_CARE,
    Chain,
    chain_warnings,
    leg_load_kg,
    screen_cradle,
    screen_overhead,
)
from stations.trade.verdicts import Grade, Verdict
from stations.wording import SIGNALS, caution, said
from workshops.models import Animal, AnimalStatus, Workshop
from workshops.quantities import WEIGHT

LAST_WORD = Caution(
    signal=Signal.NOTICE,
    text=(
        "These compare figures; they pass no rig. The maker's plate, a competent rigger and local "
        "code have the last word. Look at every link, hook and knot before each hog."
    ),
)
UNDER_A_LOAD = Caution(
    signal=Signal.DANGER,
    text="Nobody under a hung carcass, no hand on the line near the hook. Let it down gently.",
    source_line="common practice, no source",
)
LONGEST_RECKONED_MIN = 60  # the rest rule covers lifting of an hour at most


@dataclass(frozen=True, slots=True, kw_only=True)
class StationCheck:
    """What is written down of one station, put against the heaviest hog."""

    station: Station
    handling: HandlingSetup | None
    hog: Animal | None
    notes: tuple[Caution, ...] = ()
    within: tuple[str, ...] = ()
    said: tuple[str, ...] = ()

    @property
    def work(self) -> str:
        """What is done with the hog's weight here."""
        return Lifting(self.handling.work).label if self.handling else ""


def check(station: Station, hog: Animal | None, units: str) -> StationCheck:
    """Every check of one station; its ``handling`` and ``trough`` must be joined."""
    handling: HandlingSetup | None = getattr(station, "handling", None)
    if handling is None or hog is None:
        return StationCheck(station=station, handling=handling, hog=hog)
    handling.station = station
    plan = plan_lift(handling, hog)
    verdicts = [*_chain_verdicts(handling, hog), *_hoist_verdicts(handling, hog)]
    return StationCheck(
        station=station,
        handling=handling,
        hog=hog,
        notes=(
            *_standing(handling),
            *_missing(handling),
            *(caution(verdict, units) for verdict in verdicts if verdict.grade is not Grade.WITHIN),
            *_shortfalls(plan, units),
        ),
        within=tuple(
            f"{said(verdict, units)} {verdict.source}."
            for verdict in verdicts
            if verdict.grade is Grade.WITHIN
        ),
        said=(*_plan_words(plan, units), *_chain_words(handling, hog, units)),
    )


def _load_kg(handling: HandlingSetup, hog: Animal) -> float:
    return hog_of(hog, Lifting(handling.work)).handled_kg


def _uses_chain(handling: HandlingSetup) -> bool:
    return handling.work != Lifting.DRAG


def _chain_verdicts(handling: HandlingSetup, hog: Animal) -> list[Verdict]:
    chain = chain_of(handling)
    if chain is None or not _uses_chain(handling):
        return []
    screen = screen_overhead if handling.work == Lifting.HANG else screen_cradle
    return [screen(chain=chain, load_kg=_load_kg(handling, hog))]


def _hoist_verdicts(handling: HandlingSetup, hog: Animal) -> list[Verdict]:
    if handling.hoisting == Hoist.NONE:
        return []
    return list(screen_hanging(point=point_of(handling), load_kg=_load_kg(handling, hog)))


def _standing(handling: HandlingSetup) -> Iterable[Caution]:
    if handling.work == Lifting.HANG:
        yield UNDER_A_LOAD


def _missing(handling: HandlingSetup) -> Iterable[Caution]:
    """What has to be found out before anything can be compared."""
    if _uses_chain(handling) and chain_of(handling) is None:
        yield Caution(
            signal=Signal.CAUTION,
            text="The chain's thickness is not written down. Measure the wire of one link.",
        )
    if handling.work == Lifting.HANG and handling.hoisting == Hoist.NONE:
        yield Caution(
            signal=Signal.WARNING,
            text="Nothing is written down to hang a hog with. Add a hoist with its rating.",
        )


def _shortfalls(plan: LiftPlan, units: str) -> Iterable[Caution]:
    for move in plan.shortfalls:
        yield Caution(
            signal=SIGNALS[Grade.NEEDS_AID],
            text=move.sentence(units),
            source_line=str(move.by_hand.deciding.source),
        )


def _plan_words(plan: LiftPlan, units: str) -> Iterable[str]:
    if plan.work is Lifting.HANG:
        return ()  # the hoist's own verdicts have said it
    return (move.sentence(units) for move in plan.moves if not move.is_short)


def _chain_words(handling: HandlingSetup, hog: Animal, units: str) -> Iterable[str]:
    chain = chain_of(handling)
    if chain is None or not _uses_chain(handling):
        return
    yield _leg_words(chain, _load_kg(handling, hog), units)
    yield from chain_warnings(chain=chain)
    yield from CHAIN_CARE


def _leg_words(chain: Chain, load_kg: float, units: str) -> str:
    leg_kg = leg_load_kg(load_kg=load_kg, legs=chain.legs, angle_deg=chain.angle_deg)
    ends = f"each of {chain.legs} chain ends" if chain.legs > 1 else "the one chain end"
    return (
        f"At {chain.angle_deg:g}° {ends} pulls {WEIGHT.shown(leg_kg, units)}; the flatter the "
        "chain, the harder it pulls."
    )


# --- rest -----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class RestOffer:
    """The rest after a heavy duty that the trade's rule comes to here, and why."""

    minutes: int
    sentence: str


def rest_offer(stages: Iterable[Stage]) -> RestOffer:
    """From the longest stage with a heavy duty; the stages' duties must be loaded."""
    heavy = [stage for stage in stages if any(duty.heavy for duty in stage.duties.all())]
    longest = max(heavy, key=lambda stage: stage.expected_min, default=None)
    worked = min(longest.expected_min, LONGEST_RECKONED_MIN) if longest else 0
    minutes = round(rest_after_heavy_min(worked_min=float(worked)))
    what = f"{longest.name}, {longest.expected_min} min, is the longest" if longest else "no stage"
    return RestOffer(
        minutes=minutes,
        sentence=(
            f"{minutes} min is offered: at least {REST_AFTER_HEAVY_MIN} min (common practice), "
            "and 1.2 times the lifting (DHHS (NIOSH) 94-110, from memory); "
            f"{what} with a heavy duty."
        ),
    )


def keep_rest(workshop: Workshop, minutes: int) -> None:
    """Write down the rest after a heavy duty; the next planning keeps to it."""
    Workshop.objects.filter(pk=workshop.pk).update(rest_after_heavy_min=minutes)


# --- counts ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """A count as it was read, and as it was typed."""

    was: int
    now: int


@transaction.atomic
def write_counts(counts: Mapping[Equipment, Count]) -> list[Equipment]:
    """Write every changed count, or none: returns those that someone else changed meanwhile."""
    lost = [
        thing
        for thing, count in counts.items()
        if count.was != count.now
        and not Equipment.objects.filter(pk=thing.pk, count=count.was).update(count=count.now)
    ]
    if lost:
        transaction.set_rollback(True)
    return lost


def heaviest_of(hogs: Iterable[Animal]) -> Animal | None:
    """The heaviest hog that takes part; None before one is chosen."""
    taking_part = (hog for hog in hogs if AnimalStatus(hog.status).takes_part)
    return max(taking_part, key=lambda hog: hog.live_kg, default=None)
