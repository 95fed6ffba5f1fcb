"""The golfer's own page."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from assessments.models import Report
from assessments.queries.mine import my_schools
from lessons.models import Session
from school.models import Account, Enrolment
from tests.factories import EnrolmentFactory
from tests.lessons.factories import PlanFactory, SessionFactory, SquadMemberFactory

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]
DONE = {"state": "done", "file": "reports/a.pdf", "content_sha256": "0" * 64, "pages": 5}


@pytest.fixture
def enrolment(golfer: Account) -> Enrolment:
    made: Enrolment = EnrolmentFactory.create(golfer=golfer.golfer)
    return made


def sessions(enrolment: Enrolment, *hours_from_now: int) -> list[Session]:
    """Published sessions of the attendee's squad, 45 minutes each."""
    member = SquadMemberFactory.create(enrolment=enrolment, squad__school=enrolment.school)
    plan = PlanFactory.create(school=enrolment.school, published=True)
    starts = [timezone.now() + timedelta(hours=hours) for hours in hours_from_now]
    return [
        SessionFactory.create(
            plan=plan, squad=member.squad, starts_at=at, ends_at=at + timedelta(minutes=45)
        )
        for at in starts
    ]


def page(client: Client) -> str:
    return client.get(reverse("mine")).content.decode()


def test_a_golfer_alone_has_the_page(
    golfer: Account, instructor: Account, front_desk: Account, client_of: ClientOf
) -> None:
    assert client_of(golfer).get(reverse("mine")).status_code == 200
    for account in (instructor, front_desk):
        assert client_of(account).get(reverse("mine")).status_code == 404


def test_it_shows_ones_own_schools_only(
    enrolment: Enrolment, golfer: Account, client_of: ClientOf
) -> None:
    other = EnrolmentFactory.create()
    words = page(client_of(golfer))
    assert enrolment.school.name in words
    assert other.school.name not in words


def test_a_cancelled_enrolment_is_gone(enrolment: Enrolment, golfer: Account) -> None:
    Enrolment.objects.filter(pk=enrolment.pk).update(
        state="cancelled", seat=None, cancelled_at=timezone.now()
    )
    assert my_schools(golfer) == []


def test_where_next_is_the_soonest_session_that_has_not_ended(
    enrolment: Enrolment, golfer: Account
) -> None:
    _, soon, _ = sessions(enrolment, -5, 1, 3)
    mine = my_schools(golfer)[0]
    assert mine.next_session == soon
    assert mine.later_sessions == 1


def test_a_plan_that_is_not_published_says_nothing(enrolment: Enrolment, golfer: Account) -> None:
    session = sessions(enrolment, 1)[0]
    type(session.plan).objects.update(is_published=False)
    assert my_schools(golfer)[0].next_session is None


def test_a_finished_report_can_be_downloaded(
    enrolment: Enrolment, golfer: Account, client_of: ClientOf
) -> None:
    report = Report.objects.create(enrolment=enrolment, **DONE)
    assert reverse("report_fetch", args=[report.pk]) in page(client_of(golfer))


def test_the_older_report_stands_while_a_newer_one_is_made(
    enrolment: Enrolment, golfer: Account, client_of: ClientOf
) -> None:
    old = Report.objects.create(enrolment=enrolment, is_current=False, **DONE)
    Report.objects.create(enrolment=enrolment, version=2)
    words = page(client_of(golfer))
    assert reverse("report_fetch", args=[old.pk]) in words
    assert "A newer version is being made" in words


def test_who_waits_for_a_seat_is_told_so(golfer: Account, client_of: ClientOf) -> None:
    EnrolmentFactory.create(golfer=golfer.golfer, state="waiting", seat=None)
    assert "You do not have a seat yet" in page(client_of(golfer))


def test_twice_as_many_schools_cost_no_more_queries(
    golfer: Account, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for _ in range(2):
        for one in EnrolmentFactory.create_batch(2, golfer=golfer.golfer):
            sessions(one, 1, 2)
            Report.objects.create(enrolment=one, **DONE)
        with django_assert_num_queries(3):
            my_schools(golfer)


def test_a_school_with_something_to_read_comes_before_a_later_one(
    enrolment: Enrolment, golfer: Account
) -> None:
    later = EnrolmentFactory.create(
        golfer=golfer.golfer, school__starts_on=enrolment.school.ends_on + timedelta(days=30)
    )
    assert [mine.enrolment for mine in my_schools(golfer)] == [later, enrolment]
    Report.objects.create(enrolment=enrolment, **DONE)
    assert [mine.enrolment for mine in my_schools(golfer)] == [enrolment, later]
