"""Who sees a draft, who a posted sheet, whose card. The only way a view gets a row of this app."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied
from django.db.models import Count, Q, QuerySet
from django.shortcuts import get_object_or_404
from django.urls import reverse

from scheduling.models import (
    Absence,
    Attendance,
    Division,
    LogEntry,
    Placement,
    Posting,
    RunSheet,
    SheetStatus,
    StationHours,
    Step,
    Swap,
    SwapKind,
)
from stations import access as station_access
from stations.dipping import Hand
from stations.models import KitchenBatch, Station
from workshops import access as people_access
from workshops.models import Break, Day, Enrolment, Job, JobState, User, Workshop

SEE_KITCHEN = "stations.view_kitchenbatch"


def day_by_number(user: User | AnonymousUser, slug: str, number: int) -> Day:
    """The n-th day of a workshop this person may open, or 404."""
    workshop = people_access.workshop(user, slug)
    days = list(workshop.days.all())
    if not 1 <= number <= len(days):
        # An impossible number answers like any other unknown page.
        return get_object_or_404(Day, pk=None)
    days[number - 1].workshop = workshop
    return days[number - 1]


def draft(user: User, day: Day) -> RunSheet | None:
    """The draft of a day, for those who plan."""
    if not user.has_perm(people_access.PLAN_DAYS):
        return None
    return RunSheet.objects.drafts().with_steps().filter(day=day).first()


def posted(day: Day) -> RunSheet | None:
    """What everyone sees of a day."""
    return RunSheet.objects.posted().with_steps().filter(day=day).first()


def posted_days(workshop: Workshop) -> QuerySet[RunSheet]:
    """What everyone sees of the whole course."""
    return (
        RunSheet.objects.posted().with_steps().filter(day__workshop=workshop).order_by("day__date")
    )


def draft_placement(user: User, day: Day, placement_id: int) -> Placement:
    """One placement of the day's draft, or 404."""
    rows = Placement.objects.select_related(
        "step__run_sheet__day__workshop",
        "step__animal",
        "step__stage",
        "duty",
        "enrolment__attendee",
    )
    return get_object_or_404(
        rows, pk=placement_id, step__run_sheet__in=RunSheet.objects.drafts().filter(day=day)
    )


def history(day: Day) -> QuerySet[Posting]:
    """Every posting of a day, newest first, with who has not heard of it yet."""
    return (
        Posting.objects.filter(run_sheet__day=day)
        .select_related("run_sheet", "posted_by", "again")
        .annotate(
            to_tell=Count("notices"),
            not_told=Count("notices", filter=Q(notices__heard_at__isnull=True)),
        )
        # Said again, since a query that groups forgets the order of its model.
        .order_by("-posted_at", "-pk")
    )


def past_sheet(day: Day, version: int) -> RunSheet:
    """An earlier posted version of a day with its steps, or 404."""
    sheets = RunSheet.objects.with_steps().filter(day=day, status=SheetStatus.PAST)
    return get_object_or_404(sheets, version=version, posting__isnull=False)


def draft_of(placement: Placement) -> RunSheet:
    """The draft that a placement belongs to, with its steps."""
    return RunSheet.objects.with_steps().get(pk=placement.step.run_sheet_id)


def own_step(seat: Enrolment, code: str, *, now: datetime) -> Step:
    """A step of today's posted sheet that this person stands at, or 404."""
    today = now.astimezone(seat.workshop.zone).date()
    rows = Step.objects.filter(
        run_sheet__status=SheetStatus.POSTED,
        run_sheet__day__workshop=seat.workshop,
        run_sheet__day__date=today,
        placements__enrolment=seat,
    )
    rows = rows.select_related("run_sheet__day__workshop", "stage", "animal").distinct()
    return get_object_or_404(rows, code=code)


def log_entry(of: Workshop, entry_id: int) -> LogEntry:
    """One entry of the log of a workshop that was opened, or 404."""
    return get_object_or_404(LogEntry.objects.with_all(), workshop=of, pk=entry_id)


def log_url(entry: LogEntry) -> str:
    """The log of the day an entry is of, or of the first day there is."""
    on = entry.at.astimezone(entry.workshop.zone).date()
    dates = [day.date for day in entry.workshop.days.all()]
    number = dates.index(on) + 1 if on in dates else 1
    return reverse("day-log", args=[entry.workshop.slug, number])


def attendance(day: Day) -> QuerySet[Attendance]:
    """The day's rows, with limits."""
    return Attendance.objects.filter(day=day).prefetch_related("limits")


def confirmed(user: User, day: Day) -> QuerySet[Enrolment]:
    """Those who are coming, for the morning's list."""
    return people_access.enrolments(user, day.workshop).confirmed()


def confirmed_seat(user: User, day: Day, enrolment_id: int) -> Enrolment:
    """One of those who are coming, or 404."""
    return get_object_or_404(confirmed(user, day), pk=enrolment_id)


def live_job(workshop: Workshop, key: str) -> Job | None:
    """The newest job with this key, unless it ended well: progress, or why it failed."""
    job = Job.objects.filter(workshop=workshop, key=key).first()
    return None if job is None or job.state == JobState.DONE else job


def live_jobs(workshop: Workshop, keys: Iterable[str]) -> list[Job]:
    """The newest job of each key, unless it ended well; one query."""
    newest: dict[str, Job] = {}
    for job in Job.objects.filter(workshop=workshop, key__in=keys):
        newest.setdefault(job.key, job)
    return [job for job in newest.values() if job.state != JobState.DONE]


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintRow:
    """One day in the print room."""

    number: int
    day: Day
    version: int | None
    job: Job | None

    @property
    def is_stale(self) -> bool:
        """Whether a newer version was posted since the last print."""
        made = self.job.result.get("version") if self.job else None
        return made is not None and made != self.version


def newest_job(key: str) -> Job | None:
    """The last job of that kind that was asked for."""
    return Job.objects.filter(key=key).first()


def print_rows(workshop: Workshop) -> list[PrintRow]:
    """Each day with its posted version and its newest print: three queries."""
    versions = dict(
        RunSheet.objects.posted().filter(day__workshop=workshop).values_list("day", "version")
    )
    newest: dict[str, Job] = {}
    for job in Job.objects.filter(workshop=workshop, key__startswith="print:"):
        newest.setdefault(job.key, job)
    return [
        PrintRow(
            number=number,
            day=day,
            version=versions.get(day.pk),
            job=newest.get(f"print:{day.pk}"),
        )
        for number, day in enumerate(workshop.days.all(), start=1)
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class TroughDoor:
    """How someone came to a trough: signed in, or by the private link of a person placed there."""

    workshop: Workshop
    station: Station
    hand: Hand
    word: str = ""

    def url(self, page: str, *ids: int) -> str:
        """The address of a page or an act of this trough, by the way this person came."""
        if self.word:
            return reverse(f"card-{page}", args=[self.word, self.station.letter, *ids])
        return reverse(page, args=[self.workshop.slug, self.station.letter, *ids])

    @property
    def page_url(self) -> str:
        """This trough's own page."""
        return self.url("trough")

    @property
    def back_url(self) -> str:
        """Where this person came from: their card, or the board."""
        if self.word:
            return reverse("card", args=[self.word])
        return reverse("board", args=[self.workshop.slug])


def staff_door(user: User, slug: str, letter: str) -> TroughDoor:
    """For lead and helpers of the workshop, by sign-in; or 404."""
    workshop = people_access.workshop(user, slug)
    station = station_access.trough_station(workshop, letter)
    return TroughDoor(workshop=workshop, station=station, hand=Hand(user=user))


def card_door(word: str, letter: str, *, now: datetime) -> TroughDoor:
    """For an attendee whom the posted sheet places at this trough today; others are sent away."""
    seat = people_access.card_link(word, now=now).enrolment
    station = station_access.trough_station(seat.workshop, letter)
    today = now.astimezone(seat.workshop.zone).date()
    if not places_at(seat, station).filter(step__run_sheet__day__date=today).exists():
        raise PermissionDenied(
            f"{station} is open to those who have a duty there today. Ask the lead for a place."
        )
    hand = Hand(enrolment=seat)
    return TroughDoor(workshop=seat.workshop, station=station, hand=hand, word=word)


def places_at(seat: Enrolment, station: Station) -> QuerySet[Placement]:
    """Someone's places at one station, as posted."""
    return Placement.objects.filter(
        enrolment=seat,
        step__station=station,
        step__run_sheet__status=SheetStatus.POSTED,
    )


def batch(workshop: Workshop, batch_id: int) -> KitchenBatch:
    """One batch of a workshop that was opened, or 404."""
    rows = KitchenBatch.objects.select_related("day", "meal").prefetch_related("stages__duties")
    found = get_object_or_404(rows, pk=batch_id, day__workshop=workshop)
    found.day.workshop = workshop
    return found


def division(workshop: Workshop, division_id: int) -> Division:
    """One division of a workshop that was opened, or 404."""
    rows = Division.objects.with_lines().filter(animal__workshop=workshop)
    return get_object_or_404(rows, pk=division_id)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What stands on the page of what is asked of a day."""

    breaks: tuple[Break, ...]
    absences: tuple[Absence, ...]
    hours: tuple[StationHours, ...]


def asked(day: Day) -> Asked:
    """What is asked of a day: three queries."""
    people = Absence.objects.filter(day=day).select_related("enrolment__attendee", "staff")
    return Asked(
        breaks=tuple(day.breaks.all()),
        absences=tuple(people),
        hours=tuple(StationHours.objects.filter(day=day).select_related("station")),
    )


def one_break(day: Day, break_id: int) -> Break:
    """A break of a day that was opened, or 404."""
    found = get_object_or_404(Break, pk=break_id, day=day)
    found.day = day
    return found


def absence(day: Day, absence_id: int) -> Absence:
    """An absence of a day that was opened, or 404."""
    return get_object_or_404(Absence, pk=absence_id, day=day)


def station_hours(day: Day, hours_id: int) -> StationHours:
    """The hours of a station on a day that was opened, or 404."""
    return get_object_or_404(StationHours, pk=hours_id, day=day)


def _shown_placements() -> QuerySet[Placement]:
    """Places that a card or the board has shown: posted ones, and those of earlier versions."""
    rows = Placement.objects.select_related(
        "step__run_sheet__day__workshop",
        "step__animal",
        "step__stage",
        "step__station",
        "duty",
        "enrolment__attendee",
    )
    return rows.exclude(step__run_sheet__status=SheetStatus.DRAFT)


def card_placement(seat: Enrolment, placement_id: int) -> Placement:
    """One of this person's own places, or 404."""
    return get_object_or_404(_shown_placements(), pk=placement_id, enrolment=seat)


def other_placement(seat: Enrolment, placement_id: int) -> Placement:
    """Someone else's place in the same course, or 404."""
    rows = _shown_placements().filter(step__run_sheet__day__workshop=seat.workshop_id)
    return get_object_or_404(rows.exclude(enrolment=seat), pk=placement_id)


def card_swaps(seat: Enrolment, *, now: datetime) -> QuerySet[Swap]:
    """What this person asked for or is asked, open or ended a short while ago."""
    return Swap.objects.of(seat).fresh(now=now).with_people()


def swap_asked_of(seat: Enrolment, swap_id: int) -> Swap:
    """A request that this person is to answer, or 404."""
    rows = Swap.objects.with_people().filter(other=seat, kind=SwapKind.PLACES)
    return get_object_or_404(rows, pk=swap_id)


def swap_asked_by(seat: Enrolment, swap_id: int) -> Swap:
    """A request of this person's own, or 404."""
    return get_object_or_404(Swap.objects.with_people(), pk=swap_id, asker=seat)


def day_swaps(day: Day) -> QuerySet[Swap]:
    """What the lead is to answer on a day: one query."""
    return Swap.objects.with_people().filter(day=day).open()


def day_swap(day: Day, swap_id: int) -> Swap:
    """One request of the day, or 404."""
    return get_object_or_404(Swap.objects.with_people(), pk=swap_id, day=day)
