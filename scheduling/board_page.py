"""What the board in the barn shows, put together: stations, alarms, the running dip."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from scheduling import alarming, backwards, light, live_day
from scheduling.alarming import Ringing
from scheduling.backwards import Before
from scheduling.light import DayLight
from scheduling.live_day import AtStation
from scheduling.models import RunSheet
from stations.models import Dip
from stations.scenes import Scene
from stations.trade.burns import seconds_to_burn
from stations.trade.errors import OutOfRange
from stations.trade.scald import LONGEST_DIP_S
from workshops.models import Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class DipOnBoard:
    """The hog in the water: since when, how hot the water is, how soon it burns."""

    dip: Dip
    since_ms: int
    water: str
    burn: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """The whole screen."""

    sheet: RunSheet | None
    rows: tuple[AtStation, ...]
    dips: tuple[DipOnBoard, ...]
    alarms: tuple[Ringing, ...]
    light: DayLight | None
    before: tuple[Before, ...]

    @property
    def size(self) -> str:
        """How much has to fit on the screen: it sets the size of the letters."""
        lines = sum(max(1, len(row.now)) for row in self.rows) + len(self.dips)
        return "many" if lines > 8 else "few"


def board(workshop: Workshop, sheets: Iterable[RunSheet], *, now: datetime) -> Board:
    """Put the board together; a fixed number of queries beside the sheets' own."""
    sheet = live_day.sheet_for(sheets, now=now)
    day = alarming.live_day(workshop, now=now, sheet=sheet)
    return Board(
        sheet=sheet,
        rows=tuple(live_day.board(sheet, now=now, times=day.times)) if sheet else (),
        dips=tuple(on_board(scene) for scene in day.scenes),
        alarms=tuple(alarming.ringing(day)),
        light=light.day_light(sheet.day, sheet.steps.all()) if sheet else None,
        before=tuple(backwards.still_ahead(sheet, now=now)) if sheet else (),
    )


def on_board(scene: Scene) -> DipOnBoard:
    """One running dip; without an estimate the last reading stands in for the water."""
    dip = scene.dip
    is_over = dip.seconds_at(scene.now) > LONGEST_DIP_S
    return DipOnBoard(
        dip=dip,
        since_ms=int(dip.water_in_at.timestamp() * 1000),
        water="" if is_over else scene.shown(scene.water_c),
        burn=_burn(scene),
    )


def _burn(scene: Scene) -> str:
    try:
        burn = seconds_to_burn(scene.water_c)
    except OutOfRange:
        return "Hot water and steam burn."
    return burn.sentence().split(". ")[0] + "."
