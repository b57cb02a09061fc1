"""The back office for stations, duties, stages, notes and kit. No rules of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import admin

from stations.models import Duty, Equipment, HazardNote, Stage, StageGap, Station, Trough

if TYPE_CHECKING:
    # The classes take their model as a parameter in the stubs alone.
    StationOffice = admin.ModelAdmin[Station]
    DutyOffice = admin.ModelAdmin[Duty]
    StageOffice = admin.ModelAdmin[Stage]
    GapOffice = admin.ModelAdmin[StageGap]
    NoteOffice = admin.ModelAdmin[HazardNote]
    EquipmentOffice = admin.ModelAdmin[Equipment]
    TroughOffice = admin.ModelAdmin[Trough]
    DutyRows = admin.TabularInline[Duty, Station]
    NoteRows = admin.TabularInline[HazardNote, Duty]
    GapRows = admin.TabularInline[StageGap, Stage]
else:
    StationOffice = DutyOffice = StageOffice = GapOffice = admin.ModelAdmin
    NoteOffice = EquipmentOffice = TroughOffice = admin.ModelAdmin
    DutyRows = NoteRows = GapRows = admin.TabularInline


class DutyInline(DutyRows):
    model = Duty
    extra = 0
    show_change_link = True
    fields = ["order", "name", "hands_least", "hands_most", "filled_by", "core"]


@admin.register(Station)
class StationAdmin(StationOffice):
    """A place of work with its duties."""

    list_display = ["letter", "name", "workshop", "look", "capacity", "set_up_min", "order"]
    list_display_links = ["name"]
    search_fields = ["name", "letter", "workshop__name"]
    list_filter = ["workshop"]
    list_select_related = ["workshop"]
    autocomplete_fields = ["workshop"]
    inlines = [DutyInline]


class NoteInline(NoteRows):
    model = HazardNote
    extra = 0
    fields = ["station", "signal", "text", "source", "trust"]
    autocomplete_fields = ["station"]


@admin.register(Duty)
class DutyAdmin(DutyOffice):
    """A job at a station with its safety notes."""

    list_display = [
        "name",
        "station",
        "hands_least",
        "hands_most",
        "filled_by",
        "core",
        "heavy",
        "hot",
        "sharp",
        "at_kill",
        "adults_only",
    ]
    search_fields = ["name", "what_to_do", "station__name"]
    list_filter = ["station__workshop", "filled_by", "core", "heavy", "hot", "sharp", "at_kill"]
    list_select_related = ["station"]
    autocomplete_fields = ["station"]
    inlines = [NoteInline]


class GapInline(GapRows):
    model = StageGap
    fk_name = "before"
    extra = 0
    autocomplete_fields = ["after"]


@admin.register(Stage)
class StageAdmin(StageOffice):
    """A stage with the gaps that follow it."""

    list_display = [
        "name",
        "workshop",
        "day_number",
        "order",
        "subject",
        "station",
        "least_min",
        "expected_min",
        "most_min",
        "trust",
    ]
    search_fields = ["name", "key", "source", "workshop__name"]
    list_filter = ["workshop", "day_number", "subject", "trust"]
    list_select_related = ["workshop", "station"]
    autocomplete_fields = ["workshop", "station", "duties"]
    inlines = [GapInline]


@admin.register(StageGap)
class StageGapAdmin(GapOffice):
    """How long may and must pass between two stages."""

    list_display = ["before", "after", "least_min", "most_min", "trust", "source"]
    search_fields = ["before__name", "after__name", "source"]
    list_filter = ["before__workshop", "trust"]
    list_select_related = ["before", "after"]
    autocomplete_fields = ["before", "after"]


@admin.register(HazardNote)
class HazardNoteAdmin(NoteOffice):
    """A safety note at a station or a duty."""

    list_display = ["signal", "text", "station", "duty", "trust", "source"]
    list_display_links = ["text"]
    search_fields = ["text", "source", "station__name", "duty__name"]
    list_filter = ["station__workshop", "signal", "trust"]
    list_select_related = ["station", "duty"]
    autocomplete_fields = ["station", "duty"]


@admin.register(Equipment)
class EquipmentAdmin(EquipmentOffice):
    """Kit and how many."""

    list_display = ["name", "count", "kind", "station", "workshop", "note"]
    search_fields = ["name", "note", "station__name", "workshop__name"]
    list_filter = ["workshop", "kind"]
    list_select_related = ["station", "workshop"]
    autocomplete_fields = ["station", "workshop"]


@admin.register(Trough)
class TroughAdmin(TroughOffice):
    """The vessel, fire and kettle of one station."""

    list_display = ["station", "method", "cover", "fuel", "water_kg"]
    search_fields = ["station__name", "station__workshop__name"]
    list_filter = ["station__workshop", "method"]
    list_select_related = ["station"]
    autocomplete_fields = ["station"]
