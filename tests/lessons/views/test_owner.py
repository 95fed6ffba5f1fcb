"""The owner's page: bookings, money, hours."""

from collections.abc import Callable
from datetime import time, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from lessons.models import Session
from lessons.queries.owner import Use, overview
from school.models import Account, LedgerEntry
from tests.factories import EnrolmentFactory, SchoolFactory
from tests.lessons.factories import (
    BayFactory,
    InstructorFactory,
    PlanFactory,
    SessionFactory,
    offer_hours,
)

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]


def owed(amount: str, **fields: Any) -> None:
    LedgerEntry.objects.create(
        enrolment=EnrolmentFactory.create(**fields), kind="charge", amount=amount
    )


def load_of(name: str, uses: list[Use]) -> Use:
    return next(use for use in uses if use.name == name)


def test_the_page_says_bookings_money_and_hours(owner: Account, client_of: ClientOf) -> None:
    session = SessionFactory.create(bay=BayFactory.create(name="Studio 1"))
    owed("960.00", school=session.plan.school)
    offer_hours(session.instructor, session.plan.school, time(9), time(12))
    text = client_of(owner).get(reverse("owner")).content.decode()
    for words in ("2 of 12", "£960.00", "0.75 h", "8 % of 9.00 h", "Studio 1"):
        assert words in text


def test_an_empty_house_says_what_goes_here(owner: Account, client_of: ClientOf) -> None:
    assert "No school yet" in client_of(owner).get(reverse("owner")).content.decode()


def test_hours_are_added_by_school(owner: Account) -> None:
    first = SessionFactory.create()
    school, instructor = first.plan.school, first.instructor
    later = school.slot_instant(1, 0)
    SessionFactory.create(
        plan=first.plan, instructor=instructor, starts_at=later, ends_at=later + timedelta(hours=2)
    )
    other = SessionFactory.create(instructor=instructor)
    (use,) = overview(owner).instructors
    assert use.by_school == ((school, 2.75), (other.plan.school, 0.75))
    assert use.hours == 3.5


def test_a_talk_counts_once_for_its_bay_and_once_for_each_who_gives_it(owner: Account) -> None:
    first = SessionFactory.create(visit__group_ratio=8)
    same = {"plan": first.plan, "visit": first.visit, "bay": first.bay}
    second = SessionFactory.create(**same)
    SessionFactory.create(**same, instructor=first.instructor)
    found = overview(owner)
    assert load_of(first.bay.name, found.bays).hours == 0.75
    people = [str(session.instructor) for session in (first, second)]
    assert [load_of(name, found.instructors).hours for name in people] == [0.75, 0.75]


def test_a_bay_that_the_squad_has_left_is_not_used(owner: Account) -> None:
    session = SessionFactory.create(visit__slots=3, visit__bay_slots=1)
    Session.objects.update(ends_at=session.starts_at + timedelta(minutes=135))
    found = overview(owner)
    assert [use.hours for use in [*found.instructors, *found.bays]] == [2.25, 0.75]


def test_half_time_counts_double_where_loads_are_compared(
    owner: Account, client_of: ClientOf
) -> None:
    session = SessionFactory.create(instructor=InstructorFactory.create(load_factor=2))
    use = load_of(str(session.instructor), overview(owner).instructors)
    assert (use.hours, use.load) == (0.75, 1.5)
    assert "counts as 1.50 h" in client_of(owner).get(reverse("owner")).content.decode()


def test_drafts_and_replaced_timetables_are_not_counted(owner: Account) -> None:
    SessionFactory.create(plan=PlanFactory.create())
    found = overview(owner)
    assert [use.hours for use in [*found.instructors, *found.bays]] == [0, 0]


def test_hours_offered_count_on_the_days_of_schools_once(owner: Account) -> None:
    """Two schools on the same days do not double what an instructor offers."""
    instructor = InstructorFactory.create()
    first, second = SchoolFactory.create_batch(2)
    offer_hours(instructor, first, time(9), time(12))
    offer_hours(instructor, SchoolFactory.build(starts_on=second.ends_on + timedelta(30)))
    (use,) = overview(owner).instructors
    assert (use.offered, use.share) == (9.0, 0)


def test_who_offers_nothing_has_no_share(owner: Account) -> None:
    session = SessionFactory.create()
    use = load_of(str(session.instructor), overview(owner).instructors)
    assert (use.hours, use.share) == (0.75, None)


def test_money_is_added_by_currency(owner: Account) -> None:
    owed("100.00", school__currency="GBP")
    owed("50.00", school__currency="GBP")
    owed("70.00", school__currency="EUR")
    charged = {currency: money.charged for currency, money in overview(owner).money.items()}
    assert {key: str(value) for key, value in charged.items()} == {"GBP": "150.00", "EUR": "70.00"}


def test_only_an_owner_has_anything_to_overlook(front_desk: Account) -> None:
    SchoolFactory.create()
    assert overview(front_desk).schools == []


def test_the_overview_costs_the_same_for_twice_as_much(owner: Account) -> None:
    def counted() -> int:
        with CaptureQueriesContext(connection) as queries:
            overview(owner)
        return len(queries)

    def grow() -> None:
        for _ in range(2):
            session = SessionFactory.create()
            owed("10.00", school=session.plan.school)
            offer_hours(session.instructor, session.plan.school)

    grow()
    before = counted()
    grow()
    assert counted() == before == 6
