"""Cautions that are computed or the same everywhere, shown as the typed hazard notes are."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from stations import heating
from stations.heating import hogs_to_scald
from stations.models import Trough
from stations.models.hazards import Signal
from stations.trade.burns import FIRST_AID_LINE, FIRST_AID_SOURCE, seconds_to_burn
from stations.trade.errors import OutOfRange
from stations.trade.scald_plan import PUBLISHED_START_C
from workshops.models import Animal, Workshop
from workshops.quantities import TEMPERATURE


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """What ``parts/caution.html`` takes, as a hazard note is."""

    signal: Signal
    text: str
    source_line: str = ""

    @property
    def signal_word(self) -> str:
        """The word on the band."""
        return self.signal.label


HOME_CAUTIONS = (
    Caution(
        signal=Signal.DANGER,
        text="Gas burners and fires stand outdoors only, level, 10 ft (3 m) from anything that "
        "burns: indoors the fumes kill, even with the door open. Boiling water is carried half "
        "full and lidded with nobody in the way; children and animals stay behind a rope.",
        source_line="US fire department and LP-gas safety leaflets (published); "
        "carrying: common practice, no source",
    ),
    Caution(
        signal=Signal.NOTICE,
        text="A hog is not lifted by hand: use a ramp or a hoist, and enough people. Who may kill "
        "at home, and what may be done with meat and waste, is local law: ask the office that "
        "knows it, and have someone trained beside you the first time.",
        source_line="common practice, no source",
    ),
)


INJURY_CAUTIONS = (
    Caution(
        signal=Signal.DANGER,
        text="First the person, then the book. Stop the work around them; knives down, fire and "
        "hoist held. Someone who is trained looks at them; someone else rings and waits at the "
        "gate. Bad bleeding: press hard on it with something clean and keep pressing.",
        source_line="common practice, no source; follow those who are trained and the emergency "
        "operator",
    ),
    Caution(
        signal=Signal.WARNING,
        text=FIRST_AID_LINE,
        source_line=str(FIRST_AID_SOURCE),
    ),
)
"""What stands beside the form for an injury."""


def burn_at(water_c: float, units: str, *, words: str = "Water", first_aid: str) -> Caution:
    """Seconds to a serious burn at a temperature of 44 to 101 degC, and what to do first."""
    burn = seconds_to_burn(water_c)
    said = burn.sentence()
    shown = TEMPERATURE.shown(water_c, units)
    return Caution(
        signal=Signal.DANGER,
        text=f"{words} at {shown}: {said[:1].lower()}{said[1:]} Nobody reaches in, leans over or "
        f"straddles the trough. {first_aid}",
        source_line=f"{burn.source}; first aid: {FIRST_AID_SOURCE}",
    )


def burns_today(workshop: Workshop) -> dict[int, Caution]:
    """By station, for those with a trough: what its water does. One query, two with a trough."""
    troughs = list(
        Trough.objects.filter(station__workshop=workshop).select_related("station__workshop")
    )
    if not troughs:
        return {}
    hogs = hogs_to_scald(workshop)
    return {trough.station_id: burn_today(trough, hogs) for trough in troughs}


def burn_today(trough: Trough, animals: Iterable[Animal]) -> Caution:
    """At the hottest strike planned for these hogs; without a plan, at the hottest published start.

    No query if the trough was loaded with its station and workshop.
    """
    units = trough.station.workshop.units
    try:
        strikes = heating.strikes_c(trough, animals)
    except OutOfRange:  # no plan: what cannot be worked out is not said to be cooler
        strikes = ()
    hottest_c, words = PUBLISHED_START_C[1], "Water as hot as the books strike it,"
    if strikes:
        hottest_c, words = max(strikes), "Water as today's plan strikes it,"
    return burn_at(hottest_c, units, words=words, first_aid=FIRST_AID_LINE)
