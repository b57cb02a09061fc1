"""The back office for people, animals and courses; the pages are where the work is done.

Only the organizer enters here (``is_staff``), so nothing is hidden by role. No rules of its own.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.db import models
from django.http import HttpRequest

from workshops.models import (
    Animal,
    AnswerChange,
    Attendee,
    Break,
    CardLink,
    Cost,
    Day,
    Enrolment,
    EnrolmentLimit,
    Household,
    Job,
    LedgerEntry,
    Letter,
    LocalCheck,
    Meal,
    Ownership,
    SeatChange,
    SignUp,
    StaffMember,
    Treatment,
    User,
    Waiver,
    WaiverText,
    Workshop,
)

if TYPE_CHECKING:
    # The classes take their model as a parameter in the stubs alone.
    UserOffice = UserAdmin[User]
    WorkshopOffice = admin.ModelAdmin[Workshop]
    DayOffice = admin.ModelAdmin[Day]
    HouseholdOffice = admin.ModelAdmin[Household]
    AttendeeOffice = admin.ModelAdmin[Attendee]
    EnrolmentOffice = admin.ModelAdmin[Enrolment]
    StaffOffice = admin.ModelAdmin[StaffMember]
    AnimalOffice = admin.ModelAdmin[Animal]
    LinkOffice = admin.ModelAdmin[CardLink]
    JobOffice = admin.ModelAdmin[Job]
    LogOffice = admin.ModelAdmin[Any]  # Any: one base for every log
    TreatmentOffice = admin.ModelAdmin[Treatment]
    CostOffice = admin.ModelAdmin[Cost]
    MealOffice = admin.ModelAdmin[Meal]
    DayRows = admin.TabularInline[Day, Workshop]
    BreakRows = admin.TabularInline[Break, Day]
    StaffRows = admin.TabularInline[StaffMember, Workshop]
    AttendeeRows = admin.TabularInline[Attendee, Household]
    LimitRows = admin.TabularInline[EnrolmentLimit, Enrolment]
    OwnerRows = admin.TabularInline[Ownership, Animal]
else:
    UserOffice = UserAdmin
    WorkshopOffice = DayOffice = HouseholdOffice = AttendeeOffice = admin.ModelAdmin
    EnrolmentOffice = StaffOffice = AnimalOffice = LinkOffice = JobOffice = admin.ModelAdmin
    LogOffice = TreatmentOffice = CostOffice = MealOffice = admin.ModelAdmin
    DayRows = BreakRows = StaffRows = AttendeeRows = admin.TabularInline
    LimitRows = OwnerRows = admin.TabularInline


@admin.register(User)
class UserAdminPage(UserOffice):
    """Who signs in; what they may do comes from their group."""

    list_display = ["username", "first_name", "last_name", "is_staff", "is_active", "last_login"]
    list_filter = ["groups", "is_staff", "is_active"]


class DayInline(DayRows):
    model = Day
    extra = 0
    show_change_link = True


class StaffInline(StaffRows):
    model = StaffMember
    extra = 0
    autocomplete_fields = ["user"]


@admin.register(Workshop)
class WorkshopAdmin(WorkshopOffice):
    """A course with its days and staff."""

    list_display = ["name", "farm", "time_zone", "units", "seats"]
    search_fields = ["name", "slug", "farm"]
    list_filter = ["units"]
    inlines = [DayInline, StaffInline]
    formfield_overrides = {models.URLField: {"assume_scheme": "https"}}


class BreakInline(BreakRows):
    model = Break
    extra = 0


@admin.register(Day)
class DayAdmin(DayOffice):
    """A day with its breaks."""

    list_display = ["date", "title", "workshop", "opens", "closes"]
    search_fields = ["title", "workshop__name"]
    list_filter = ["workshop"]
    list_select_related = ["workshop"]
    date_hierarchy = "date"
    inlines = [BreakInline]


class AttendeeInline(AttendeeRows):
    model = Attendee
    extra = 0
    show_change_link = True


@admin.register(Household)
class HouseholdAdmin(HouseholdOffice):
    """A household with its people."""

    list_display = ["name", "email", "phone", "emergency_contact", "emergency_phone"]
    search_fields = ["name", "email", "attendees__given_name", "attendees__family_name"]
    inlines = [AttendeeInline]


@admin.register(Attendee)
class AttendeeAdmin(AttendeeOffice):
    """A person, whatever the course."""

    list_display = ["__str__", "household", "born", "height_cm", "diet"]
    search_fields = ["given_name", "family_name", "household__name"]
    list_select_related = ["household"]
    autocomplete_fields = ["household"]


class LimitInline(LimitRows):
    model = EnrolmentLimit
    extra = 0


@admin.register(Enrolment)
class EnrolmentAdmin(EnrolmentOffice):
    """A seat with its limits."""

    list_display = ["attendee", "workshop", "status", "lift_kg", "knife", "arrives_at"]
    search_fields = ["attendee__given_name", "attendee__family_name", "workshop__name"]
    list_filter = ["workshop", "status", "limits__limit"]
    list_select_related = ["attendee", "workshop"]
    autocomplete_fields = ["attendee", "workshop"]
    # Only seating.py writes a status: it alone knows whether a seat is free.
    readonly_fields = ["status", "created_at"]
    inlines = [LimitInline]


@admin.register(StaffMember)
class StaffMemberAdmin(StaffOffice):
    """The lead and helpers of each course."""

    list_display = ["name", "role", "workshop", "user"]
    search_fields = ["name", "user__username", "workshop__name"]
    list_filter = ["workshop", "role"]
    list_select_related = ["workshop", "user"]
    autocomplete_fields = ["user", "workshop"]


class OwnerInline(OwnerRows):
    model = Ownership
    extra = 0
    autocomplete_fields = ["household"]


@admin.register(Animal)
class AnimalAdmin(AnimalOffice):
    """A hog with its owners of record."""

    list_display = ["__str__", "workshop", "order", "live_kg", "coat", "colour", "status"]
    search_fields = ["tag", "colour", "workshop__name", "owners__household__name"]
    list_filter = ["workshop", "status", "coat"]
    list_select_related = ["workshop"]
    autocomplete_fields = ["workshop"]
    inlines = [OwnerInline]


@admin.register(CardLink)
class CardLinkAdmin(LinkOffice):
    """That a link exists and whether it works; never its word, nor what it is made from."""

    list_display = ["enrolment", "made_at", "revoked_at"]
    search_fields = ["enrolment__attendee__given_name", "enrolment__attendee__family_name"]
    list_filter = ["enrolment__workshop"]
    list_select_related = ["enrolment__attendee"]
    fields = ["enrolment", "made_at", "revoked_at"]
    readonly_fields = ["enrolment", "made_at", "revoked_at"]

    def has_add_permission(self, request: HttpRequest) -> bool:
        """Links are made by linking.py."""
        return False


@admin.register(Job)
class JobAdmin(JobOffice):
    """Background work, to read: the worker alone writes it."""

    list_display = ["title", "workshop", "state", "percent", "attempts", "created_at", "ended_at"]
    search_fields = ["title", "task", "key", "message"]
    list_filter = ["state", "task", "workshop"]
    list_select_related = ["workshop"]
    date_hierarchy = "created_at"

    def has_add_permission(self, request: HttpRequest) -> bool:
        """A job is asked for on a page."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: Job | None = None) -> bool:
        """A log is read, not changed."""
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Job | None = None) -> bool:
        """A log is read, not deleted."""
        return False


class LogAdmin(LogOffice):
    """A log: searched and read, never written here."""

    def has_add_permission(self, request: HttpRequest) -> bool:
        """Rows come from the pages."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: models.Model | None = None) -> bool:
        """A log is read, not changed."""
        return False

    def has_delete_permission(self, request: HttpRequest, obj: models.Model | None = None) -> bool:
        """A log is read, not deleted."""
        return False


@admin.register(LedgerEntry)
class LedgerEntryAdmin(LogAdmin):
    """Amounts, to read: mistakes are reversed on the money page."""

    list_display = ["household", "workshop", "kind_word", "cents", "on", "made_by"]
    search_fields = ["household__name", "note"]
    list_filter = ["workshop", "kind"]
    list_select_related = ["household", "workshop", "made_by"]


@admin.register(Letter)
class LetterAdmin(LogAdmin):
    """Letters: to whom, of what kind, and whether they went out. Their words are kept nowhere."""

    list_display = ["seat", "kind", "state", "made_at", "sent_at", "tries"]
    search_fields = ["seat__attendee__given_name", "seat__attendee__family_name"]
    list_filter = ["state", "kind", "seat__workshop"]
    list_select_related = ["seat__attendee"]


@admin.register(SeatChange)
class SeatChangeAdmin(LogAdmin):
    """Each step of each seat."""

    list_display = ["enrolment", "status", "at", "reason"]
    search_fields = ["enrolment__attendee__given_name", "enrolment__attendee__family_name"]
    list_filter = ["enrolment__workshop", "status"]
    list_select_related = ["enrolment__attendee"]


@admin.register(AnswerChange)
class AnswerChangeAdmin(LogAdmin):
    """Who changed which answers."""

    list_display = ["enrolment", "at", "what", "who"]
    search_fields = ["enrolment__attendee__given_name", "enrolment__attendee__family_name"]
    list_filter = ["enrolment__workshop"]
    list_select_related = ["enrolment__attendee", "by_user", "by_seat__attendee"]


@admin.register(Waiver)
class WaiverAdmin(LogAdmin):
    """Who accepted which words, and when."""

    list_display = ["enrolment", "name", "accepted_at", "text"]
    search_fields = ["name", "enrolment__attendee__given_name"]
    list_filter = ["text__workshop"]
    list_select_related = ["enrolment__attendee", "text__workshop"]


@admin.register(WaiverText)
class WaiverTextAdmin(LogAdmin):
    """Every version; the next one is written on the course's page."""

    list_display = ["workshop", "version", "made_at"]
    search_fields = ["workshop__name", "text"]
    list_filter = ["workshop"]
    list_select_related = ["workshop"]


@admin.register(SignUp)
class SignUpAdmin(LogAdmin):
    """What each household asked for."""

    list_display = ["household", "workshop", "share_wanted", "heard", "at"]
    search_fields = ["household__name", "heard", "note"]
    list_filter = ["workshop", "share_wanted"]
    list_select_related = ["household", "workshop"]


@admin.register(LocalCheck)
class LocalCheckAdmin(LogAdmin):
    """Who asked the local authority, and when."""

    list_display = ["workshop", "name", "authority", "on", "taken_back_at"]
    search_fields = ["name", "authority", "workshop__name"]
    list_filter = ["workshop"]
    list_select_related = ["workshop"]


@admin.register(Treatment)
class TreatmentAdmin(TreatmentOffice):
    """What each hog was given."""

    list_display = ["animal", "product", "on", "withdrawal_days", "ready_on"]
    search_fields = ["product", "animal__tag", "animal__workshop__name"]
    list_filter = ["animal__workshop"]
    list_select_related = ["animal__workshop"]
    autocomplete_fields = ["animal"]


@admin.register(Cost)
class CostAdmin(CostOffice):
    """The budget's lines."""

    list_display = ["name", "workshop", "basis", "cents"]
    search_fields = ["name", "workshop__name"]
    list_filter = ["workshop", "basis"]
    list_select_related = ["workshop"]


@admin.register(Meal)
class MealAdmin(MealOffice):
    """The menu."""

    list_display = ["name", "day", "contains_words", "instead"]
    search_fields = ["name", "day__workshop__name"]
    list_filter = ["day__workshop"]
    list_select_related = ["day__workshop"]
    autocomplete_fields = ["day"]
