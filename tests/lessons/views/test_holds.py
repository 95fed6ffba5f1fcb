"""Private lessons and closures on the days of a school."""

from collections.abc import Callable

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from lessons.models import Bay, Hold
from school.models import Account, School
from tests.factories import SchoolFactory
from tests.lessons.factories import BayFactory, InstructorFactory, SessionFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client_of: Callable[[Account | None], Client], front_desk: Account) -> Client:
    return client_of(front_desk)


def take(desk: Client, school: School, bay: Bay | None, note: str = "Private lesson") -> str:
    typed = {
        "note": note,
        "bay": bay.pk if bay else "",
        "day": school.dates[1].isoformat(),
        "starts": "10:00",
        "ends": "11:00",
    }
    url = reverse("holds", args=[school.pk])
    return desk.post(url, typed, follow=True).content.decode()


def test_a_bay_is_taken_at_the_schools_own_time(desk: Client) -> None:
    school, bay = SchoolFactory.create(time_zone="America/New_York"), BayFactory.create()
    text = take(desk, school, bay)
    assert "Saturday 8 May, 10:00–11:00" in text
    assert bay.name in text
    assert Hold.objects.earliest("quarter_hour").quarter_hour.hour == 14


def test_what_is_taken_already_is_told_and_what_was_typed_is_kept(desk: Client) -> None:
    school, bay = SchoolFactory.create(), BayFactory.create()
    take(desk, school, bay)
    text = take(desk, school, bay, note="Mending the mat")
    assert f"{bay.name} is taken on Saturday 8 May, 10:00 to 11:00, by “Private lesson”" in text
    assert 'value="Mending the mat"' in text


def test_taking_nothing_is_refused(desk: Client) -> None:
    assert "Name a bay, an instructor or both" in take(desk, SchoolFactory.create(), None)


def test_giving_back_frees_it(desk: Client) -> None:
    school = SchoolFactory.create()
    take(desk, school, BayFactory.create())
    url = reverse("hold_release", args=[school.pk, Hold.objects.all()[:1].get().pk])
    assert "Nothing is taken on these days" in desk.post(url, follow=True).content.decode()


def test_a_sessions_hold_is_not_given_back_here(desk: Client) -> None:
    session = SessionFactory.create()
    hold = Hold.objects.create(session=session, bay=session.bay, quarter_hour=session.starts_at)
    url = reverse("hold_release", args=[session.plan.school_id, hold.pk])
    assert desk.post(url).status_code == 404


def test_the_page_costs_the_same_for_more_holds(desk: Client) -> None:
    def counted() -> int:
        with CaptureQueriesContext(connection) as queries:
            desk.get(reverse("holds", args=[school.pk]))
        return len(queries)

    school = SchoolFactory.create()
    take(desk, school, BayFactory.create())
    before = counted()
    for _ in range(3):
        take(desk, school, BayFactory.create())
    InstructorFactory.create_batch(3)
    assert counted() == before
