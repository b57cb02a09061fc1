"""The day's pack as PDF, read back."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from scheduling import printing, sheets
from scheduling.models import RunSheet, SheetStatus
from tests.build import (
    make_chain_duty,
    make_enrolment,
    make_equipment,
    make_link,
    make_note,
    make_placement,
    make_run_sheet,
    make_stage,
    make_station,
    make_step,
    make_workshop,
)
from tests.conftest import missing
from workshops.models import Limit

pytestmark = pytest.mark.django_db
ROOT = "http://192.0.2.7:8000"
PLACES = ["fore-left", "fore-right", "hind-left", "hind-right"]


def pack() -> sheets.Pack:
    """One scald with three of the four on the chains."""
    workshop = make_workshop(first_aid_point="Green box", farm="Larkhollow")
    sheet = make_run_sheet(workshop.days.all()[0], SheetStatus.POSTED)
    chain = make_chain_duty(make_station(workshop, name="Trough"), what_to_do="Row it gently.")
    make_note(chain.station, text="Water burns in seconds.", signal="danger")
    make_equipment(workshop, name="Chain, rated", station=chain.station)
    stage = make_stage(chain.station, duties=[chain], name="Scald")
    step = make_step(sheet, stage)
    for name, place in zip(["Ada", "Bo", "Cy"], PLACES, strict=False):
        seat = make_enrolment(
            workshop, given_name=name, limits=[Limit.NO_KNIVES], health_note="Secret."
        )
        make_link(seat)
        make_placement(step, chain, enrolment=seat, place=place)
    loaded = RunSheet.objects.with_steps().get(pk=sheet.pk)
    return sheets.pack(loaded, number=1, root=ROOT)


def read(made: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(io.BytesIO(made)).pages]


def test_the_pack_says_who_stands_where_and_what_is_dangerous() -> None:
    """Run sheet, station card and a slip each, with names, places, times and cautions."""
    if not printing.can_make_pdf():
        missing("Pango, for PDF")
    pages = read(printing.pdf(pack()))
    run_sheet, card, slips = pages[0], pages[1], pages[-1]
    assert "Larkhollow" in run_sheet
    assert "Ada (fore-left)" in run_sheet
    for words in ("Trough", "DANGER", "Water burns in seconds.", "Row it gently.", "Chain, rated"):
        assert words in card
    for name in ("Ada", "Bo", "Cy"):
        assert name in slips
    assert "09:00" in slips


def test_a_hand_that_is_missing_leaves_a_line_to_write_on() -> None:
    """Three of four are placed: one blank."""
    (line,) = pack().steps[0].lines
    assert (len(line.crew), line.blanks) == (3, 1)


def test_paper_tells_nobody_s_health_or_limits() -> None:
    """Not on the wall, not in a pocket."""
    text = printing.html(pack())
    assert "Secret" not in text
    assert "no knives" not in text


def test_a_slip_opens_its_own_card() -> None:
    """The code carries the farm's address and the private word of that person."""
    for slip in pack().slips:
        assert slip.address == f"{ROOT}{slip.seat.link.path}"
        assert slip.qr.startswith("data:image/svg+xml")


def test_a_sheet_fetches_nothing_from_outside() -> None:
    """Only our own static files and inline pictures are ever read."""
    if not printing.can_make_pdf():
        missing("Pango, for PDF")
    from scheduling.print_assets import file_of

    assert file_of("http://gambrel.invalid/static/css/print.css").name == "print.css"
    for url in (
        "https://example.org/x.css",
        "file:///etc/passwd",
        "http://gambrel.invalid/static/../../../etc/passwd",
        "http://gambrel.invalid/static/no-such.css",
    ):
        with pytest.raises(Exception, match=r"not one of our own|is missing|outside"):
            file_of(url)
