"""Who reaches what, below the pages."""

import pytest

from lessons.access import attendees_to_teach
from school.models import Account
from tests.factories import EnrolmentFactory
from tests.lessons.factories import SessionFactory, instructor_for

pytestmark = pytest.mark.django_db


def test_an_instructor_reaches_all_attendees_of_a_school_they_teach_in(
    instructor: Account,
) -> None:
    session = SessionFactory.create(instructor=instructor_for(instructor))
    EnrolmentFactory.create(school=session.plan.school)
    EnrolmentFactory.create()
    assert {e.school for e in attendees_to_teach(instructor)} == {session.plan.school}
    assert attendees_to_teach(instructor).count() == 2


def test_who_gave_up_the_seat_is_not_reached(front_desk: Account) -> None:
    EnrolmentFactory.create(state="waiting", seat=None)
    assert not attendees_to_teach(front_desk).exists()
