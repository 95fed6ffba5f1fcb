"""What the public list counts, and what it costs."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.utils import timezone

from school.models import Enrolment, School
from school.queries.public import find_public_school, is_taking, upcoming_schools, who_teaches
from tests.factories import EnrolmentFactory, SchoolFactory, StaffFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db


def listed(now: datetime | None = None) -> list[str]:
    return [line.school.name for line in upcoming_schools(now or timezone.now())]


def test_seats_left_leave_out_who_sits_is_offered_or_waits() -> None:
    school = SchoolFactory.create(capacity=6)
    EnrolmentFactory.create(school=school, seat=1)
    EnrolmentFactory.create(school=school, state="waiting", seat=None)
    EnrolmentFactory.create(
        school=school, state="offered", seat=2, offer_ends_at=timezone.now() + timedelta(hours=1)
    )
    EnrolmentFactory.create(
        school=school, state="cancelled", seat=None, cancelled_at=timezone.now()
    )
    found = find_public_school(school.pk)
    assert found is not None
    assert found.seats_left == 3
    assert found.seats_words == "3 seats left"


def test_more_waiting_than_free_is_full_and_not_below_nothing() -> None:
    school = SchoolFactory.create(capacity=1)
    EnrolmentFactory.create_batch(3, school=school, state=Enrolment.State.WAITING, seat=None)
    found = find_public_school(school.pk)
    assert found is not None
    assert (found.seats_left, found.seats_words) == (0, "waiting list")


def test_only_open_schools_that_have_not_begun_are_listed_by_first_day() -> None:
    today = timezone.localdate()
    SchoolFactory.create(name="Later", starts_on=today + timedelta(days=9))
    SchoolFactory.create(name="Sooner", starts_on=today + timedelta(days=3))
    SchoolFactory.create(name="Today", starts_on=today)
    SchoolFactory.create(name="Set up", state=School.State.DRAFT)
    SchoolFactory.create(name="Over", state=School.State.CLOSED, closed_at=timezone.now())
    assert listed() == ["Sooner", "Later"]


@pytest.mark.parametrize(
    ("zone", "taking"), [("Pacific/Kiritimati", False), ("Pacific/Niue", True)]
)
def test_a_school_begins_where_it_is_held(
    monkeypatch: pytest.MonkeyPatch, zone: str, taking: bool
) -> None:
    """At noon in Greenwich it is the next day already in Kiritimati, and one a.m. in Niue."""
    noon = datetime(2027, 5, 6, 12, tzinfo=UTC)
    monkeypatch.setattr(timezone, "now", lambda: noon)
    school = SchoolFactory.create(name="Far", starts_on=date(2027, 5, 7), time_zone=zone)
    assert is_taking(school) is taking
    assert listed(noon) == (["Far"] if taking else [])


def test_the_list_costs_one_query_however_long() -> None:
    SchoolFactory.create_batch(2)
    for school in SchoolFactory.create_batch(2):
        EnrolmentFactory.create_batch(2, school=school)
    few = queries_of(read)
    SchoolFactory.create_batch(4)
    assert queries_of(read) == few == 1


def read() -> list[str]:
    return [
        f"{line.seats_left} {line.school.lead_instructor}"
        for line in upcoming_schools(timezone.now())
    ]


def test_who_teaches_is_active_and_not_the_lead() -> None:
    lead = StaffFactory.create(teaches=True)
    school = SchoolFactory.create(lead_instructor=lead)
    StaffFactory.create(teaches=True, account__full_name="Oren Other")
    StaffFactory.create(teaches=True, account__full_name="Gone", account__is_active=False)
    StaffFactory.create(at_front_desk=True, account__full_name="Dana Desk")
    assert who_teaches(school) == ["Oren Other"]
