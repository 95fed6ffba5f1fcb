"""Rows for tests. Every default is valid; a test names only what it is about."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import factory
from factory.django import DjangoModelFactory

from school.models import (
    Account,
    BankLine,
    ConsentText,
    Enrolment,
    Golfer,
    Programme,
    School,
    Staff,
)


class AccountFactory(DjangoModelFactory[Account]):
    class Meta:
        model = Account
        skip_postgeneration_save = True

    email = factory.Sequence(lambda n: f"person{n}@example.org")
    full_name = factory.Sequence(lambda n: f"Person {n}")
    password = factory.django.Password("wind-and-dunes")


class StaffFactory(DjangoModelFactory[Staff]):
    """Name at least one job: `at_front_desk`, `teaches` or `owns`."""

    class Meta:
        model = Staff

    account = factory.SubFactory(AccountFactory)


class GolferFactory(DjangoModelFactory[Golfer]):
    class Meta:
        model = Golfer

    class Params:
        with_account = factory.Trait(
            account=factory.SubFactory(
                AccountFactory,
                email=factory.SelfAttribute("..email"),
                full_name=factory.SelfAttribute("..full_name"),
            )
        )

    full_name = factory.Sequence(lambda n: f"Golfer {n}")
    email = factory.Sequence(lambda n: f"golfer{n}@example.org")
    handedness = "right"
    handicap_index = "18.0"


class ProgrammeFactory(DjangoModelFactory[Programme]):
    class Meta:
        model = Programme

    name = factory.Sequence(lambda n: f"Programme {n}")
    price = Decimal("960.00")
    deposit = Decimal("240.00")


class SchoolFactory(DjangoModelFactory[School]):
    """An open three-day school with twelve seats."""

    class Meta:
        model = School

    programme = factory.SubFactory(ProgrammeFactory)
    name = factory.Sequence(lambda n: f"School {n}")
    starts_on = date(2027, 5, 7)
    ends_on = factory.LazyAttribute(lambda school: school.starts_on + timedelta(days=2))
    capacity = 12
    price = Decimal("960.00")
    lead_instructor = factory.SubFactory(StaffFactory, teaches=True)
    state = School.State.OPEN


class EnrolmentFactory(DjangoModelFactory[Enrolment]):
    """A seated attendee; the next free number of a sequence as the seat."""

    class Meta:
        model = Enrolment

    school = factory.SubFactory(SchoolFactory)
    golfer = factory.SubFactory(GolferFactory)
    state = Enrolment.State.SEATED
    seat = factory.LazyAttribute(
        lambda made: made.school.enrolments.filter(state="seated").count() + 1
    )


class ConsentTextFactory(DjangoModelFactory[ConsentText]):
    class Meta:
        model = ConsentText
        django_get_or_create = ("kind", "version")

    kind = "filming"
    version = 1
    body = "I agree to be filmed so that my swing can be taught."


def consented(enrolment: Enrolment, *kinds: str, **fields: Any) -> Enrolment:
    """Give the enrolment these consents, in their first version."""
    for kind in kinds or ("filming",):
        enrolment.consents.create(
            text=ConsentTextFactory.create(kind=kind), given_by=enrolment.golfer.full_name, **fields
        )
    return enrolment


def giving_back(school: School, steps: dict[int, int]) -> School:
    """Give the school this refund policy: whole days before the first day to percent."""
    for days_before, percent in steps.items():
        school.refund_steps.create(days_before=days_before, percent=percent)
    return school


class BankLineFactory(DjangoModelFactory[BankLine]):
    """A line that waits, in pounds."""

    class Meta:
        model = BankLine

    booked_on = date(2027, 3, 1)
    amount = "960.00"
    currency = "GBP"
    fingerprint = factory.Sequence(lambda n: f"{n:064}")
