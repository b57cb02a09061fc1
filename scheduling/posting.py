"""Draft to posted: the only way a plan is shown to everyone, and never without a check."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction
from django.db.models import F

from scheduling import comparing, retiming, telling
from scheduling.drafting import DraftMovedError, copy_steps, next_version
from scheduling.gathering import Method, gather, placed, rotation_problem, rows_of
from scheduling.models import Posting, RunSheet, SheetStatus
from scheduling.planner.check_rotation import check_rotation
from workshops.models import Day, Enrolment, Topic, User, Workshop
from workshops.pulse import beat


class PostRefusedError(Exception):
    """The draft breaks a rule; ``sentences`` say which, and it stays a draft."""

    def __init__(self, sentences: list[str]) -> None:
        self.sentences = sentences
        super().__init__(" ".join(sentences))


def breaches(
    method: Method,
    draft: RunSheet,
    *,
    posted: RunSheet | None = None,
    now: datetime | None = None,
) -> list[str]:
    """Every hard rule the draft breaks, found without the solver; its steps must be loaded.

    What was ``posted`` to start before ``now`` has happened, whatever a rule says today.
    """
    return [
        *retiming.times_broken(method, draft, posted=posted),
        *_crews_broken(method, draft, posted=posted, now=now),
    ]


def _crews_broken(
    method: Method, draft: RunSheet, *, posted: RunSheet | None, now: datetime | None
) -> list[str]:
    problem = rotation_problem(method, [draft], posted=[posted] if posted else [], now=now)
    return [breach.sentence for breach in check_rotation(problem, placed(rows_of([draft])))]


@transaction.atomic
def post(draft: RunSheet, *, by: User | None, now: datetime) -> Posting:
    """Make the draft what everyone sees.

    Checks every hard rule, retires the version posted before, and writes who posted, when, the
    difference, and whom to tell. Raises :class:`PostRefusedError` if a rule is broken and
    :class:`DraftMovedError` if the draft was changed since it was read.
    """
    # Lock the day: a swap may be confirmed meanwhile, and would be undone without a word.
    Day.objects.select_for_update().get(pk=draft.day_id)
    before = RunSheet.objects.posted().with_steps().filter(day=draft.day).first()
    found = breaches(gather(draft.day.workshop), draft, posted=before, now=now)
    if found:
        raise PostRefusedError(found)
    # First retire, then post: the database allows one posted version a day.
    RunSheet.objects.posted().filter(day=draft.day).update(status=SheetStatus.PAST)
    won = RunSheet.objects.filter(
        pk=draft.pk, status=SheetStatus.DRAFT, revision=draft.revision
    ).update(status=SheetStatus.POSTED, revision=F("revision") + 1)
    if not won:
        raise DraftMovedError
    return _announce(before, draft, by=by, now=now)


def _announce(
    before: RunSheet | None,
    sheet: RunSheet,
    *,
    by: User | None,
    now: datetime,
    again: RunSheet | None = None,
) -> Posting:
    changes = comparing.changes(before, sheet)
    posting = Posting.objects.create(
        run_sheet=sheet,
        posted_at=now,
        posted_by=by,
        difference=[change.sentence for change in changes],
        again=again,
    )
    telling.write_notices(posting, changes)
    beat(sheet.day.workshop_id, Topic.PLAN)
    return posting


@transaction.atomic
def post_again(earlier: RunSheet, *, by: User | None, now: datetime) -> Posting:
    """Make an earlier version what everyone sees again, as a new version; drafts stay as they are.

    The rules are checked as for a draft, with what is known today: someone may have left since.
    ``earlier`` must have its steps loaded. Raises :class:`PostRefusedError`.
    """
    found = breaches(gather(earlier.day.workshop), earlier)
    if found:
        raise PostRefusedError(found)
    # Lock the day: two may undo at once, and each needs its own version number.
    day = Day.objects.select_for_update().get(pk=earlier.day_id)
    before = RunSheet.objects.posted().with_steps().filter(day=day).first()
    RunSheet.objects.posted().filter(day=day).update(status=SheetStatus.PAST)
    made = RunSheet.objects.create(
        day=day,
        version=next_version(day),
        status=SheetStatus.POSTED,
        timetable=earlier.timetable,
        rotation=earlier.rotation,
        made_by=by,
    )
    copy_steps(earlier, made)
    fresh = RunSheet.objects.with_steps().get(pk=made.pk)
    return _announce(before, fresh, by=by, now=now, again=earlier)


@transaction.atomic
def post_hands(
    posted: RunSheet, hands: Mapping[int, Enrolment], *, by: User | None, now: datetime
) -> Posting:
    """Post the same day once more with other people at some placements (by id); times stay.

    ``posted`` must have its steps loaded, and whoever asks has checked the rules for the change
    (``trying``) with the day locked. The draft is left alone: ``drafting.change_hands``. Raises
    :class:`DraftMovedError` if another version was posted since it was read.
    """
    changed = RunSheet.objects.with_steps().get(pk=posted.pk)
    for step in changed.steps.all():
        for row in step.placements.all():
            if row.pk in hands:
                row.enrolment = hands[row.pk]
    retired = RunSheet.objects.posted().filter(pk=posted.pk).update(status=SheetStatus.PAST)
    if not retired:
        raise DraftMovedError
    made = RunSheet.objects.create(
        day=posted.day,
        version=next_version(posted.day),
        status=SheetStatus.POSTED,
        timetable=posted.timetable,
        rotation=posted.rotation,
        made_by=by,
    )
    copy_steps(changed, made)
    fresh = RunSheet.objects.with_steps().get(pk=made.pk)
    return _announce(posted, fresh, by=by, now=now)


def version_before(day: Day) -> int | None:
    """The number of the version that stood before the posted one, to go back to: one query."""
    newest = Posting.objects.filter(run_sheet__day=day)
    versions = list(newest.values_list("run_sheet__version", flat=True)[:2])
    return versions[1] if len(versions) == 2 else None


def post_all(workshop: Workshop, *, by: User | None, now: datetime) -> list[Posting]:
    """Post the draft of every day that has one, all or none."""
    drafts = RunSheet.objects.drafts().with_steps().filter(day__workshop=workshop)
    with transaction.atomic():
        return [post(draft, by=by, now=now) for draft in drafts.order_by("day__date")]
