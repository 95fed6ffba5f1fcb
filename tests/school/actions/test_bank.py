"""Bank lines: kept once, matched once, set aside, taken up again."""

from datetime import date
from decimal import Decimal

import pytest

from school.actions.bank import (
    import_bank_lines,
    match_certain,
    match_line,
    set_aside,
    take_up_again,
)
from school.actions.enrolment import enrol
from school.actions.money import reverse_entry
from school.bank_csv import payment_reference
from school.errors import BankLineRefused, ImportRefused
from school.models import Account, AuditEntry, BankLine, Enrolment, LedgerEntry
from tests.factories import BankLineFactory, GolferFactory, SchoolFactory

pytestmark = pytest.mark.django_db

TABLE = "date,amount,text\n2027-03-01,240.00,Maren\n2027-03-02,-9,rent\n2027-03-03,720,Idris\n"


@pytest.fixture
def enrolment(db: None) -> Enrolment:
    golfer = GolferFactory.create(full_name="Maren Thistlewood")
    return enrol(school=SchoolFactory.create(), golfer=golfer, actor=None)


def line_of(enrolment: Enrolment, **columns: object) -> BankLine:
    text = f"golf {payment_reference(enrolment.pk)}"
    return BankLineFactory.create(**{"amount": Decimal("960.00"), "text": text, **columns})


def test_money_that_came_in_is_kept(front_desk: Account) -> None:
    import_bank_lines(data=TABLE, currency="GBP", actor=front_desk)
    assert list(BankLine.objects.values_list("booked_on", "amount", "currency", "text")) == [
        (date(2027, 3, 1), Decimal("240.00"), "GBP", "Maren"),
        (date(2027, 3, 3), Decimal("720.00"), "GBP", "Idris"),
    ]
    trail = AuditEntry.objects.get(verb="import_bank_lines")
    assert (trail.actor, trail.detail) == (front_desk, {"lines": 2})


def test_the_same_file_twice_counts_once() -> None:
    import_bank_lines(data=TABLE, currency="GBP", actor=None)
    again = import_bank_lines(data=TABLE + "2027-03-04,1,x\n", currency="GBP", actor=None)
    assert len(again.new) == 1
    assert BankLine.objects.count() == 3


def test_one_wrong_cell_and_nothing_is_kept() -> None:
    with pytest.raises(ImportRefused, match="1 cell is in error"):
        import_bank_lines(data=TABLE + "soon,1,x\n", currency="GBP", actor=None)
    assert not BankLine.objects.exists()


def test_a_match_is_a_payment_by_transfer_and_the_line_names_it(
    enrolment: Enrolment, front_desk: Account
) -> None:
    line = line_of(enrolment, amount=Decimal("240.00"), booked_on=date(2027, 3, 1))
    entry = match_line(line=line, enrolment=enrolment, actor=front_desk)
    line.refresh_from_db()
    assert line.entry == entry
    assert (entry.method, entry.entered_by) == ("transfer", front_desk)
    assert entry.memo.startswith("Bank 1 March 2027: golf M")
    assert enrolment.balance() == Decimal("720.00")
    assert AuditEntry.objects.get(verb="match_line").detail["entry"] == entry.pk


def test_a_line_is_matched_once(enrolment: Enrolment) -> None:
    line = line_of(enrolment)
    match_line(line=line, enrolment=enrolment, actor=None)
    with pytest.raises(BankLineRefused, match="matched already"):
        match_line(line=line, enrolment=enrolment, actor=None)
    assert LedgerEntry.objects.filter(kind="payment").count() == 1


def test_pounds_never_pay_for_a_school_in_euros(enrolment: Enrolment) -> None:
    line = line_of(enrolment, currency="EUR")
    with pytest.raises(BankLineRefused, match=r"in EUR, .* sold in GBP"):
        match_line(line=line, enrolment=enrolment, actor=None)
    assert enrolment.ledger.count() == 1


def test_a_payment_that_fails_leaves_the_line_waiting(
    enrolment: Enrolment, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*args: object, **kwargs: object) -> None:
        raise OSError

    line = line_of(enrolment)
    monkeypatch.setattr("school.models.BankLine.save", fail)
    with pytest.raises(OSError):  # noqa: PT011
        match_line(line=line, enrolment=enrolment, actor=None)
    assert enrolment.ledger.count() == 1


def test_all_certain_ones_that_were_shown_are_matched(enrolment: Enrolment) -> None:
    other = enrol(school=enrolment.school, golfer=GolferFactory.create(), actor=None)
    shown, unseen = line_of(enrolment), line_of(other)
    unsure = BankLineFactory.create(text="golf")
    pairs = {(shown.pk, enrolment.pk), (unsure.pk, enrolment.pk)}
    (entry,) = match_certain(shown=pairs, actor=None)
    assert entry.enrolment == enrolment
    assert set(BankLine.objects.filter(entry=None)) == {unseen, unsure}


def test_what_is_certain_no_longer_is_left(enrolment: Enrolment) -> None:
    first, second = line_of(enrolment), line_of(enrolment)
    match_line(line=first, enrolment=enrolment, actor=None)
    assert match_certain(shown={(second.pk, enrolment.pk)}, actor=None) == []


def test_a_line_set_aside_says_why_and_is_not_matched(
    enrolment: Enrolment, front_desk: Account
) -> None:
    line = line_of(enrolment)
    set_aside(line=line, why=" interest ", actor=front_desk)
    line.refresh_from_db()
    assert line.set_aside == "interest"
    with pytest.raises(BankLineRefused, match="set aside: interest"):
        match_line(line=line, enrolment=enrolment, actor=None)
    assert AuditEntry.objects.get(verb="set_aside").actor == front_desk


def test_setting_aside_needs_a_reason(enrolment: Enrolment) -> None:
    with pytest.raises(BankLineRefused, match="why"):
        set_aside(line=line_of(enrolment), why=" ", actor=None)


def test_a_wrong_match_is_reversed_and_the_line_waits_again(enrolment: Enrolment) -> None:
    line = line_of(enrolment)
    match_line(line=line, enrolment=enrolment, actor=None)
    take_up_again(line=line, why="it was her brother's", actor=None)
    line.refresh_from_db()
    assert line.entry is None
    assert enrolment.balance() == Decimal("960.00")
    assert enrolment.ledger.get(kind="reversal").memo == "it was her brother's"
    match_line(line=line, enrolment=enrolment, actor=None)
    assert enrolment.balance() == Decimal("0.00")


def test_a_payment_reversed_by_hand_is_not_reversed_twice(enrolment: Enrolment) -> None:
    line = line_of(enrolment)
    reverse_entry(
        entry=match_line(line=line, enrolment=enrolment, actor=None), why="wrong", actor=None
    )
    take_up_again(line=line, why="wrong", actor=None)
    assert enrolment.balance() == Decimal("960.00")


def test_a_line_set_aside_is_taken_up_again(enrolment: Enrolment) -> None:
    line = line_of(enrolment, set_aside="rent")
    assert take_up_again(line=line, why="no rent", actor=None).set_aside == ""


@pytest.mark.parametrize("why", ["", "no rent"])
def test_a_waiting_line_is_not_taken_up(enrolment: Enrolment, why: str) -> None:
    with pytest.raises(BankLineRefused):
        take_up_again(line=line_of(enrolment), why=why, actor=None)
