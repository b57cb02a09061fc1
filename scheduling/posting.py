"""Draft to posted: the only way a plan is shown to everyone, and never without a check."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction
from django.db.models import F

from scheduling import comparing
from scheduling.drafting import DraftMovedError
from scheduling.gathering import Method, gather, placed, rotation_problem, rows_of
from scheduling.models import Posting, RunSheet, SheetStatus
from scheduling.planner.check_rotation import check_rotation
from workshops.models import User, Workshop


class PostRefusedError(Exception):
    """The draft breaks a rule; ``sentences`` say which, and it stays a draft."""

    def __init__(self, sentences: list[str]) -> None:
        self.sentences = sentences
        super().__init__(" ".join(sentences))


def breaches(method: Method, draft: RunSheet) -> list[str]:
    """Every hard rule the draft breaks, found without the solver; its steps must be loaded."""
    problem = rotation_problem(method, [draft])
    return [breach.sentence for breach in check_rotation(problem, placed(rows_of([draft])))]


@transaction.atomic
def post(draft: RunSheet, *, by: User | None, now: datetime) -> Posting:
    """Make the draft what everyone sees.

    Checks every hard rule, retires the version posted before, and writes who posted, when, and
    the difference. Raises :class:`PostRefusedError` if a rule is broken and
    :class:`DraftMovedError` if the draft was changed since it was read.
    """
    found = breaches(gather(draft.day.workshop), draft)
    if found:
        raise PostRefusedError(found)
    before = RunSheet.objects.posted().with_steps().filter(day=draft.day).first()
    difference = [change.sentence for change in comparing.changes(before, draft)]
    # First retire, then post: the database allows one posted version a day.
    RunSheet.objects.posted().filter(day=draft.day).update(status=SheetStatus.PAST)
    won = RunSheet.objects.filter(
        pk=draft.pk, status=SheetStatus.DRAFT, revision=draft.revision
    ).update(status=SheetStatus.POSTED, revision=F("revision") + 1)
    if not won:
        raise DraftMovedError
    return Posting.objects.create(
        run_sheet=draft, posted_at=now, posted_by=by, difference=difference
    )


def post_all(workshop: Workshop, *, by: User | None, now: datetime) -> list[Posting]:
    """Post the draft of every day that has one, all or none."""
    drafts = RunSheet.objects.drafts().with_steps().filter(day__workshop=workshop)
    with transaction.atomic():
        return [post(draft, by=by, now=now) for draft in drafts.order_by("day__date")]
