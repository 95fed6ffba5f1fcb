"""When an instructor can teach, beside the schools to come."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, time

from django.db.models import QuerySet

from lessons.models import Instructor, Session
from lessons.queries.slots import Stretch, joined, whole_days
from school.models import School


@dataclass(frozen=True)
class OfferedHours:
    """Local to the school; from the first start to the last end where there are breaks."""

    date: date
    starts: time | None
    ends: time | None
    has_breaks: bool


def schools_to_come(today: date) -> QuerySet[School]:
    """Schools that are not closed and not over."""
    return School.objects.exclude(state=School.State.CLOSED).filter(ends_on__gte=today)


def hours_offered(
    instructor: Instructor, schools: Iterable[School]
) -> dict[int, list[OfferedHours]]:
    """The instructor's hours on each date of each school, by the school's key. One query."""
    schools = list(schools)
    stretches = _stretches(instructor, schools)
    return {school.pk: _offered(school, stretches) for school in schools}


def sessions_outside_hours(instructor: Instructor, school: School) -> list[Session]:
    """Published sessions of the school that the instructor's hours do not cover. Two queries."""
    hours = _stretches(instructor, [school])
    sessions = Session.objects.filter(
        instructor=instructor, plan__school=school, plan__is_published=True
    )
    return [
        session
        for session in sessions
        if not any(each.covers(Stretch.of(session)) for each in hours)
    ]


def _stretches(instructor: Instructor, schools: list[School]) -> list[Stretch]:
    """The instructor's hours from the first of the schools' dates to the last."""
    if not schools:
        return []
    windows = [whole_days(each.starts_on, each.ends_on, each.zone) for each in schools]
    hours = instructor.hours.filter(
        starts_at__lt=max(window.ends_at for window in windows),
        ends_at__gt=min(window.starts_at for window in windows),
    )
    return joined(map(Stretch.of, hours))


def _offered(school: School, stretches: list[Stretch]) -> list[OfferedHours]:
    by_date: dict[date, list[Stretch]] = {day: [] for day in school.dates}
    for stretch in stretches:
        day = stretch.starts_at.astimezone(school.zone).date()
        if day in by_date:
            by_date[day].append(stretch)
    return [_offered_on(school, day, found) for day, found in by_date.items()]


def _offered_on(school: School, day: date, stretches: list[Stretch]) -> OfferedHours:
    if not stretches:
        return OfferedHours(day, None, None, has_breaks=False)
    starts = stretches[0].starts_at.astimezone(school.zone).time()
    ends = stretches[-1].ends_at.astimezone(school.zone).time()
    return OfferedHours(day, starts, ends, len(stretches) > 1)
