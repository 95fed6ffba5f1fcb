from datetime import date

from django.urls import path, register_converter
from django.urls.converters import StringConverter

from lessons.views import (
    compare,
    edits,
    holds,
    hours,
    owner,
    search,
    squads,
    teaching,
    timetable,
    troubles,
)


class DateConverter(StringConverter):
    """A date as 2027-05-07."""

    regex = r"\d{4}-\d{2}-\d{2}"

    def to_python(self, value: str) -> date:  # type: ignore[override]
        return date.fromisoformat(value)  # a ValueError makes it no match, so 404


register_converter(DateConverter, "day")

urlpatterns = [
    path("schools/<int:pk>/timetable/", timetable.timetable, name="timetable"),
    path("schools/<int:pk>/timetable/request/", timetable.plan_request, name="plan_request"),
    path("plans/<int:pk>/progress/", search.plan_progress, name="plan_progress"),
    path("plans/<int:pk>/stop/", search.plan_stop, name="plan_stop"),
    path("plans/<int:pk>/publish/", timetable.plan_publish, name="plan_publish"),
    path("plans/<int:pk>/edit/", edits.plan_edit, name="plan_edit"),
    path("plans/<int:pk>/sessions/<int:session>/", edits.plan_session, name="plan_session"),
    path("plans/<int:pk>/places/<int:session>/", edits.plan_places, name="plan_places"),
    path("plans/<int:pk>/check/", edits.plan_check, name="plan_check"),
    path("plans/<int:pk>/copy/", edits.plan_copy, name="plan_copy"),
    path("plans/<int:pk>/move/", edits.plan_move, name="plan_move"),
    path("plans/<int:pk>/pin/", edits.plan_pin, name="plan_pin"),
    path("plans/<int:pk>/undo/", edits.plan_undo, name="plan_undo"),
    path("plans/<int:pk>/compare/", compare.plan_compare, name="plan_compare"),
    path("schools/<int:pk>/troubles/", troubles.troubles, name="troubles"),
    path(
        "schools/<int:pk>/troubles/<int:trouble>/delete/",
        troubles.trouble_drop,
        name="trouble_drop",
    ),
    path("schools/<int:pk>/replan/", troubles.replan_request, name="replan_request"),
    path("schools/<int:pk>/squads/", squads.squads, name="squads"),
    path("schools/<int:pk>/squads/move/", squads.squad_move, name="squad_move"),
    path("schools/<int:pk>/squads/swap/", squads.squad_swap, name="squad_swap"),
    path("schools/<int:pk>/squads/check/", squads.squad_check, name="squad_check"),
    path("schools/<int:pk>/squads/remake/", squads.squads_remake, name="squads_remake"),
    path("schools/<int:pk>/squads/wishes/", squads.squad_wish, name="squad_wish"),
    path(
        "schools/<int:pk>/squads/wishes/<int:wish>/delete/",
        squads.squad_wish_drop,
        name="squad_wish_drop",
    ),
    path("schools/<int:pk>/holds/", holds.holds, name="holds"),
    path("schools/<int:pk>/holds/<int:hold>/", holds.hold_release, name="hold_release"),
    path("schools/<int:pk>/days/<int:day>/", teaching.day_sheet, name="day_sheet"),
    path("day/", teaching.my_day, name="my_day"),
    path("day/<day:day>/", teaching.my_day, name="my_day_on"),
    path("day/hours/", hours.my_hours, name="my_hours"),
    path("day/hours/<int:pk>/", hours.hours_set, name="hours_set"),
    path("sessions/<int:pk>/", teaching.session, name="session"),
    path("overview/", owner.owner, name="owner"),
]
