"""The back office for stations, duties, stages, notes and kit. No rules of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.contrib import admin
from django.http import HttpRequest

from stations.models import (
    ChillPlan,
    ChillReading,
    CureBatch,
    CureEntry,
    CutPlan,
    Dip,
    DipEntry,
    Duty,
    Equipment,
    FoodEntry,
    FoodLog,
    HandlingSetup,
    HazardNote,
    Stage,
    StageGap,
    Station,
    Thermometer,
    ThermometerCheck,
    Trough,
    WeighIn,
)

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
    DipOffice = admin.ModelAdmin[Dip]
    EntryOffice = admin.ModelAdmin[DipEntry]
    ThermometerOffice = admin.ModelAdmin[Thermometer]
    CheckOffice = admin.ModelAdmin[ThermometerCheck]
    HandlingOffice = admin.ModelAdmin[HandlingSetup]
    EntryRows = admin.TabularInline[DipEntry, Dip]
    ChillPlanOffice = admin.ModelAdmin[ChillPlan]
    ChillReadingOffice = admin.ModelAdmin[ChillReading]
    WeighInOffice = admin.ModelAdmin[WeighIn]
    CutPlanOffice = admin.ModelAdmin[CutPlan]
    CureBatchOffice = admin.ModelAdmin[CureBatch]
    CureEntryOffice = admin.ModelAdmin[CureEntry]
    FoodLogOffice = admin.ModelAdmin[FoodLog]
    FoodEntryOffice = admin.ModelAdmin[FoodEntry]
else:
    ChillPlanOffice = ChillReadingOffice = WeighInOffice = CutPlanOffice = admin.ModelAdmin
    CureBatchOffice = CureEntryOffice = FoodLogOffice = FoodEntryOffice = admin.ModelAdmin
    StationOffice = DutyOffice = StageOffice = GapOffice = admin.ModelAdmin
    NoteOffice = EquipmentOffice = TroughOffice = HandlingOffice = admin.ModelAdmin
    DipOffice = EntryOffice = ThermometerOffice = CheckOffice = admin.ModelAdmin
    DutyRows = NoteRows = GapRows = EntryRows = admin.TabularInline


class Log:
    """Shown, never written: ``dipping.py`` alone adds to it. A parent row is of whichever model."""

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


class DutyInline(DutyRows):
    model = Duty
    extra = 0
    show_change_link = True
    fields = ["order", "name", "hands_least", "hands_most", "filled_by", "core"]


@admin.register(Station)
class StationAdmin(StationOffice):
    """A place of work with its duties."""

    list_display = [
        "letter",
        "name",
        "workshop",
        "look",
        "capacity",
        "set_up_min",
        "outdoors",
        "order",
    ]
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


class EntryInline(Log, EntryRows):
    model = DipEntry
    fk_name = "dip"
    fields = ["at", "kind", "water_c", "water_kg", "part", "hair", "confirmed", "takes_back"]
    show_change_link = True


@admin.register(Dip)
class DipAdmin(Log, DipOffice):
    """A hog's dip with all that was noted."""

    list_display = ["animal", "station", "water_in_at", "water_kg", "strike_read_c", "thermometer"]
    search_fields = ["animal__tag", "station__name", "workshop__name"]
    list_filter = ["workshop"]
    list_select_related = ["animal", "station", "thermometer"]
    inlines = [EntryInline]


@admin.register(DipEntry)
class DipEntryAdmin(Log, EntryOffice):
    """One entry."""

    list_display = ["dip", "at", "kind", "water_c", "water_kg", "part", "hair", "confirmed"]
    search_fields = ["dip__animal__tag", "dip__workshop__name"]
    list_filter = ["dip__workshop", "kind"]
    list_select_related = ["dip__animal"]


@admin.register(Thermometer)
class ThermometerAdmin(ThermometerOffice):
    """A thermometer by name."""

    list_display = ["name", "workshop"]
    search_fields = ["name", "workshop__name"]
    list_filter = ["workshop"]
    list_select_related = ["workshop"]
    autocomplete_fields = ["workshop"]


@admin.register(ThermometerCheck)
class ThermometerCheckAdmin(Log, CheckOffice):
    """One check in ice water and at the boil."""

    list_display = ["thermometer", "at", "ice_read_c", "boil_read_c", "altitude_m"]
    search_fields = ["thermometer__name"]
    list_filter = ["thermometer__workshop"]
    list_select_related = ["thermometer"]


@admin.register(HandlingSetup)
class HandlingSetupAdmin(HandlingOffice):
    """What one station moves a hog with."""

    list_display = ["station", "work", "ramp_deg", "hoisting", "chain_wire", "chain_mark"]
    search_fields = ["station__name", "station__workshop__name"]
    list_filter = ["station__workshop", "work", "hoisting"]
    list_select_related = ["station"]
    autocomplete_fields = ["station"]


@admin.register(ChillPlan)
class ChillPlanAdmin(Log, ChillPlanOffice):
    """How a carcass hangs."""

    list_display = ["animal", "killed_at", "hung_at", "method"]
    search_fields = ["animal__tag", "animal__workshop__name"]
    list_filter = ["animal__workshop", "method"]
    list_select_related = ["animal"]


@admin.register(ChillReading)
class ChillReadingAdmin(Log, ChillReadingOffice):
    """One reading of a carcass."""

    list_display = ["animal", "at", "part", "read_c", "temp_c", "is_void", "corrects_id"]
    search_fields = ["animal__tag", "animal__workshop__name"]
    list_filter = ["animal__workshop", "part"]
    list_select_related = ["animal"]


@admin.register(WeighIn)
class WeighInAdmin(Log, WeighInOffice):
    """One weight off the scale."""

    list_display = ["animal", "at", "stage", "part", "kg", "is_void", "corrects_id"]
    search_fields = ["animal__tag", "part", "animal__workshop__name"]
    list_filter = ["animal__workshop", "stage"]
    list_select_related = ["animal"]


@admin.register(CutPlan)
class CutPlanAdmin(Log, CutPlanOffice):
    """What a carcass is to be cut into."""

    list_display = ["animal", "table", "note"]
    search_fields = ["animal__tag", "animal__workshop__name"]
    list_filter = ["animal__workshop", "table"]
    list_select_related = ["animal"]


@admin.register(CureBatch)
class CureBatchAdmin(Log, CureBatchOffice):
    """One batch of cure as it was worked out."""

    list_display = ["name", "product", "weighed_kg", "nitrite_ppm", "limit_ppm", "started_on"]
    search_fields = ["name", "workshop__name"]
    list_filter = ["workshop", "product"]


@admin.register(CureEntry)
class CureEntryAdmin(Log, CureEntryOffice):
    """One thing done to a batch."""

    list_display = ["batch", "at", "what", "kg", "note", "is_void", "corrects_id"]
    search_fields = ["batch__name", "batch__workshop__name"]
    list_filter = ["batch__workshop", "what"]
    list_select_related = ["batch"]


@admin.register(FoodLog)
class FoodLogAdmin(Log, FoodLogOffice):
    """One log of cooking, cooling or holding."""

    list_display = ["name", "rule", "started_at", "workshop"]
    search_fields = ["name", "workshop__name"]
    list_filter = ["workshop", "rule"]
    list_select_related = ["workshop"]


@admin.register(FoodEntry)
class FoodEntryAdmin(Log, FoodEntryOffice):
    """One reading of a log."""

    list_display = ["log", "at", "mark", "read_c", "temp_c", "is_void", "corrects_id"]
    search_fields = ["log__name", "log__workshop__name"]
    list_filter = ["log__workshop", "mark"]
    list_select_related = ["log"]
