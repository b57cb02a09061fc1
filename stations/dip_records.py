"""The dips of one hog beside those of others and other years: table, curves, CSV."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from dataclasses import dataclass
from io import StringIO

from stations.dip_curves import Point, Scale
from stations.estimating import corrected_c, is_usable, seconds_in, thermometer_of
from stations.models import Dip, DipEntry, EntryKind, HairSlip
from stations.scenes import clock
from workshops.quantities import TEMPERATURE, VOLUME, WEIGHT

MOST_OTHERS = 8
CSV_COLUMNS = (
    "workshop", "hog", "live_kg", "coat", "station", "in_water_at", "water_kg", "strike_read_c",
    "thermometer", "offset_c", "air_c", "floor_c", "ceiling_c", "entry", "kind", "seconds", "at",
    "received_at", "read_c", "corrected_c", "poured_kg", "part", "hair", "confirmed", "taken_back",
    "who",
)  # fmt: skip
# What a spreadsheet would run as a formula when it stands first in a cell.
STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True, slots=True, kw_only=True)
class DipRow:
    """One dip of the table, in the words of the workshop that is looked at."""

    number: int
    dip: Dip
    hog: str
    water: str
    strike: str
    span: str
    time: str
    buckets: int
    rolls: int
    hair: str
    air: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DipLine:
    """One dip in the drawing: its points and its number at the end."""

    number: int
    points: str
    end: Point
    mine: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlay:
    """The dips over each other."""

    scale: Scale
    lines: tuple[DipLine, ...]


def path_of(dip: Dip) -> list[Point]:
    """The strike and the usable readings, the thermometer's own error taken off."""
    points = [(0.0, corrected_c(dip, dip.strike_read_c))]
    for row in dip.of_kind(EntryKind.READING):
        if row.water_c is not None and is_usable(row):
            points.append((seconds_in(dip, row), corrected_c(dip, row.water_c)))
    return points


def rows_of(dips: Iterable[Dip], *, units: str, first: int = 1) -> list[DipRow]:
    """The table's rows, numbered as the drawing is."""
    return [_row(dip, units, number) for number, dip in enumerate(dips, start=first)]


def _row(dip: Dip, units: str, number: int) -> DipRow:
    temps = [c for _, c in path_of(dip)]
    low, high = (TEMPERATURE.shown(c, units, decimals=1) for c in (min(temps), max(temps)))
    slips = [row for row in dip.of_kind(EntryKind.HAIR_TEST) if row.hair == HairSlip.SLIPS]
    end = dip.ended_by
    return DipRow(
        number=number,
        dip=dip,
        hog=f"{dip.animal}, {WEIGHT.shown(dip.animal.live_kg, units)}, {dip.animal.coat}",
        water=VOLUME.shown(dip.water_kg, units),
        strike=TEMPERATURE.shown(temps[0], units, decimals=1),
        span=f"{low} to {high}",
        time=clock(seconds_in(dip, end)) if end else "in the water",
        buckets=len(dip.of_kind(EntryKind.POUR)),
        rolls=len(dip.of_kind(EntryKind.ROLL)),
        hair=f"{clock(seconds_in(dip, slips[0]))}, {slips[0].part}" if slips else "not noted",
        air=TEMPERATURE.shown(dip.air_c, units),
    )


def overlay(mine: list[DipRow], others: list[DipRow], *, units: str) -> Overlay | None:
    """Every dip's readings in one drawing; None where there is no dip."""
    paths = [(row, path_of(row.dip), row in mine) for row in [*mine, *others]]
    points = [point for _, path, _ in paths for point in path]
    if not points:
        return None
    last_s = max(s for s, _ in points) * 1.08  # room for the numbers at the ends
    scale = Scale.around((c for _, c in points), last_s=last_s, units=units)
    lines = (
        DipLine(
            number=row.number,
            points=scale.line(path),
            end=(scale.x(path[-1][0]), scale.y(path[-1][1])),
            mine=is_mine,
        )
        for row, path, is_mine in paths
    )
    return Overlay(scale=scale, lines=tuple(lines))


def as_csv(dips: Iterable[Dip]) -> str:
    """Every entry of the dips, one a line, SI, with what was taken back marked as such."""
    sheet = StringIO()
    writer = csv.writer(sheet)
    writer.writerow(CSV_COLUMNS)
    for dip in dips:
        entries = list(dip.entries.all())
        gone = {row.takes_back_id for row in entries}
        head = _dip_cells(dip)
        writer.writerows([*head, *_entry_cells(dip, row, row.pk in gone)] for row in entries)
        if not entries:
            writer.writerow(head)
    return sheet.getvalue()


def _dip_cells(dip: Dip) -> list[object]:
    off = thermometer_of(dip).offset_c(dip.strike_read_c)
    cells = [
        dip.workshop.name,
        dip.animal.tag,
        dip.animal.live_kg,
        dip.animal.coat,
        dip.station.letter,
        dip.water_in_at.isoformat(),
        round(dip.water_kg, 1),
        round(dip.strike_read_c, 2),
        dip.thermometer.name if dip.thermometer else "",
        round(off, 2),
        dip.air_c,
        round(dip.floor_c, 2),
        round(dip.ceiling_c, 2),
    ]
    return [defused(cell) for cell in cells]


def _entry_cells(dip: Dip, row: DipEntry, is_gone: bool) -> list[object]:  # noqa: FBT001  # a cell
    read_c = row.water_c
    is_reading = row.kind == EntryKind.READING and read_c is not None
    true_c = corrected_c(dip, read_c) if is_reading and read_c else None
    cells = [
        row.pk,
        row.kind,
        round(seconds_in(dip, row), 1),
        row.at.isoformat(),
        row.received_at.isoformat(),
        None if read_c is None else round(read_c, 2),
        None if true_c is None else round(true_c, 2),
        row.water_kg,
        row.part,
        row.hair,
        "yes" if row.confirmed else "",
        "yes" if is_gone else "",
        row.writer,
    ]
    return [defused(cell) for cell in cells]


def defused(cell: object) -> object:
    """Text that a spreadsheet would run is shown as text; numbers stay numbers."""
    is_formula = isinstance(cell, str) and cell.startswith(STARTS_A_FORMULA)
    return f"'{cell}" if is_formula else cell
