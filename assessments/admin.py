"""Stills, entries, measures and reports: actions write them, here they are looked up."""

from django.contrib import admin
from django.urls import reverse
from django.utils.html import format_html

from assessments.models import Entry, Measure, Report, Still
from school.admin import ReadOnlyAdmin


@admin.register(Still)
class StillAdmin(ReadOnlyAdmin):
    list_display = ("uploaded_at", "enrolment", "phase", "club_class", "shot_kind", "uploaded_by")
    list_filter = ("phase", "club_class", "shot_kind")
    list_select_related = ("enrolment__golfer", "enrolment__school", "uploaded_by")
    search_fields = ("enrolment__golfer__full_name", "sha256")
    exclude = ("picture",)  # it has no public address for the admin to link to
    readonly_fields = ("page",)

    @admin.display(description="picture")
    def page(self, still: Still) -> str:
        return format_html('<a href="{}">Look</a>', reverse("still_picture", args=[still.pk]))


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
