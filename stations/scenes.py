"""What a trough's page is made from: a dip, its estimate and its band at one moment."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from stations.dip_curves import Point
from stations.estimating import Estimate, corrected_c, estimate, seconds_in
from stations.heating import band_of
from stations.models import Dip, DipEntry, EntryKind
from stations.trade.coats import ScaldBand
from stations.trade.errors import OutOfRange
from stations.trade.scald import LONGEST_DIP_S
from stations.trade.scald_watch import DipSoFar, Hair, Part, hair_of
from workshops.quantities import TEMPERATURE


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """What the parts of a view are made from."""

    dip: Dip
    now: datetime
    now_s: float
    units: str
    band: ScaldBand
    guess: Estimate | None
    trouble: str
    readings: tuple[DipEntry, ...]

    def shown(self, water_c: float) -> str:
        """In the workshop's units, to a tenth."""
        return TEMPERATURE.shown(water_c, self.units, decimals=1)

    def true_c(self, row: DipEntry) -> float:
        """A reading with the thermometer's error taken off."""
        return corrected_c(self.dip, row.water_c or 0.0)

    def is_odd(self, row: DipEntry) -> bool:
        """Whether the estimator leaves this reading aside."""
        return self.guess is not None and row.pk in self.guess.unused

    @property
    def trusted(self) -> list[DipEntry]:
        """The readings that count."""
        return [row for row in self.readings if not self.is_odd(row)]

    @property
    def water_c(self) -> float:
        """The water now: the estimate, or the last reading where there is none."""
        if self.guess is not None:
            return self.guess.now.water_c
        return self.true_c(self.trusted[-1]) if self.trusted else self.strike_c

    @property
    def strike_c(self) -> float:
        """The strike reading with the thermometer's error taken off."""
        return corrected_c(self.dip, self.dip.strike_read_c)

    @property
    def path(self) -> tuple[Point, ...]:
        """The water so far: from the mixed-in rinse through the readings to now."""
        start = self.guess.start_c if self.guess else self.strike_c
        seen = [(max(0.0, seconds_in(self.dip, row)), self.true_c(row)) for row in self.trusted]
        return (0.0, start), *seen, (max([self.now_s, *(s for s, _ in seen)]), self.water_c)

    @property
    def so_far(self) -> DipSoFar:
        """What the scald watch is told."""
        tests = self.dip.of_kind(EntryKind.HAIR_TEST)
        rolls = self.dip.of_kind(EntryKind.ROLL)
        return DipSoFar(
            now_s=self.now_s,
            readings=self.path,
            hair=hair_of((Part(row.part), Hair(row.hair)) for row in tests),
            tested_s=seconds_in(self.dip, tests[-1]) if tests else None,
            rolled_s=max(0.0, seconds_in(self.dip, rolls[-1])) if rolls else 0.0,
        )


def set_scene(dip: Dip, *, now: datetime) -> Scene:
    """What the page is made from; what the trade rules cannot compute is told in words."""
    guess, trouble = None, ""
    try:
        guess = estimate(dip, at=now)
    except OutOfRange as error:
        trouble = f"No forecast: {error}"
    if guess is None and not trouble:
        trouble = "No forecast: water poured over the hog has no bath to forecast."
    return Scene(
        dip=dip,
        now=now,
        now_s=min(dip.seconds_at(now), LONGEST_DIP_S),
        units=dip.workshop.units,
        band=band_of(dip.station.trough, dip.animal),
        guess=guess,
        trouble=trouble,
        readings=tuple(dip.of_kind(EntryKind.READING)),
    )


def clock(seconds: float) -> str:
    """Minutes and seconds: 3:05."""
    minutes, rest = divmod(int(seconds), 60)
    return f"{minutes}:{rest:02d}"


def ago(seconds: float) -> str:
    """How old something is, as it is said."""
    whole = max(0, int(seconds))
    return f"{whole} s ago" if whole < 120 else f"{whole // 60} min ago"
