"""The back office for plans: to read only, since planning.py and posting.py alone write them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.contrib import admin
from django.http import HttpRequest

from scheduling.models import (
    Actual,
    Attendance,
    Notice,
    Override,
    Placement,
    Posting,
    RunSheet,
    Step,
    TodayLimit,
)

if TYPE_CHECKING:
    # The classes take their model as a parameter in the stubs alone.
    ActualOffice = admin.ModelAdmin[Actual]
    AttendanceOffice = admin.ModelAdmin[Attendance]
    PlacementOffice = admin.ModelAdmin[Placement]
    PostingOffice = admin.ModelAdmin[Posting]
    NoticeOffice = admin.ModelAdmin[Notice]
    OverrideOffice = admin.ModelAdmin[Override]
    RunSheetOffice = admin.ModelAdmin[RunSheet]
    StepOffice = admin.ModelAdmin[Step]
    StepRows = admin.TabularInline[Step, RunSheet]
    PlacementRows = admin.TabularInline[Placement, Step]
    TodayRows = admin.TabularInline[TodayLimit, Attendance]
else:
    AttendanceOffice = PlacementOffice = PostingOffice = NoticeOffice = admin.ModelAdmin
    RunSheetOffice = StepOffice = OverrideOffice = ActualOffice = admin.ModelAdmin
    StepRows = PlacementRows = TodayRows = admin.TabularInline


class ReadOnly:
    """Shown, never written. The parent row's type differs between a page and an inline."""

    def has_add_permission(
        self,
        request: HttpRequest,
        obj: Any = None,  # a parent row, of whichever model
    ) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


class StepInline(ReadOnly, StepRows):
    model = Step
    fields = ["code", "station", "starts_at", "ends_at", "slack_min", "pinned"]
    show_change_link = True


@admin.register(RunSheet)
class RunSheetAdmin(ReadOnly, RunSheetOffice):
    """A version of a day's plan with its steps."""

    list_display = ["day", "version", "status", "revision", "made_at", "made_by"]
    search_fields = ["day__title", "day__workshop__name"]
    list_filter = ["day__workshop", "status"]
    list_select_related = ["day__workshop", "made_by"]
    inlines = [StepInline]


class PlacementInline(ReadOnly, PlacementRows):
    model = Placement
    fields = ["duty", "place", "enrolment", "staff", "locked"]


@admin.register(Step)
class StepAdmin(ReadOnly, StepOffice):
    """A timed step with its crew."""

    list_display = ["__str__", "run_sheet", "station", "starts_at", "ends_at", "slack_min"]
    search_fields = ["code", "stage__name", "station__name", "animal__tag"]
    list_filter = ["run_sheet__day__workshop", "run_sheet__status", "station"]
    list_select_related = ["run_sheet__day__workshop", "stage", "station", "animal"]
    date_hierarchy = "starts_at"
    inlines = [PlacementInline]


@admin.register(Placement)
class PlacementAdmin(ReadOnly, PlacementOffice):
    """Who stands where."""

    list_display = ["person_name", "duty", "place", "step", "locked"]
    search_fields = [
        "enrolment__attendee__given_name",
        "enrolment__attendee__family_name",
        "staff__name",
        "duty__name",
        "step__code",
    ]
    list_filter = ["step__run_sheet__day__workshop", "step__run_sheet__status", "locked"]
    list_select_related = [
        "step__stage",
        "step__animal",
        "duty",
        "enrolment__attendee",
        "staff",
    ]


@admin.register(Posting)
class PostingAdmin(ReadOnly, PostingOffice):
    """When a plan was shown to everyone, by whom, and what changed."""

    list_display = ["run_sheet", "posted_at", "posted_by"]
    search_fields = ["run_sheet__day__title", "posted_by__username"]
    list_filter = ["run_sheet__day__workshop"]
    list_select_related = ["run_sheet__day__workshop", "posted_by"]
    date_hierarchy = "posted_at"


class TodayLimitInline(TodayRows):
    model = TodayLimit
    extra = 0


@admin.register(Attendance)
class AttendanceAdmin(AttendanceOffice):
    """Who was here on which morning, and what hurt."""

    list_display = ["enrolment", "day", "turnout", "updated_at"]
    search_fields = ["enrolment__attendee__given_name", "enrolment__attendee__family_name"]
    list_filter = ["day__workshop", "turnout"]
    list_select_related = ["enrolment__attendee", "day__workshop"]
    autocomplete_fields = ["enrolment", "day"]
    inlines = [TodayLimitInline]


@admin.register(Notice)
class NoticeAdmin(ReadOnly, NoticeOffice):
    """Who was to be told what, and when they had heard."""

    list_display = ["enrolment", "posting", "heard", "heard_at", "told_by"]
    search_fields = ["enrolment__attendee__given_name", "enrolment__attendee__family_name"]
    list_filter = ["posting__run_sheet__day__workshop", "heard"]
    list_select_related = ["enrolment__attendee", "posting__run_sheet__day", "told_by"]


@admin.register(Override)
class OverrideAdmin(ReadOnly, OverrideOffice):
    """Who was placed beyond their own screen, by whom and why."""

    list_display = ["made_at", "made_by", "enrolment", "place", "animal", "load_kg", "limit_kg"]
    search_fields = ["reason", "enrolment__attendee__given_name", "animal__tag"]
    list_filter = ["day__workshop", "day"]
    list_select_related = ["made_by", "enrolment__attendee", "animal"]


@admin.register(Actual)
class ActualAdmin(ReadOnly, ActualOffice):
    """What really happened, by step: added to, never changed."""

    list_display = ["code", "mark", "at", "day", "by", "recorded_at"]
    search_fields = ["code", "by__username"]
    list_filter = ["day__workshop", "mark"]
    list_select_related = ["day__workshop", "by"]
