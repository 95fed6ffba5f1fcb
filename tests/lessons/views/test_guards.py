"""Each page with only, and with all but, the job it needs."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from lessons.models import Plan, Session
from school.models import Account
from tests.factories import StaffFactory
from tests.lessons.factories import SessionFactory, instructor_for

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]

DESK = ["timetable", "holds"]
DESK_POSTS = ["plan_request", "plan_publish", "hold_release"]


@pytest.fixture
def session(instructor: Account) -> Session:
    made: Session = SessionFactory.create(instructor=instructor_for(instructor))
    return made


def url(name: str, session: Session) -> str:
    school, plan = session.plan.school_id, session.plan_id
    arguments: dict[str, list[Any]] = {
        "plan_publish": [plan],
        "plan_progress": [plan],
        "hold_release": [school, 1],
        "session": [session.pk],
        "day_sheet": [school, 1],
        "my_day": [],
        "my_day_on": ["2027-05-07"],
        "my_hours": [],
        "owner": [],
    }
    return reverse(name, args=arguments.get(name, [school]))


def account_with(*jobs: str) -> Account:
    account: Account = StaffFactory.create(**dict.fromkeys(jobs, True)).account
    return account


@pytest.mark.parametrize("name", [*DESK, "plan_progress", "day_sheet", "session"])
def test_the_desk_alone_is_enough(name: str, session: Session, client_of: ClientOf) -> None:
    answer = client_of(account_with("at_front_desk")).get(url(name, session))
    assert answer.status_code == 200


@pytest.mark.parametrize("name", [*DESK, "plan_progress"])
def test_without_the_desk_there_is_no_such_page(
    name: str, session: Session, client_of: ClientOf, instructor: Account
) -> None:
    assert client_of(instructor).get(url(name, session)).status_code == 404


@pytest.mark.parametrize("name", DESK_POSTS)
def test_without_the_desk_nothing_is_done(
    name: str, session: Session, client_of: ClientOf, instructor: Account
) -> None:
    assert client_of(instructor).post(url(name, session)).status_code == 404


@pytest.mark.parametrize("name", [*DESK_POSTS, "hours_set"])
def test_what_changes_something_is_not_reached_by_a_link(
    name: str, session: Session, client_of: ClientOf
) -> None:
    everybody = account_with("at_front_desk", "teaches", "owns")
    assert client_of(everybody).get(url(name, session)).status_code == 405


@pytest.mark.parametrize("name", ["my_day", "my_day_on", "my_hours"])
def test_teaching_alone_is_enough(name: str, session: Session, client_of: ClientOf) -> None:
    assert client_of(account_with("teaches")).get(url(name, session)).status_code == 200


@pytest.mark.parametrize("name", ["my_day", "my_day_on", "my_hours"])
def test_who_does_not_teach_has_no_day(name: str, session: Session, client_of: ClientOf) -> None:
    client = client_of(account_with("at_front_desk", "owns"))
    assert client.get(url(name, session)).status_code == 404


def test_hours_are_set_by_instructors_only(session: Session, client_of: ClientOf) -> None:
    client = client_of(account_with("at_front_desk", "owns"))
    assert client.post(url("hours_set", session)).status_code == 404


def test_the_owner_alone_sees_the_overview(session: Session, client_of: ClientOf) -> None:
    assert client_of(account_with("owns")).get(url("owner", session)).status_code == 200


def test_all_but_the_owner_do_not(session: Session, client_of: ClientOf) -> None:
    client = client_of(account_with("at_front_desk", "teaches"))
    assert client.get(url("owner", session)).status_code == 404


@pytest.mark.parametrize("name", ["session", "day_sheet"])
def test_an_instructor_sees_the_schools_they_teach_in(
    name: str, session: Session, client_of: ClientOf, instructor: Account
) -> None:
    assert client_of(instructor).get(url(name, session)).status_code == 200


@pytest.mark.parametrize("name", ["session", "day_sheet"])
def test_another_instructor_does_not(
    name: str, session: Session, client_of: ClientOf, other_instructor: Account
) -> None:
    assert client_of(other_instructor).get(url(name, session)).status_code == 404


@pytest.mark.parametrize("name", ["session", "day_sheet"])
def test_a_golfer_and_a_stranger_do_not(
    name: str, session: Session, client_of: ClientOf, golfer: Account, stranger: Account
) -> None:
    for account in (golfer, stranger):
        assert client_of(account).get(url(name, session)).status_code == 404


def test_the_lead_sees_all_sessions_of_the_school(session: Session, client_of: ClientOf) -> None:
    lead = session.plan.school.lead_instructor.account
    assert client_of(lead).get(url("session", session)).status_code == 200


def test_a_session_of_a_replaced_timetable_stays_open_to_its_instructor(
    session: Session, client_of: ClientOf, instructor: Account
) -> None:
    """What was recorded without a network still has somewhere to go."""
    Plan.objects.update(is_published=False)
    answer = client_of(instructor).get(url("session", session))
    assert "Another timetable has been published since" in answer.content.decode()


def test_a_draft_opens_nothing(session: Session, client_of: ClientOf, instructor: Account) -> None:
    Plan.objects.update(is_published=False, published_at=None)
    assert client_of(instructor).get(url("session", session)).status_code == 404
