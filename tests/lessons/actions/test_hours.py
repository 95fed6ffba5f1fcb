"""An instructor says when they can teach."""

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest

from lessons.actions.hours import FromTo, set_hours
from lessons.errors import HoursRefused
from lessons.models import Hours, Instructor
from lessons.queries.hours import sessions_outside_hours
from tests.lessons.factories import InstructorFactory, SessionFactory

pytestmark = pytest.mark.django_db
LONDON = ZoneInfo("Europe/London")
FRIDAY, SATURDAY = date(2027, 5, 7), date(2027, 5, 8)
MORNING = (time(9), time(12))


def say(instructor: Instructor, hours: dict[date, FromTo | None]) -> None:
    set_hours(instructor=instructor, hours=hours, zone=LONDON, actor=None)


def test_hours_are_kept_as_instants() -> None:
    say(InstructorFactory.create(), {FRIDAY: MORNING})
    assert Hours.objects.get().starts_at == datetime(2027, 5, 7, 8, tzinfo=UTC)


def test_hours_of_a_date_replace_the_old_and_leave_other_dates() -> None:
    instructor = InstructorFactory.create()
    say(instructor, {FRIDAY: MORNING, SATURDAY: MORNING})
    say(instructor, {FRIDAY: (time(13), time(17))})
    starts = [row.starts_at.astimezone(LONDON).hour for row in instructor.hours.all()]
    assert starts == [13, 9]


def test_a_date_can_be_emptied() -> None:
    instructor = InstructorFactory.create()
    say(instructor, {FRIDAY: MORNING})
    say(instructor, {FRIDAY: None})
    assert not instructor.hours.exists()


def test_hours_that_end_before_they_start_change_nothing() -> None:
    instructor = InstructorFactory.create()
    say(instructor, {FRIDAY: MORNING})
    with pytest.raises(HoursRefused, match="On Saturday 8 May"):
        say(instructor, {FRIDAY: None, SATURDAY: (time(12), time(9))})
    assert instructor.hours.count() == 1


def test_sessions_that_the_hours_no_longer_cover_are_found() -> None:
    session = SessionFactory.create()
    school = session.plan.school
    say(session.instructor, {FRIDAY: MORNING})
    assert sessions_outside_hours(session.instructor, school) == []
    say(session.instructor, {FRIDAY: (time(10), time(12))})
    assert sessions_outside_hours(session.instructor, school) == [session]
