from datetime import date

from django.urls import path, register_converter
from django.urls.converters import StringConverter

from lessons.views import holds, hours, owner, teaching, timetable


class DateConverter(StringConverter):
    """A date as 2027-05-07."""

    regex = r"\d{4}-\d{2}-\d{2}"

    def to_python(self, value: str) -> date:  # type: ignore[override]
        return date.fromisoformat(value)  # a ValueError makes it no match, so 404


register_converter(DateConverter, "day")

urlpatterns = [
    path("schools/<int:pk>/timetable/", timetable.timetable, name="timetable"),
    path("schools/<int:pk>/timetable/request/", timetable.plan_request, name="plan_request"),
    path("plans/<int:pk>/progress/", timetable.plan_progress, name="plan_progress"),
    path("plans/<int:pk>/publish/", timetable.plan_publish, name="plan_publish"),
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
