"""What anybody may know: the schools one can join, and on which terms."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from django.db.models import Count, Q, QuerySet

from school.clock import today_at
from school.models import Enrolment, School, Staff
from school.wording import count_of


@dataclass(frozen=True)
class PublicSchool:
    """A school and how many may still join it at once; none left means the waiting list.

    A free seat that somebody already waits for is not left for whoever comes now.
    """

    school: School
    seats_left: int
    is_taking: bool

    @property
    def seats_words(self) -> str:
        if not self.is_taking:
            return "no longer taken"
        return f"{count_of(self.seats_left, 'seat')} left" if self.seats_left else "waiting list"


def upcoming_schools(now: datetime) -> list[PublicSchool]:
    """Every school that can be joined, by first day. One query."""
    # Where it is already tomorrow, a school of tomorrow has begun; today_at sees to those.
    yesterday = now.astimezone(UTC).date() - timedelta(days=1)
    rows = _counted(School.objects.filter(state=School.State.OPEN, starts_on__gt=yesterday))
    return [found for row in rows if (found := _public(row)).is_taking]


def find_public_school(pk: int) -> PublicSchool | None:
    """The school as the public sees it, over or not; None while it is set up. One query."""
    row = _counted(School.objects.exclude(state=School.State.DRAFT)).filter(pk=pk).first()
    return None if row is None else _public(row)


def who_teaches(school: School) -> list[str]:
    """The names of the house's instructors other than who leads this school. One query."""
    others = Staff.objects.filter(teaches=True, account__is_active=True).exclude(
        pk=school.lead_instructor_id
    )
    return list(others.order_by("account__full_name").values_list("account__full_name", flat=True))


def is_taking(school: School) -> bool:
    """Whether the public may join: open, and not yet begun where it is held. No query."""
    return school.state == School.State.OPEN and today_at(school) < school.starts_on


def _counted(rows: QuerySet[School]) -> QuerySet[School]:
    held = Q(enrolments__state__in=Enrolment.HOLDS_SEAT)
    waiting = Q(enrolments__state=Enrolment.State.WAITING)
    return (
        rows.select_related("programme", "lead_instructor__account")
        .annotate(
            held=Count("enrolments", filter=held), waiting=Count("enrolments", filter=waiting)
        )
        .order_by("starts_on", "pk")
    )


def _public(row: School) -> PublicSchool:
    free = row.capacity - row.held - row.waiting  # type: ignore[attr-defined]
    return PublicSchool(row, max(0, free), is_taking(row))
