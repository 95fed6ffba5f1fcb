"""Drills and their rules are edited here; stills, entries and reports are only looked up."""

from django.contrib import admin
from django.urls import reverse
from django.utils.html import format_html

from assessments.forms.drills import DrillForm, DrillRuleForm
from assessments.models import (
    Drill,
    DrillRule,
    Entry,
    FilmingPlace,
    Marking,
    Measure,
    ReferenceStill,
    Report,
    Still,
    Study,
)
from school.admin import ReadOnlyAdmin, ReferenceAdmin


@admin.register(Still)
class StillAdmin(ReadOnlyAdmin):
    list_display = ("uploaded_at", "enrolment", "phase", "club_class", "shot_kind", "uploaded_by")
    list_filter = ("phase", "club_class", "shot_kind", "filming_place")
    list_select_related = ("enrolment__golfer", "enrolment__school", "uploaded_by")
    search_fields = ("enrolment__golfer__full_name", "sha256")
    exclude = ("picture", "picture_before")  # they have no public address for the admin to link to
    readonly_fields = ("page",)

    @admin.display(description="picture")
    def page(self, still: Still) -> str:
        return format_html('<a href="{}">Look</a>', reverse("still_picture", args=[still.pk]))


@admin.register(FilmingPlace)
class FilmingPlaceAdmin(ReadOnlyAdmin):
    list_display = ("name", "joints", "click_sd_px", "step_mm", "frames_a_second", "is_in_use")
    list_filter = ("is_in_use", "joints")


@admin.register(Study)
class StudyAdmin(ReadOnlyAdmin):
    list_display = ("name", "place", "markings_wanted", "opened_at", "closed_at", "is_in_force")
    list_filter = ("is_in_force", "place")
    list_select_related = ("place",)


@admin.register(Marking)
class MarkingAdmin(ReadOnlyAdmin):
    list_display = ("marked_at", "still", "study", "turn", "marked_by")
    list_filter = ("study",)
    list_select_related = ("still", "study", "marked_by")


@admin.register(ReferenceStill)
class ReferenceStillAdmin(ReadOnlyAdmin):
    list_display = ("chosen_at", "still", "chosen_by")
    list_select_related = ("still", "chosen_by")


@admin.register(Entry)
class EntryAdmin(ReadOnlyAdmin):
    list_display = ("recorded_at", "enrolment", "kind", "phase", "recorded_by", "supersedes")
    list_filter = ("kind", "phase")
    list_select_related = ("enrolment__golfer", "enrolment__school", "recorded_by", "supersedes")
    search_fields = ("enrolment__golfer__full_name",)


@admin.register(Measure)
class MeasureAdmin(ReadOnlyAdmin):
    list_display = ("entry", "name", "value", "unit", "standard_uncertainty", "source")
    list_filter = ("name",)
    list_select_related = ("entry",)


@admin.register(Report)
class ReportAdmin(ReadOnlyAdmin):
    list_display = ("enrolment", "version", "is_current", "state", "claims", "failures", "reason")
    list_filter = ("state", "is_current")
    list_select_related = ("enrolment__golfer", "enrolment__school")
    search_fields = ("enrolment__golfer__full_name",)


@admin.register(Drill)
class DrillAdmin(ReferenceAdmin):
    form = DrillForm
    list_display = ("name", "purpose", "minutes", "picture", "is_in_use")
    list_filter = ("is_in_use",)
    search_fields = ("name", "purpose", "steps")
    prepopulated_fields = {"slug": ("name",)}


@admin.register(DrillRule)
class DrillRuleAdmin(ReferenceAdmin):
    form = DrillRuleForm
    list_display = ("kind", "measure", "club_class", "when", "position", "drill", "why")
    list_filter = ("kind", "when", "is_in_use")
    list_select_related = ("drill",)
    search_fields = ("measure", "why", "drill__name")
    autocomplete_fields = ("drill",)
