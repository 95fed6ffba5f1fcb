"""Places, stations and instructors are set up here; plans and holds are only looked at."""

from typing import TYPE_CHECKING, Any

from django.contrib import admin

from lessons.models import (
    Bay,
    Feature,
    Hold,
    Hours,
    Instructor,
    Place,
    Plan,
    Qualification,
    Session,
    Squad,
    SquadMember,
    Station,
    Visit,
    Walk,
)
from school.admin import ReadOnlyAdmin, ReferenceAdmin

if TYPE_CHECKING:
    TabularInline = admin.TabularInline[Any, Any]
else:
    TabularInline = admin.TabularInline


@admin.register(Place)
class PlaceAdmin(ReferenceAdmin):
    list_display = ("name", "slug")


@admin.register(Walk)
class WalkAdmin(ReferenceAdmin):
    list_display = ("a", "b", "minutes")
    list_select_related = ("a", "b")


@admin.register(Feature)
class FeatureAdmin(ReferenceAdmin):
    list_display = ("name", "slug")


@admin.register(Bay)
class BayAdmin(ReferenceAdmin):
    list_display = ("name", "place", "is_open")
    list_filter = ("place", "is_open")
    list_select_related = ("place",)
    filter_horizontal = ("features",)


@admin.register(Station)
class StationAdmin(ReferenceAdmin):
    list_display = ("name", "entry_kind", "is_handed")
    filter_horizontal = ("needs",)


@admin.register(Visit)
class VisitAdmin(ReferenceAdmin):
    list_display = ("name", "programme", "station", "phase", "slots", "first_day", "last_day")
    list_filter = ("programme", "station", "phase")
    list_select_related = ("programme", "station")
    filter_horizontal = ("after",)


class QualificationInline(TabularInline):
    model = Qualification
    extra = 1


class HoursInline(TabularInline):
    model = Hours
    extra = 1


@admin.register(Instructor)
class InstructorAdmin(ReferenceAdmin):
    list_display = ("staff", "max_slots_a_day", "max_run")
    list_select_related = ("staff__account",)
    inlines = (QualificationInline, HoursInline)


@admin.register(Squad)
class SquadAdmin(ReadOnlyAdmin):
    list_display = ("school", "number")
    list_filter = ("school",)
    list_select_related = ("school",)


@admin.register(SquadMember)
class SquadMemberAdmin(ReadOnlyAdmin):
    list_display = ("enrolment", "squad", "place")
    list_filter = ("squad__school",)
    list_select_related = ("enrolment__golfer", "enrolment__school", "squad")


@admin.register(Plan)
class PlanAdmin(ReadOnlyAdmin):
    list_display = ("school", "state", "is_published", "published_at", "claims", "failures")
    list_filter = ("state", "is_published", "school")
    list_select_related = ("school",)


@admin.register(Session)
class SessionAdmin(ReadOnlyAdmin):
    list_display = ("visit", "squad", "bay", "instructor", "starts_at", "plan")
    list_filter = ("plan__school", "plan__is_published")
    list_select_related = ("visit", "squad", "bay", "instructor__staff__account", "plan__school")


@admin.register(Hold)
class HoldAdmin(ReadOnlyAdmin):
    list_display = ("quarter_hour", "bay", "instructor", "squad", "note")
    list_filter = ("bay",)
    list_select_related = ("bay", "instructor__staff__account", "squad")
    date_hierarchy = "quarter_hour"
