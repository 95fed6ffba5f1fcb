"""What a list would do, before anything is written."""

from datetime import date

import pytest

from school.actions.enrolment import enrol
from school.golfer_csv import read_golfers
from school.models import School
from school.queries.imports import ImportPlan, plan_import
from tests.factories import EnrolmentFactory, GolferFactory, SchoolFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def school(db: None) -> School:
    return SchoolFactory.create(starts_on=date(2027, 5, 7), capacity=2)


def plan(school: School, *lines: str) -> ImportPlan:
    headings = "name,handed,email,birth date,guardian name,guardian phone,consent terms,consent by"
    return plan_import(school, read_golfers("\n".join((headings, *lines)), today=date(2027, 1, 1)))


def errors(plan: ImportPlan) -> list[tuple[int, str]]:
    return [(error.row, error.column) for error in plan.errors]


def test_seats_then_places(school: School) -> None:
    EnrolmentFactory.create(school=school, seat=1)
    made = plan(school, "A,left,a@b.example", "B,left,b@b.example", "C,left,c@b.example")
    assert [(row.seat, row.place) for row in made.rows] == [(2, None), (None, 1), (None, 2)]


def test_places_follow_those_who_wait_already(school: School) -> None:
    for _ in range(3):
        enrol(school=school, golfer=GolferFactory.create(), actor=None)
    assert plan(school, "A,left,a@b.example").rows[0].place == 2


def test_who_is_enrolled_has_nothing_to_do(school: School) -> None:
    golfer = GolferFactory.create(full_name="A", email="a@b.example")
    enrol(school=school, golfer=golfer, actor=None)
    row = plan(school, "A,left,a@b.example").rows[0]
    assert (row.is_known, row.is_enrolled, row.seat, row.place) == (True, True, None, None)


def test_a_minor_without_a_guardian_is_an_error_in_each_empty_cell(school: School) -> None:
    made = plan(school, "A,left,,2014-01-01,Hugh,")
    assert errors(made) == [(2, "guardian phone")]


def test_a_guardian_on_file_will_do(school: School) -> None:
    GolferFactory.create(
        full_name="A",
        email="",
        birth_date=date(2014, 1, 1),
        guardian_name="Hugh",
        guardian_phone="01632 960303",
    )
    assert errors(plan(school, "A,left,,2014-01-01,,,yes,Hugh")) == []


def test_a_minors_consent_by_somebody_else_is_an_error(school: School) -> None:
    made = plan(school, "A,left,,2014-01-01,Hugh,01632 960303,yes,A")
    assert errors(made) == [(2, "consent by")]


def test_what_the_file_cannot_take_is_an_error_of_its_column(school: School) -> None:
    assert errors(plan(school, f"{'A' * 121},left,no-address,,,{'1' * 41}")) == [
        (2, "name"),
        (2, "email"),
        (2, "guardian phone"),
    ]


def test_four_queries_however_many_rows(school: School) -> None:
    for n in range(20):
        GolferFactory.create(full_name=f"G{n}", email=f"g{n}@b.example")
    lines = [f"G{n},left,g{n}@b.example" for n in range(20)]
    few = queries_of(lambda: plan(school, *lines[:10]))
    assert few == queries_of(lambda: plan(school, *lines)) == 4
