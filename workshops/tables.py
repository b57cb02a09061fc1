"""Tables of text, from and to CSV and XLSX. Knows nothing of people."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from xml.etree.ElementTree import ParseError

from openpyxl import Workbook, load_workbook  # type: ignore[import-untyped]  # ships no types
from openpyxl.utils.exceptions import InvalidFileException  # type: ignore[import-untyped]

MOST_BYTES = 2 * 1024 * 1024
MOST_ROWS = 2000
MOST_COLUMNS = 60
# An XLSX is a zip; one that unpacks to more than this is no list of people.
MOST_UNPACKED = 30 * 1024 * 1024
# A spreadsheet runs a cell that begins so as a formula.
# Source: OWASP, "CSV Injection" (published): = + - @, tab and carriage return.
RUNS = ("=", "+", "-", "@", "\t", "\r")


# What the reader raises on a damaged, locked or foreign file.
UNREADABLE = (
    zipfile.BadZipFile, InvalidFileException, ParseError, LookupError, ValueError, TypeError,
    RuntimeError, EOFError,
)  # fmt: skip


class UnreadableTable(Exception):
    """The file cannot be read as a table; the sentence says what would do."""


Row = list[str]


def read(name: str, content: bytes) -> list[Row]:
    """The rows of a CSV or XLSX file as text, the header first, without empty rows."""
    if len(content) > MOST_BYTES:
        raise UnreadableTable(
            f"The file has {len(content) / 1024**2:.1f} MB; the most is {MOST_BYTES // 1024**2} "
            "MB. Take pictures and other sheets out."
        )
    found = _xlsx(content) if content[:4] == b"PK\x03\x04" else _csv(name, content)
    rows = [row for row in found if any(row)]
    if len(rows) < 2:
        raise UnreadableTable("The file has no row under its header; write one person a row.")
    return rows


def _csv(name: str, content: bytes) -> list[Row]:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise UnreadableTable(
            f"{name} is not written in UTF-8 (byte {error.start + 1} is no letter in it). Save it "
            "as “CSV UTF-8”, or as XLSX."
        ) from error
    if "\0" in text:
        raise UnreadableTable(f"{name} is no table of text; save it as “CSV UTF-8” or as XLSX.")
    first = text.partition("\n")[0]
    # A comma, or what spreadsheets write where the comma is the decimal sign.
    mark = max(",;\t", key=first.count)
    try:
        return _within(csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True))
    except csv.Error as error:
        raise UnreadableTable(
            f"{name} is not a well-formed CSV ({error}); save it anew."
        ) from error


def _xlsx(content: bytes) -> list[Row]:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            if sum(part.file_size for part in packed.infolist()) > MOST_UNPACKED:
                raise UnreadableTable("The workbook unpacks to too much; save the one sheet alone.")
        book = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
        sheet = book.worksheets[0]
        return _within([_text(cell) for cell in row] for row in sheet.iter_rows(values_only=True))
    except UNREADABLE as error:
        raise UnreadableTable(
            "The workbook cannot be opened; save it anew as XLSX, or as “CSV UTF-8”."
        ) from error


def _within(found: Iterable[Sequence[str]]) -> list[Row]:
    rows: list[Row] = []
    for row in found:
        if len(rows) > MOST_ROWS or len(row) > MOST_COLUMNS:
            raise UnreadableTable(
                f"The table is larger than {MOST_ROWS} rows of {MOST_COLUMNS} columns; split it."
            )
        rows.append([cell.strip() for cell in row])
    return rows


def _text(cell: object) -> str:
    """A cell as a person would have typed it."""
    if cell is None:
        return ""
    if isinstance(cell, datetime):
        return cell.date().isoformat()
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    return str(cell)


def neutral(cell: str) -> str:
    """The cell so that no spreadsheet runs it: an apostrophe stands before what would.

    >>> neutral("=1+1"), neutral("Ada"), neutral("-5")
    ("'=1+1", 'Ada', "'-5")
    """
    return f"'{cell}" if cell.startswith(RUNS) else cell


def plain(cell: str) -> str:
    """A cell as it was before :func:`neutral`, so that what goes out comes in unchanged.

    >>> plain("'=1+1"), plain("'tis")
    ('=1+1', "'tis")
    """
    return cell[1:] if cell[:1] == "'" and cell[1:].startswith(RUNS) else cell


def to_csv(rows: Iterable[Row]) -> bytes:
    """CSV in UTF-8 with the mark that spreadsheets look for."""
    made = io.StringIO(newline="")
    csv.writer(made).writerows([neutral(cell) for cell in row] for row in rows)
    return made.getvalue().encode("utf-8-sig")


def to_xlsx(sheets: dict[str, list[Row]]) -> bytes:
    """A workbook of text cells, a sheet for each table."""
    book = Workbook()
    book.remove(book.active)
    for title, rows in sheets.items():
        sheet = book.create_sheet(title[:31])
        for row in rows:
            sheet.append([neutral(_without_controls(cell)) for cell in row])
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


def _without_controls(cell: str) -> str:
    """XML has no room for most control characters."""
    return "".join(sign for sign in cell if sign >= " " or sign in "\t\n\r")
