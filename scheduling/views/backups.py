"""The organizer's backups: how fresh, a new one now, a copy to carry away."""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from scheduling import safekeeping
from workshops import access, backup_files
from workshops.navigation import frame

# Everything of every course is in it: for those who see every course, its money and health notes.
organizers_page = access.staff_page(access.EVERY_WORKSHOP)


@require_safe
@organizers_page
def backups(request: HttpRequest) -> HttpResponse:
    """What is kept, and whether the daily one still comes."""
    page = {
        "kept": backup_files.in_folder(settings.BACKUPS),
        "warning": backup_files.warning(settings.BACKUPS, now=timezone.now()),
        "same_disk": settings.BACKUPS.is_relative_to(settings.VAR),
    }
    return render(request, "scheduling/backups.html", frame(request, None, **page))


@require_POST
@organizers_page
def back_up(request: HttpRequest) -> HttpResponse:
    """One more, now, read back before it is called whole."""
    try:
        made = safekeeping.back_up(settings.BACKUPS, now=timezone.now())
        rows = safekeeping.verify(made).row_count
    except (safekeeping.SafekeepingError, OSError) as error:
        messages.error(request, f"No backup was made: {error}")
    else:
        messages.success(request, f"Backed up: {rows} rows, read back and whole.")
    return redirect("backups")


@require_safe
@organizers_page
def backup(request: HttpRequest, name: str) -> FileResponse:
    """One file, to keep elsewhere."""
    kept = next((one for one in backup_files.in_folder(settings.BACKUPS) if one.name == name), None)
    if kept is None:
        raise Http404
    answer = FileResponse(kept.file.open("rb"), as_attachment=True, filename=kept.name)
    answer["Cache-Control"] = "no-store"
    return answer
