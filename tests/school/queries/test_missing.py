"""What is missing from whom."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from school.actions.enrolment import enrol
from school.actions.money import record_payment
from school.actions.refunds import discount
from school.clock import today_at
from school.models import Enrolment, Golfer, School
from school.queries.missing import missing_in
from tests.factories import (
    ConsentTextFactory,
    EnrolmentFactory,
    GolferFactory,
    SchoolFactory,
    consented,
)
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def school(db: None) -> School:
    for kind in ("terms", "risk", "news"):
        ConsentTextFactory.create(kind=kind)
    return SchoolFactory.create(
        starts_on=date(2027, 5, 7), price=Decimal(960), deposit=Decimal(240)
    )


def complete(**columns: object) -> Golfer:
    given = {"birth_date": date(1980, 4, 1), "emergency_contact": "Hugh, 01632 960303", **columns}
    return GolferFactory.create(**given)


def words(school: School) -> list[str]:
    return [line.words for line in missing_in(school).lines]


def seated(school: School, **columns: object) -> Enrolment:
    made = EnrolmentFactory.create(school=school, golfer=complete(**columns))
    return consented(made, "terms", "risk")


def test_who_lacks_nothing_is_left_out(school: School) -> None:
    seated(school)
    assert missing_in(school).lines == ()


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        ({"birth_date": None}, "birth date"),
        ({"birth_date": date(2012, 1, 1)}, "a guardian's name and telephone"),
        ({"emergency_contact": ""}, "emergency contact"),
        ({"email": ""}, "e-mail"),
    ],
)
def test_each_detail_is_missed(school: School, columns: dict[str, object], said: str) -> None:
    seated(school, **columns)
    assert words(school) == [said]


def test_a_guardians_email_will_do(school: School) -> None:
    guardian = {"guardian_name": "Hugh", "guardian_phone": "1", "guardian_email": "h@example.org"}
    seated(school, email="", birth_date=date(2012, 1, 1), **guardian)
    assert words(school) == []


def test_only_the_consents_without_which_nobody_takes_part_are_missed(school: School) -> None:
    consented(EnrolmentFactory.create(school=school, golfer=complete()), "terms")
    assert words(school) == ["consent to “assumption of risk”"]


def test_a_consent_without_words_cannot_be_missed() -> None:
    school = SchoolFactory.create()
    EnrolmentFactory.create(school=school, golfer=complete())
    assert words(school) == []


def test_the_deposit_is_overdue_at_once_and_the_rest_when_it_falls_due(school: School) -> None:
    enrolment = consented(enrol(school=school, golfer=complete(), actor=None), "terms", "risk")
    School.objects.filter(pk=school.pk).update(
        starts_on=today_at(school) + timedelta(days=60), ends_on=today_at(school) + timedelta(62)
    )
    school.refresh_from_db()
    assert words(school) == ["£240.00 overdue"]
    record_payment(enrolment=enrolment, amount=Decimal(240), method="cash", actor=None)
    assert words(school) == []
    School.objects.filter(pk=school.pk).update(starts_on=today_at(school) + timedelta(days=7))
    school.refresh_from_db()
    discount(enrolment=enrolment, amount=Decimal(20), why="early", actor=None)
    assert words(school) == ["£700.00 overdue"]


def test_the_counts_are_of_attendees_most_first(school: School) -> None:
    for email in ("", "", "ann@example.org"):
        EnrolmentFactory.create(school=school, golfer=complete(email=email))
    assert missing_in(school).counts == (("consents", 3), ("e-mail", 2))


def test_a_closed_school_misses_nothing(school: School) -> None:
    EnrolmentFactory.create(school=school)
    school.state = School.State.CLOSED
    school.closed_at = timezone.now()
    school.save(update_fields=["state", "closed_at"])
    assert words(school) == []


def test_four_queries_however_many() -> None:
    counts = []
    for size in (3, 6):
        school = SchoolFactory.create()
        for _ in range(size):
            enrol(school=school, golfer=GolferFactory.create(), actor=None)
        counts.append(queries_of(lambda school=school: missing_in(school)))  # type: ignore[misc]
    assert counts == [4, 4]
