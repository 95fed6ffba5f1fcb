"""What instructors earn and are paid."""

from decimal import Decimal

import pytest
from django.db import IntegrityError
from hypothesis import given
from hypothesis import strategies as st

from school.actions.pay import earned_for, record_earned, record_paid, reverse_pay
from school.errors import MoneyError
from school.models import Account, AuditEntry, PayEntry, School
from school.queries.pay import owed_by_currency, pay_lines, pay_rows
from tests.factories import SchoolFactory, StaffFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def school(db: None) -> School:
    return SchoolFactory.create(lead_instructor__account__full_name="Ines Instructor")


def earn(school: School, amount: str, actor: Account | None = None) -> PayEntry:
    return record_earned(
        school=school,
        staff=school.lead_instructor,
        amount=Decimal(amount),
        memo="three days",
        actor=actor,
    )


def pay_out(school: School, amount: str) -> PayEntry:
    return record_paid(
        school=school,
        staff=school.lead_instructor,
        amount=Decimal(amount),
        memo="transfer",
        actor=None,
    )


@pytest.mark.parametrize(
    ("hours", "rate", "amount"),
    [
        ("12.25", "37.50", "459.38"),
        ("0.5", "0.01", "0.01"),
        ("0.25", "0.10", "0.03"),
        ("2", "30", "60.00"),
    ],
)
def test_half_a_cent_is_rounded_up(hours: str, rate: str, amount: str) -> None:
    assert str(earned_for(Decimal(hours), Decimal(rate))) == amount


@given(st.decimals("0", "999", places=2), st.decimals("0", "999", places=2))
def test_rounding_is_never_off_by_more_than_half_a_cent(hours: Decimal, rate: Decimal) -> None:
    assert abs(earned_for(hours, rate) - hours * rate) <= Decimal("0.005")


def test_the_balance_is_what_was_earned_less_what_was_paid(school: School, owner: Account) -> None:
    earn(school, "459.38", owner)
    earn(school, "100.00")
    pay_out(school, "300.00")
    (line,) = pay_lines()
    assert (line.earned, line.paid, line.balance) == (
        Decimal("559.38"),
        Decimal("300.00"),
        Decimal("259.38"),
    )
    assert AuditEntry.objects.filter(verb="record_earned").earliest("pk").actor == owner


def test_a_reversal_undoes_and_says_why(school: School, owner: Account) -> None:
    entry = earn(school, "100.00")
    reverse_pay(entry=pay_out(school, "40.00"), why="typed twice", actor=owner)
    reversal = reverse_pay(entry=entry, why="ill on day two", actor=owner)
    assert (reversal.amount, reversal.memo) == (Decimal("-100.00"), "ill on day two")
    (line,) = pay_lines()
    assert (line.earned, line.paid, line.balance) == (Decimal(0), Decimal(0), Decimal(0))
    assert [row.can_be_reversed for row in pay_rows()] == [False] * 4


@pytest.mark.parametrize("why", ["", "again"])
def test_what_cannot_be_reversed(school: School, why: str) -> None:
    entry = earn(school, "100.00")
    reversal = reverse_pay(entry=entry, why="wrong", actor=None)
    for each in (entry, reversal):
        with pytest.raises(MoneyError):
            reverse_pay(entry=each, why=why, actor=None)
    assert PayEntry.objects.count() == 2


def test_two_who_reverse_at_once_leave_one_reversal(
    school: School, monkeypatch: pytest.MonkeyPatch
) -> None:
    entry = earn(school, "100.00")

    def too_late(*args: object, **kwargs: object) -> None:
        raise IntegrityError

    monkeypatch.setattr("school.actions.pay.note", too_late)
    with pytest.raises(MoneyError, match="before"):
        reverse_pay(entry=entry, why="wrong", actor=None)
    assert PayEntry.objects.count() == 1


@pytest.mark.parametrize("amount", ["0", "-1", "0.001", "NaN"])
def test_what_is_no_money_is_refused(school: School, amount: str) -> None:
    with pytest.raises(MoneyError):
        earn(school, amount)


def test_pay_says_what_for_and_goes_to_who_teaches(school: School) -> None:
    for staff, memo in [
        (school.lead_instructor, " "),
        (StaffFactory.create(at_front_desk=True), "three days"),
    ]:
        with pytest.raises(MoneyError):
            record_earned(school=school, staff=staff, amount=Decimal(5), memo=memo, actor=None)
    assert not PayEntry.objects.exists()


def test_what_is_owed_is_kept_apart_by_currency(school: School) -> None:
    earn(school, "10.00")
    earn(SchoolFactory.create(currency="EUR", lead_instructor=school.lead_instructor), "7.00")
    assert owed_by_currency(pay_lines()) == {"GBP": Decimal("10.00"), "EUR": Decimal("7.00")}


def test_the_accounts_take_as_many_queries_however_long() -> None:
    counts = []
    for _ in range(2):
        for _ in range(3):
            earn(SchoolFactory.create(), "1.00")
        counts.append(
            (
                queries_of(lambda: [str(line.staff) for line in pay_lines()]),
                queries_of(lambda: [str(row.entry.staff) for row in pay_rows()]),
            )
        )
    assert counts == [(3, 1), (3, 1)]
