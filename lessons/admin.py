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
    PlanEdit,
    Qualification,
    Session,
    Squad,
    SquadMember,
    SquadWish,
    Station,
    Trouble,
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
    list_display = ("name", "slug", "is_base")


@admin.register(Walk)
class WalkAdmin(ReferenceAdmin):
    list_display = ("a", "b", "minutes")
    list_select_related = ("a", "b")


@admin.register(Feature)
class FeatureAdmin(ReferenceAdmin):
    list_display = ("name", "slug")


@admin.register(Bay)
class BayAdmin(ReferenceAdmin):
    list_display = ("name", "place", "capacity", "is_open")
    list_filter = ("place", "is_open")
    list_select_related = ("place",)
    filter_horizontal = ("features",)


@admin.register(Station)
class StationAdmin(ReferenceAdmin):
    list_display = ("name", "entry_kind", "is_handed")
    filter_horizontal = ("needs",)


@admin.register(Visit)
class VisitAdmin(ReferenceAdmin):
    list_display = (
        *("name", "programme", "station", "phase", "slots", "times", "first_day", "last_day"),
        "group_ratio",
    )
    list_filter = ("programme", "station", "phase")
    list_select_related = ("programme", "station")
    filter_horizontal = ("after", "same_day", "other_day")


class QualificationInline(TabularInline):
    model = Qualification
    extra = 1


class HoursInline(TabularInline):
    model = Hours
    extra = 1


@admin.register(Instructor)
class InstructorAdmin(ReferenceAdmin):
    list_display = ("staff", "max_slots_a_day", "max_run", "load_factor")
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


@admin.register(SquadWish)
class SquadWishAdmin(ReadOnlyAdmin):
    list_display = ("one", "kind", "other")
    list_filter = ("kind", "one__school")
    list_select_related = ("one__golfer", "one__school", "other__golfer", "other__school")


@admin.register(Plan)
class PlanAdmin(ReadOnlyAdmin):
    list_display = ("school", "origin", "state", "is_published", "published_at", "failures")
    list_filter = ("state", "origin", "is_published", "school")
    list_select_related = ("school",)


@admin.register(Session)
class SessionAdmin(ReadOnlyAdmin):
    list_display = ("visit", "squad", "bay", "instructor", "starts_at", "is_pinned", "plan")
    list_filter = ("plan__school", "plan__is_published")
    list_select_related = ("visit", "squad", "bay", "instructor__staff__account", "plan__school")


@admin.register(PlanEdit)
class PlanEditAdmin(ReadOnlyAdmin):
    list_display = ("plan", "number", "words", "made_by", "made_at")
    list_filter = ("plan__school",)
    list_select_related = ("plan__school", "made_by")


@admin.register(Trouble)
class TroubleAdmin(ReadOnlyAdmin):
    list_display = ("kind", "instructor", "bay", "enrolment", "starts_at", "ends_at", "note")
    list_filter = ("kind",)
    list_select_related = ("instructor__staff__account", "bay", "enrolment__golfer")
    date_hierarchy = "starts_at"


@admin.register(Hold)
class HoldAdmin(ReadOnlyAdmin):
    list_display = ("quarter_hour", "bay", "part", "instructor", "squad", "note")
    list_filter = ("bay",)
    list_select_related = ("bay", "instructor__staff__account", "squad")
    date_hierarchy = "quarter_hour"
