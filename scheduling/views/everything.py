"""Everything about one course, from every chapter, as one workbook."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from workshops import access, tables, workbook
from workshops.views.exchange import XLSX, file_of

CHAPTERS = ("workshops", "stations", "scheduling")


@require_safe
@access.staff_page(access.SEE_MONEY)
def everything(request: HttpRequest, slug: str) -> HttpResponse:
    """A sheet for each kind of row; for the organizer, since money and health are in it."""
    workshop = access.workshop(access.signed_in(request), slug)
    made = tables.to_xlsx(workbook.sheets(workshop, CHAPTERS))
    return file_of(made, XLSX, f"{slug}.xlsx")
