"""Two timetables of a school side by side."""

from collections.abc import Callable

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from lessons.models import Plan, Session
from school.models import Account
from tests.factories import StaffFactory
from tests.lessons.factories import PlanFactory, SessionFactory, SquadMemberFactory

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]


@pytest.fixture
def desk(client_of: ClientOf, front_desk: Account) -> Client:
    return client_of(front_desk)


@pytest.fixture
def was() -> Session:
    made: Session = SessionFactory.create(plan=PlanFactory.create(goals=goals(idle=1, walking=10)))
    return made


@pytest.fixture
def now(was: Session) -> Session:
    """The same session an hour and a half later, in a draft made from the first."""
    school = was.plan.school
    made: Session = SessionFactory.create(
        plan=PlanFactory.create(
            school=school, based_on=was.plan, goals=goals(idle=0, walking=14), origin="hand"
        ),
        squad=was.squad,
        visit=was.visit,
        bay=was.bay,
        instructor=was.instructor,
        starts_at=school.slot_instant(0, 2),
        ends_at=school.slot_instant(0, 3),
    )
    return made


def goals(**values: int) -> list[dict[str, object]]:
    return [{"name": n, "value": v, "bound": 0, "proven": False} for n, v in values.items()]


def compared(client: Client, plan: Plan, other: Plan | None = None) -> str:
    query = {"with": other.pk} if other else {}
    answer = client.get(reverse("plan_compare", args=[plan.pk], query=query))
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_desk_alone_compares(now: Session, client_of: ClientOf) -> None:
    client = client_of(StaffFactory.create(teaches=True).account)
    url = reverse("plan_compare", args=[now.plan_id])
    assert client.get(url).status_code == 404


def test_it_says_who_moves_and_from_where_to_where(desk: Client, now: Session) -> None:
    text = compared(desk, now.plan)
    assert "1 golfer moved to another time or bay." in text
    assert "Fri 09:00 to 09:45" in text
    assert "Fri 10:30 to 11:15" in text
    assert str(now.squad.members.get().enrolment.golfer) in text
    assert str(now.instructor) in text


def test_goals_are_said_to_be_better_or_worse(desk: Client, now: Session) -> None:
    text = compared(desk, now.plan)
    assert "1 better" in text
    assert "4 minutes worse" in text


def test_the_address_says_what_to_compare_with(desk: Client, was: Session, now: Session) -> None:
    assert "Fri 10:30" in compared(desk, was.plan, now.plan)
    assert "Nobody is moved" in compared(desk, now.plan, now.plan)


def test_only_timetables_of_one_school_are_compared(desk: Client, now: Session) -> None:
    url = reverse("plan_compare", args=[now.plan_id], query={"with": PlanFactory.create().pk})
    assert desk.get(url).status_code == 404


def test_without_another_there_is_nothing_to_compare(desk: Client, was: Session) -> None:
    assert desk.get(reverse("plan_compare", args=[was.plan_id])).status_code == 404


def test_a_comparison_costs_the_same_for_more_sessions(desk: Client, now: Session) -> None:
    def counted() -> int:
        with CaptureQueriesContext(connection) as queries:
            compared(desk, now.plan)
        return len(queries)

    before = counted()
    SessionFactory.create_batch(3, plan=now.plan)
    SquadMemberFactory.create_batch(2, squad=now.squad)
    assert counted() == before
